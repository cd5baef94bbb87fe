"""What a piece offers on texture: who plays where, a note that is held, and who takes turns with whom."""

from collections.abc import Iterator
from typing import Final

from musictheory_nb.classroom.form_guide_steps import PEDALS, finding_step, orchestration_step
from musictheory_nb.classroom.form_proposal import is_form_sure
from musictheory_nb.classroom.lesson_options import SURE, LessonOptions
from musictheory_nb.classroom.lesson_proposal import Proposal, exercise, whole
from musictheory_nb.classroom.piece_analysis import Analysis
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.score.finding import Finding

_TRADING: Final = ("trading",)
#: Findings of a kind that are asked for.
_MOST: Final = 2
#: How many measures are told beyond a finding, on either side.
_ROOM: Final = 12


def texture_proposals(analysis: Analysis, options: LessonOptions) -> Iterator[Proposal]:
    """Yield what the piece offers on its texture.

    Where to look for a pedal point or for trading is told, so that no other of its kind lies there.
    """
    music = whole(analysis.piece)
    if music is None:
        return
    steps: list[JSON] = []
    players = orchestration_step(analysis.piece)
    if players is not None and is_form_sure(analysis):
        steps.append(players)
    for names in (PEDALS, _TRADING):
        found = [one for one in analysis.findings if one.name in names]
        for told in [one for one in found if one.confidence >= SURE][:_MOST]:
            step, around = finding_step(told), _around(analysis, told, found)
            if step is not None and around is not None:
                steps.append({**step, "measures": list(around)})
    asked = [
        step
        for step in steps
        if any(exercise("try", "form-guide", {"excerpt": "piece", "steps": [step]}, 1, {"piece": music}))
    ]
    if not asked:
        return
    settings = {"excerpt": "piece", "steps": asked, "hints": options.level != "advanced"}
    for one in exercise("follow-the-players", "form-guide", settings, len(asked), {"piece": music}):
        yield Proposal(
            "texture",
            one,
            "say who plays where, which note is held, and who takes turns",
            "Who plays, and what for",
            "Follow one part at a time: first the lowest, then the highest. Where does it rest, where does it stay, whom does it "
            "answer?",
        )


def _around(analysis: Analysis, one: Finding, alike: list[Finding]) -> tuple[str, str] | None:
    """Return first and last measure between which to look: none of its kind but this one lies there, or None."""
    others = [other for other in alike if other is not one]
    if any(other.first <= one.last and other.last >= one.first for other in others):
        return None
    first = max([0, one.first - _ROOM, *(other.last + 1 for other in others if other.last < one.first)])
    last = min(
        [
            len(analysis.piece.measures) - 1,
            one.last + _ROOM,
            *(other.first - 1 for other in others if other.first > one.last),
        ]
    )
    return analysis.piece.measures[first].number, analysis.piece.measures[last].number
