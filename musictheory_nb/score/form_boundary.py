"""Where sections begin by what is written: repeats, endings, jumps, double bars, key signatures, rehearsal marks.

Conventions: a section begins where a repeated passage begins (each time it is played), behind its last ending, behind
a double or final bar, at a new key signature (where at least half of the parts change), at a rehearsal mark, where a
D.C., D.S. or coda leads to, and at words that name a section (Trio, Coda, Verse). Everything is told as of the score
as it is played.
"""

import re
from dataclasses import dataclass
from typing import Final

from musictheory_nb.score.bar_unit import BarUnit
from musictheory_nb.score.score import Score

#: Words that name a section, as they are printed -> its name in English.
SECTION_WORDS: Final = (
    ("trio", "trio"),
    ("coda", "coda"),
    ("minuet", "minuet"),
    ("menuet", "minuet"),
    ("menuetto", "minuet"),
    ("minuetto", "minuet"),
    ("scherzo", "scherzo"),
    ("introduction", "introduction"),
    ("introduzione", "introduction"),
    ("intro", "introduction"),
    ("verse", "verse"),
    ("chorus", "chorus"),
    ("refrain", "chorus"),
    ("bridge", "bridge"),
    ("interlude", "interlude"),
)


@dataclass(frozen=True, slots=True)
class Boundary:
    """A place where a section begins.

    Parameters
    ----------
    unit : int
        Index of its first full bar.
    reasons : tuple of str
        What stands there: ``'repeat sign'``, ``'double bar'``, ``'key signature'`` and so on.
    name : str
        Name that the score gives to the section, or ``''``.
    passage : int
        Index of the written measure in which the section begins; the same each time it is played.
    """

    unit: int
    reasons: tuple[str, ...]
    name: str
    passage: int


def written_boundaries(score: Score, played: Score, units: tuple[BarUnit, ...]) -> tuple[Boundary, ...]:
    r"""Return where sections begin by the signs of `score`; `units` are the bars of `played`.

    Examples
    --------
    >>> from musictheory_nb.score.bar_unit import bar_units
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:2/4\nL:1/4\nK:C\n|:CE|GE:|:FA|cA:|\n", cache=False)
    >>> played = tune.played()
    >>> [(each.unit, each.reasons) for each in written_boundaries(tune, played, bar_units(played.measures))]
    [(0, ('beginning',)), (2, ('repeat',)), (4, ('repeat',)), (6, ('repeat',))]
    """
    reasons: dict[int, list[str]] = {0: ["beginning"]}
    names: dict[int, str] = {}
    written = score.measures
    signs = _signs(score)
    for at, measure in enumerate(played.measures):
        if at == 0:
            continue
        here = list(signs.get(measure.written, []))
        last = played.measures[at - 1].written
        if measure.written <= last:
            jump = written[last].jump
            here.insert(0, jump or "repeat")
        elif measure.written != last + 1 and not written[measure.written].ending:
            here.insert(0, "coda" if written[measure.written].coda else "jump")
        if here:
            reasons[at] = here
    for at, name in _named(played):
        names[at] = name
        reasons.setdefault(at, []).append("words")
    units_of = {measure: unit.index for unit in units for measure in range(unit.first, unit.last + 1)}
    found: dict[int, Boundary] = {}
    for at in sorted(reasons):
        unit = units_of[at]
        if at > units[unit].bar:
            unit += 1
        if unit >= len(units):
            continue
        given = tuple(dict.fromkeys(reasons[at]))
        before = found.get(unit)
        name = names.get(at, "") or (before.name if before else "")
        if before:
            given = tuple(dict.fromkeys((*before.reasons, *given)))
        found[unit] = Boundary(unit, given, name, played.measures[units[unit].bar].written)
    return tuple(found[unit] for unit in sorted(found))


def _signs(score: Score) -> dict[int, list[str]]:
    """Return for each written measure the signs at which a section begins there."""
    found: dict[int, list[str]] = {}
    measures = score.measures
    jumps = any(measure.jump for measure in measures)  # else Fine is a word of the text, or ends nothing
    for at in range(1, len(measures)):
        before, measure = measures[at - 1], measures[at]
        here = []
        if measure.repeat_start or (before.repeat_end and not (before.ending and measure.ending)):
            here.append("repeat")
        elif before.ending and not measure.ending:
            here.append("ending")
        if before.barline in ("double", "final", "heavy"):
            here.append("double bar")
        if before.fine and jumps:
            here.append("Fine")
        if measure.segno:
            here.append("segno")
        if measure.coda:
            here.append("coda")
        if here:
            found[at] = here
    for at in _key_changes(score):
        found.setdefault(at, []).append("key signature")
    for mark in score.rehearsal_marks:
        if mark.measure:
            found.setdefault(mark.measure, []).append(f"rehearsal mark {mark.text}")
    return found


def _key_changes(score: Score) -> list[int]:
    """Return the measures at which the key signature of at least half of the parts changes."""
    changes: dict[int, set[int]] = {}
    last: dict[int, int] = {}
    for key in score.key_signatures:
        if key.part in last and last[key.part] != key.fifths:
            at = key.measure if key.onset == 0 else key.measure + 1
            changes.setdefault(at, set()).add(key.part)
        last[key.part] = key.fifths
    parts = max(len(last), 1)
    return [at for at, changed in changes.items() if 0 < at < len(score.measures) and 2 * len(changed) >= parts]


def _named(played: Score) -> list[tuple[int, str]]:
    """Return the measures whose words or rehearsal marks name a section, with its name."""
    found = []
    texts = [(mark.measure, mark.text) for mark in played.rehearsal_marks]
    texts += [(word.measure, word.text) for word in played.words]
    for measure, text in texts:
        if name := section_name(text):
            found.append((measure, name))
    return found


def section_name(text: str) -> str:
    """Return the section that words name, ``''`` where they name none.

    Examples
    --------
    >>> section_name("Tempo di Menuetto"), section_name("Trio."), section_name("Menuetto da capo"), section_name("dolce")
    ('minuet', 'trio', '', '')
    """
    words = " ".join(text.casefold().split())
    if re.search(r"\bd\. ?c\.|\bd\. ?s\.|da capo|dal segno|al fine|to coda|alla coda", words):
        return ""
    for printed, name in SECTION_WORDS:
        if re.search(rf"\b{re.escape(printed)}\b", words):
            return name
    return ""
