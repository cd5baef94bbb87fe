"""The bundled fiddle and pipe tunes with repeat signs, and what their signs say of the strains: for tests and benchmarks.

The written repeats are the truth: a strain begins where a repeated passage begins each time it is played, behind a closing
sign and behind a last ending. Two strains are the same if the same passage is played, or if they agree note for note but
for their last bar. Strains are told by the full bar that they begin with.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from music21 import corpus

from musictheory_nb.score.bar_unit import bar_units
from musictheory_nb.score.load import load_tunes
from musictheory_nb.score.measure_likeness import measure_likeness

#: Folders of the corpus with fiddle and pipe tunes in ABC.
FOLDERS = ("ryansMammoth", "airdsAirs", "oneills1850", "miscFolk", "nottingham-dataset")


@dataclass(frozen=True)
class Strains:
    """Strains by their first bars, each with a number that is the same for the same music; `bars` is the whole."""

    starts: tuple[int, ...]
    same: tuple[int, ...]
    bars: int


def tune_files():
    """The files, folder by folder, in the order of their names."""
    root = Path(corpus.getWork("ryansMammoth/SamHidesJig")).parent.parent
    return [path for folder in FOLDERS for path in sorted((root / folder).glob("*.abc"))]


def tunes_of(path):
    """The tunes of a file that have repeat signs."""
    return [tune for tune in load_tunes(path) if any(measure.repeat_end for measure in tune.measures)]


def numbered(names):
    """Names as numbers in the order in which they come."""
    known = {}
    return tuple(known.setdefault(name, len(known)) for name in names)


def written_strains(tune):
    """What the signs say."""
    measures, order = tune.measures, tune.play_order
    begins = {0}
    for at in range(1, len(measures)):
        before, here = measures[at - 1], measures[at]
        after_repeat = before.repeat_end and not (before.ending and here.ending)
        if here.repeat_start or after_repeat or (before.ending and not here.ending):
            begins.add(at)
    passage = np.maximum.accumulate([at if at in begins else 0 for at in range(len(measures))]).tolist()
    played = tune.played()
    units = bar_units(played.measures)
    unit_of = {at: unit.index for unit in units for at in range(unit.first, unit.last + 1)}
    starts = {}
    for at, written in enumerate(order):
        if at and written not in begins and written > order[at - 1]:
            continue
        unit = unit_of[at] + (at > units[unit_of[at]].bar)
        if unit < len(units):
            starts[unit] = passage[written]
    firsts = sorted(starts)
    ends = [*firsts[1:], len(units)]
    likeness = measure_likeness(played, units).overall
    equal = {}
    spans = {}
    for first, end in zip(firsts, ends, strict=True):
        spans.setdefault(starts[first], (first, end))
    for name, (first, end) in spans.items():
        like = [other for other in equal if agree(likeness, spans[other], (first, end))]
        equal[name] = equal[like[0]] if like else name
    return Strains((0, *firsts[1:]), numbered(equal[starts[first]] for first in firsts), len(units))


def agree(likeness, one, other):
    """Whether two spans of bars are equally long and the same but for the last bar."""
    size = one[1] - one[0]
    same = size == other[1] - other[0] and size >= 2
    return same and min(likeness[one[0] + step, other[0] + step] for step in range(size - 1)) > 0.97


def heard_strains(tune, form):
    """What a form found by the notes alone says."""
    played = tune.played()
    units = bar_units(played.measures)
    bar_of = {unit.bar: unit.index for unit in units}
    starts = tuple(bar_of[section.first] for section in form.sections)
    return Strains((0, *starts[1:]), numbered(section.label for section in form.sections), len(units))
