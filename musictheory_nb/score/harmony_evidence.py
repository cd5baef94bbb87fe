"""What a chord of a piece rests on (`Evidence`): the notes that carry it, as rows of the score's table, and words."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from musictheory_nb.score.note_row import rows_sounding
from musictheory_nb.score.score import Score
from musictheory_nb.theory.chord import Chord


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a chord rests on.

    Attributes
    ----------
    notes : tuple of int
        Rows of `Score.notes` that sound while the chord lasts and are its tones; each row of a tie by itself.
    words : str
        One sentence: which tones sound and where the bass is, what does not sound, what is foreign and why.
    """

    notes: tuple[int, ...]
    words: str


def evidence_of(
    score: Score,
    start: Fraction,
    end: Fraction,
    chord: Chord,
    origin: str,
    missing: Sequence[str],
    foreign: Sequence[tuple[str, str]],
) -> Evidence:
    r"""Return the evidence of a chord.

    Parameters
    ----------
    score : Score
        The piece.
    start, end : Fraction
        Quarters from the start of the score.
    chord : Chord
        The chord.
    origin : {'written', 'implied'}
        Whether it is a chord symbol.
    missing : sequence of str
        Degrees that do not sound.
    foreign : sequence of (str, str)
        Name and melodic role of each note that is not its tone.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:2/4\nL:1/4\nK:C\n[CE]F|c2|\n", cache=False)
    >>> one = evidence_of(tune, Fraction(0), Fraction(2), Chord("C"), "implied", ["5"], [("F", "passing note")])
    >>> one.notes, one.words
    ((0, 1), 'C and E sound, C in the bass; its 5 does not sound; F is no tone of it (passing note)')
    """
    lead = [f"written as {chord.symbol}"] if origin == "written" else []
    if chord.is_no_chord:
        return Evidence((), "; ".join(lead))
    tones = set(chord.pitch_classes)
    sounding = rows_sounding(score, start, end)
    table = score.notes
    steps, classes, graces = table.column("step"), table.chromatic % 12, table.column("grace")
    rows = tuple(row for row in sounding if steps[row] >= 0 and not graces[row] and int(classes[row]) in tones)
    heard = {int(classes[row]) for row in rows}
    names = [name.name for name in chord.pitch_names if name.pitch_class in heard]
    told = list(lead)
    if names:
        bass = f", {chord.bass.name} in the bass" if chord.bass is not None and chord.bass.pitch_class in heard else ""
        told.append(f"{_listed(names)} sound{'s' * (len(names) == 1)}{bass}")
    if missing and names:
        told.append(f"its {_listed(missing)} {'does' if len(missing) == 1 else 'do'} not sound")
    if not names:
        told.append("none of its tones sounds")
    by_role: dict[str, list[str]] = {}
    for name, role in foreign:
        by_role.setdefault(role, []).append(name)
    for role, its in by_role.items():
        one = list(dict.fromkeys(its))
        why = "nothing in its line explains it" if role == "foreign note" else role
        told.append(f"{_listed(one)} {'is no tone' if len(one) == 1 else 'are no tones'} of it ({why})")
    return Evidence(rows, "; ".join(told))


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]
