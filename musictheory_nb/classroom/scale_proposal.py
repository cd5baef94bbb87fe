"""What a piece offers on scales: those over its chords, those its passages are in, and the degrees of its key."""

from collections.abc import Iterator
from typing import Final

from musictheory_nb.classroom.harmony_proposal import sure_chords, upper_symbol
from musictheory_nb.classroom.lesson_options import SURE, LessonOptions
from musictheory_nb.classroom.lesson_proposal import Proposal, exercise, whole
from musictheory_nb.classroom.piece_analysis import Analysis
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.scale_vocabulary import MODES

#: Fewest different chords about which it is worth asking, and most that are asked.
_FEWEST, _MOST = 3, 12
#: Passages that are asked about.
_PASSAGES: Final = 4


def scale_proposals(analysis: Analysis, options: LessonOptions) -> Iterator[Proposal]:
    """Yield what the piece offers on scales over its chords."""
    if options.level == "first":
        return
    taught: list[str] = []
    for span in sure_chords(analysis):
        symbol = upper_symbol(span.chord)
        if symbol in taught or len(taught) == _MOST:
            continue
        if any(exercise("try", "scale-over-chord", {"chords": [symbol]}, 1)):
            taught.append(symbol)
    if len(taught) < _FEWEST:
        return
    steps = ["scales", "avoid"] if options.level == "middle" else ["scales", "avoid", "why"]
    for one in exercise("choose-scales", "scale-over-chord", {"chords": taught, "ask": steps}, min(4, len(taught))):
        yield Proposal(
            "scales",
            one,
            "choose scales that fit a chord of the piece",
            "Scales over the chords",
            "Which scale would you play over these chords, if the piece were yours to improvise on?",
        )


def degree_proposals(analysis: Analysis, options: LessonOptions) -> Iterator[Proposal]:
    """Yield the degrees of the key of the piece, to be named by ear."""
    if analysis.key is None or analysis.key.confidence < SURE:
        return
    key = analysis.key.key
    for one in exercise("hear-degrees", "degree-by-ear", {"keys": [key.name]}, 6):
        yield Proposal(
            "scales",
            one,
            "name the degree of a note in the key of the piece by ear",
            "Degrees of the key",
            f"The piece is in {key.display}. A cadence sets the key; then comes a note. Does it rest, or which way does it lean?",
        )


def passage_proposals(analysis: Analysis, options: LessonOptions) -> Iterator[Proposal]:
    """Yield the scales of passages; in a first course those that are taught there."""
    music = whole(analysis.piece)
    if music is None:
        return
    rows: dict[str, JSON] = {}
    for found in sorted(analysis.findings, key=lambda one: one.first - one.last):  # the longest first
        if found.name != "scale in use" or found.confidence < SURE or "scale" not in found.details:
            continue
        if options.level == "first" and found.details.get("kind") not in MODES:
            continue
        row: JSON = [found.first_number, found.last_number, found.details["scale"]]
        if any(exercise("try", "scale-of-a-passage", {"excerpt": "piece", "passages": [row]}, 1, {"piece": music})):
            rows.setdefault(str(found.details["scale"]), row)
    asked = list(rows.values())[:_PASSAGES]
    if not asked:
        return
    settings: dict[str, JSON] = {"excerpt": "piece", "passages": asked}
    for one in exercise("scale-of-passages", "scale-of-a-passage", settings, len(asked), {"piece": music}):
        yield Proposal(
            "scales",
            one,
            "say which scale a passage of the piece draws on",
            "The scale of a passage",
            "Where is home, and which note tells the scale from its neighbors? Sing the passage, then name both.",
        )
