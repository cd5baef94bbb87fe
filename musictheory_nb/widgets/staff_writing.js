// Writing on a staff: what each step does to the rows [pitches, quarters, tied], with barlines and room kept in mind.
// Pure functions of the rows; a step that cannot be made throws an Error with words for the student.

const BOTTOM_LINE = { treble: 30, "treble-8": 23, bass: 18, alto: 24, tenor: 22 }; // E4, E3, G2, F3, D3 in steps from C0
const LEDGERS = 4;

function staffOf(given) {
  const [count, unit] = given.metre.split("/").map(Number);
  const bar = (4 * QUARTER * count) / unit;
  const compound = unit >= 8 && count % 3 === 0;
  const value = (4 * QUARTER) / unit;
  const beat = compound ? 3 * value : bar % QUARTER === 0 ? Math.max(value, QUARTER) : value;
  const pickup = given.pickup ? ticksOf(given.pickup) : 0;
  const bottom = BOTTOM_LINE[given.clef];
  const limit = (name, otherwise) => (name ? stepsOf(readPitch(name)) : otherwise);
  return {
    ...given,
    bar,
    beat,
    pickupTicks: pickup,
    room: pickup + given.measures * bar,
    bottom,
    lowestSteps: Math.max(0, limit(given.lowest, bottom - 2 * LEDGERS)),
    highestSteps: Math.min(69, limit(given.highest, bottom + 8 + 2 * LEDGERS)),
  };
}

const lengthOf = (rows) => rows.reduce((sum, row) => sum + ticksOf(row[1]), 0);
const samePitches = (one, other) => JSON.stringify(one[0]) === JSON.stringify(other[0]);

// Where a moment lies: measure index from 0 (a pickup is -1), and ticks from its start.
function placeOf(staff, ticks) {
  if (ticks < staff.pickupTicks) return { measure: -1, offset: staff.bar - staff.pickupTicks + ticks };
  const after = ticks - staff.pickupTicks;
  return { measure: Math.floor(after / staff.bar), offset: after % staff.bar };
}
function placeWords(staff, ticks) {
  const { measure, offset } = placeOf(staff, ticks);
  const beat = Math.floor(offset / staff.beat) + 1;
  const behind = offset % staff.beat;
  const part = behind === 0 ? "" : behind * 2 === staff.beat ? " and a half" : behind * 3 === staff.beat ? " and a third"
    : behind * 3 === 2 * staff.beat ? " and two thirds" : behind * 4 === staff.beat ? " and a quarter"
    : behind * 4 === 3 * staff.beat ? " and three quarters" : " and a part";
  return `${measure < 0 ? "pickup" : `measure ${measure + 1}`} beat ${beat}${part}`;
}

// Rows with each one cut at barlines into single values, tied; ties that lead nowhere are gone.
function barred(staff, rows) {
  if (staff.pitches_only) return rows.map(([pitches]) => [pitches, "1", false]);
  const out = [];
  let at = lengthOf(staff.given);
  for (const [pitches, quarters, tied] of rows) {
    let left = ticksOf(quarters);
    while (left > 0) {
      const { measure, offset } = placeOf(staff, at);
      const part = Math.min(left, staff.bar - offset);
      const pieces = valueOf(part) ? [part] : valuesIn(part);
      if (!pieces.length) throw new Error("No note values write that here.");
      for (const piece of pieces) {
        left -= piece;
        at += piece;
        out.push([pitches, quartersOf(piece), left > 0 ? pitches.length > 0 : tied]);
      }
      if (at > staff.room) {
        const where = staff.measures === 1 && !staff.pickup ? "the measure" : `measure ${Math.min(measure + 1, staff.measures)}`;
        throw new Error(`There is no room for that: ${where} is the last, and it would be too long.`);
      }
    }
  }
  return out.map((row, index) => {
    const next = out[index + 1];
    return row[2] && !(next && row[0].length && samePitches(row, next)) ? [row[0], row[1], false] : row;
  });
}

