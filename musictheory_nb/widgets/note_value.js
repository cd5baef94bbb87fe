// Note values and pitches as a staff writes them. Time is counted in whole ticks, 6720 to a quarter, so that 64ths,
// triplets, quintuplets and septuplets all come out whole.

const QUARTER = 6720;
const HEADS = [[8, "double whole"], [4, "whole"], [2, "half"], [1, "quarter"], [1 / 2, "eighth"], [1 / 4, "sixteenth"],
  [1 / 8, "thirty-second"], [1 / 16, "sixty-fourth"]].map(([quarters, name]) => ({ ticks: quarters * QUARTER, name }));
const TUPLETS = { 3: { base: 2, name: "triplet" }, 5: { base: 4, name: "quintuplet" }, 7: { base: 4, name: "septuplet" } };
const DOT_WORDS = ["", "dotted ", "double-dotted "];

const greatestDivisor = (one, other) => (other ? greatestDivisor(other, one % other) : one);

// "3/2" quarters -> ticks, and back in lowest terms.
function ticksOf(text) {
  const [top, bottom = 1] = text.split("/").map(Number);
  return (top * QUARTER) / bottom;
}
function quartersOf(ticks) {
  const common = greatestDivisor(ticks, QUARTER);
  return QUARTER === common ? String(ticks / common) : `${ticks / common}/${QUARTER / common}`;
}

// The one value that lasts so long, or null.
function valueOf(ticks) {
  for (const tuplet of [1, 3, 5, 7]) {
    const plain = tuplet === 1 ? ticks : (ticks * tuplet) / TUPLETS[tuplet].base;
    for (let dots = 0; dots < 3; dots++) {
      const head = HEADS.find((each) => each.ticks * (2 - 1 / 2 ** dots) === plain);
      if (head) return { head: head.ticks, name: head.name, dots, tuplet };
    }
  }
  return null;
}
function valueTicks({ head, dots, tuplet }) {
  return (head * (2 - 1 / 2 ** dots) * (TUPLETS[tuplet]?.base ?? 1)) / tuplet;
}
function valueWords(ticks) {
  const value = valueOf(ticks);
  if (!value) return valuesIn(ticks).map(valueWords).join(" tied to ");
  return `${DOT_WORDS[value.dots]}${value.name}${value.tuplet > 1 ? ` ${TUPLETS[value.tuplet].name}` : ""}`;
}
// Whether so many ticks need no tuplet: a multiple of a 256th.
const isDyadic = (ticks) => (ticks * 64) % QUARTER === 0;

// The values, the longest first, that together last so long.
function valuesIn(ticks) {
  const tuplet = isDyadic(ticks) ? 1 : ([3, 5, 7].find((each) => isDyadic(ticks * each)) ?? 1);
  const scale = tuplet === 1 ? 1 : tuplet / TUPLETS[tuplet].base;
  const found = [];
  let left = ticks * scale;
  while (left > 0) {
    const part = valueOf(left)?.tuplet === 1 ? left : HEADS.find((head) => head.ticks < left)?.ticks;
    if (!part) break;
    found.push(part / scale);
    left -= part;
  }
  return found;
}

// -- pitches: letter (0 for C to 6 for B), alteration in half steps, octave

const LETTERS_OF_STAFF = "CDEFGAB";
const HALF_STEPS = [0, 2, 4, 5, 7, 9, 11];
const SIGNS = { "-2": "bb", "-1": "b", 0: "", 1: "#", 2: "##" };
const PRINTED = { "-2": "𝄫", "-1": "♭", 0: "", 1: "♯", 2: "𝄪" };
const SPOKEN = { "-2": " double flat", "-1": " flat", 0: "", 1: " sharp", 2: " double sharp" };

function readPitch(name) {
  const [, letter, signs, octave] = /^([A-G])(##|#|bb|b|)(\d)$/.exec(name);
  const alter = Number(Object.keys(SIGNS).find((key) => SIGNS[key] === signs));
  return { letter: LETTERS_OF_STAFF.indexOf(letter), alter, octave: Number(octave) };
}
const pitchName = ({ letter, alter, octave }) => `${LETTERS_OF_STAFF[letter]}${SIGNS[alter]}${octave}`;
const pitchShown = ({ letter, alter, octave }) => `${LETTERS_OF_STAFF[letter]}${PRINTED[alter]}${octave}`;
const pitchSpoken = ({ letter, alter, octave }) => `${LETTERS_OF_STAFF[letter]}${SPOKEN[alter]} ${octave}`;
const stepsOf = ({ letter, octave }) => 7 * octave + letter;
const midiOf = ({ letter, alter, octave }) => 12 * (octave + 1) + HALF_STEPS[letter] + alter;
const atSteps = (steps, alter = 0) => ({ letter: ((steps % 7) + 7) % 7, alter, octave: Math.floor(steps / 7) });

// What a key signature of so many sharps (flats below 0) does to a letter.
function signatureAlter(fifths, letter) {
  const order = [..."FCGDAEB"];
  if (fifths < 0) order.reverse();
  return order.slice(0, Math.abs(fifths)).includes(LETTERS_OF_STAFF[letter]) ? Math.sign(fifths) : 0;
}
