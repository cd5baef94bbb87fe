"""Measures with a repeat sign amid them made into two, so that every repeat is between measures."""

from dataclasses import replace
from itertools import pairwise
from typing import Any

from musictheory_nb.score.draft import Draft, DraftCut, DraftMeasure


def cut_measures(draft: Draft) -> Draft:
    """Return the draft with each measure that holds a repeat sign split there; its later half is not counted anew."""
    cuts: dict[int, dict[int, list[DraftCut]]] = {}
    for cut in draft.cuts:
        if 0 < cut.onset < draft.measures[cut.measure].content:
            cuts.setdefault(cut.measure, {}).setdefault(cut.onset, []).append(cut)
    if not cuts:
        return draft
    first_of: list[int] = []
    measures: list[DraftMeasure] = []
    for at, measure in enumerate(draft.measures):
        first_of.append(len(measures))
        measures += _halves(measure, cuts.get(at, {}))
    places = {at: [0, *sorted(onsets)] for at, onsets in cuts.items()}

    def moved(row: Any) -> Any:
        at, onset = row.measure, row.onset
        begins = places.get(at, [0])
        half = max(index for index, begin in enumerate(begins) if begin <= onset)
        return row._replace(measure=first_of[at] + half, onset=onset - begins[half])

    names = ("notes", "keys", "clefs", "transpositions", "chords", "rehearsals", "tempos", "words", "signs")
    changes: dict[str, Any] = {name: [moved(row) for row in getattr(draft, name)] for name in names}
    return replace(draft, measures=measures, cuts=[], **changes)


def _halves(measure: DraftMeasure, cuts: dict[int, list[DraftCut]]) -> list[DraftMeasure]:
    """Return the parts of a measure between its cuts, which are keyed by where they are."""
    if not cuts:
        return [measure]
    edges = [0, *sorted(cuts), measure.content]
    halves = []
    for half, (begin, end) in enumerate(pairwise(edges)):
        piece = replace(measure, content=end - begin, implicit=measure.implicit or half > 0)
        piece.filled, piece.sounding = (
            min(max(reach - begin, 0), end - begin) for reach in (measure.filled, measure.sounding)
        )
        if half:
            piece.repeat_start, piece.ending_start = False, ()
        if end != edges[-1]:
            piece.repeat_end, piece.times, piece.ending_stop, piece.barline = False, 0, False, "regular"
        halves.append(piece)
    for half, onset in enumerate(sorted(cuts)):
        for cut in cuts[onset]:
            if cut.closes:
                halves[half].repeat_end, halves[half].times = True, cut.times
            else:
                halves[half + 1].repeat_start = True
    return halves