// The alteration that a note on these steps has without a sign of its own: from the measure so far, else the signature.
function alterAt(staff, rows, index, steps) {
  const before = [...staff.given, ...rows.slice(0, index)];
  let at = lengthOf(before);
  const { measure } = placeOf(staff, at);
  for (const [pitches, quarters] of before.reverse()) {
    at -= ticksOf(quarters);
    if (!staff.pitches_only && placeOf(staff, at).measure !== measure) break;
    const said = pitches.map(readPitch).find((pitch) => stepsOf(pitch) === steps);
    if (said) return said.alter;
  }
  return signatureAlter(staff.fifths, ((steps % 7) + 7) % 7);
}

// The note of a piano key in the key signature: its own notes as they are, others raised with sharps, lowered with flats.
function pitchOfKey(staff, midi) {
  const octave = Math.floor(midi / 12) - 1;
  const found = [];
  for (const alter of [0, 1, -1]) {
    for (let letter = 0; letter < 7; letter++) {
      for (const near of [octave - 1, octave, octave + 1]) {
        const pitch = { letter, alter, octave: near };
        if (midiOf(pitch) === midi) found.push(pitch);
      }
    }
  }
  const wanted = staff.fifths < 0 ? -1 : 1;
  return (
    found.find((pitch) => signatureAlter(staff.fifths, pitch.letter) === pitch.alter) ??
    found.find((pitch) => pitch.alter === 0) ??
    found.find((pitch) => pitch.alter === wanted)
  );
}

function rowWords(staff, rows, index) {
  const [pitches, quarters, tied] = rows[index];
  const names = pitches.length ? pitches.map((name) => pitchSpoken(readPitch(name))).join(" with ") : "rest";
  if (staff.pitches_only) return names;
  const at = lengthOf([...staff.given, ...rows.slice(0, index)]);
  return `${names}, ${valueWords(ticksOf(quarters))}${tied ? ", tied on" : ""}, ${placeWords(staff, at)}`;
}

// How full the staff is: what a student wants to know before going on.
function fillWords(staff, rows) {
  const counted = rows.length === 1 ? "1 note" : `${rows.length} notes`;
  if (staff.pitches_only) return rows.length ? `Written: ${counted}.` : "Nothing written yet.";
  const at = lengthOf([...staff.given, ...rows]);
  if (at >= staff.room) return staff.measures === 1 ? "The measure is full." : `All ${staff.measures} measures are full.`;
  const { measure, offset } = placeOf(staff, at);
  const name = measure < 0 ? "The pickup" : `Measure ${measure + 1}`;
  const start = measure < 0 ? staff.bar - staff.pickupTicks : 0;
  if (offset === start) return `${name} is empty.`;
  // A tuplet that is not complete is completed first, up to its beat.
  const toBeat = isDyadic(offset) ? 0 : staff.beat - (offset % staff.beat);
  const missing = [toBeat, staff.bar - offset - toBeat].filter(Boolean).flatMap(valuesIn);
  const words = missing.length ? missing.map(valueWords).join(" and ") : "part";
  return `${name} is ${/^[aeiou]/.test(words) ? "an" : "a"} ${words} short.`;
}

// All rows in words, a measure a line.
function allWords(staff, rows) {
  const lines = new Map();
  const all = [...staff.given, ...rows];
  let at = 0;
  for (const [pitches, quarters, tied] of all) {
    const names = pitches.length ? pitches.map((name) => pitchShown(readPitch(name))).join(" with ") : "rest";
    const { measure } = placeOf(staff, at);
    const key = staff.pitches_only ? "" : measure < 0 ? "Pickup: " : `Measure ${measure + 1}: `;
    const value = staff.pitches_only ? "" : ` ${valueWords(ticksOf(quarters))}${tied ? " (tied)" : ""}`;
    lines.set(key, [...(lines.get(key) ?? []), names + value]);
    at += ticksOf(quarters);
  }
  return [...lines].map(([key, words]) => `${key}${words.join(", ")}.`).join("\n");
}
