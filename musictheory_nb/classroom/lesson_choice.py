"""Which exercises a lesson from a piece has: what every maker proposes (`proposals`), and a choice of it (`chosen`)."""

from collections.abc import Callable, Iterator
from typing import Final

from musictheory_nb.classroom.form_proposal import form_proposals
from musictheory_nb.classroom.harmony_proposal import harmony_proposals
from musictheory_nb.classroom.interval_proposal import interval_proposals
from musictheory_nb.classroom.lesson_options import LessonOptions
from musictheory_nb.classroom.lesson_proposal import Proposal
from musictheory_nb.classroom.line_proposal import implied_proposals, role_proposals
from musictheory_nb.classroom.piece_analysis import Analysis
from musictheory_nb.classroom.scale_proposal import degree_proposals, passage_proposals, scale_proposals
from musictheory_nb.classroom.texture_proposal import texture_proposals
from musictheory_nb.errors import LessonError

_MAKERS: Final[tuple[Callable[[Analysis, LessonOptions], Iterator[Proposal]], ...]] = (
    interval_proposals,
    degree_proposals,
    harmony_proposals,
    implied_proposals,
    scale_proposals,
    passage_proposals,
    role_proposals,
    form_proposals,
    texture_proposals,
)


def proposals(analysis: Analysis, options: LessonOptions) -> tuple[Proposal, ...]:
    """Return every exercise that the piece offers, group by group, the most telling of each first."""
    return tuple(proposal for maker in _MAKERS for proposal in maker(analysis, options))


def chosen(found: tuple[Proposal, ...], options: LessonOptions) -> tuple[Proposal, ...]:
    """Return as many as the lesson shall have, in the order of the course: those in focus, then the others in turn.

    Raises
    ------
    LessonError
        The piece offers nothing that can be asked.
    """
    if not found:
        raise LessonError("this piece offers nothing to ask: it has too few notes, chords and sections")
    before: dict[str, int] = {}
    ranked = []
    for at, one in enumerate(found):
        turn = before[one.group] = before.get(one.group, -1) + 1
        ranked.append((bool(options.focus) and one.group not in options.focus, turn, at))
    return tuple(found[at] for at in sorted(at for _, _, at in sorted(ranked)[: options.length]))
