"""What an analysis is not sure of, each as the line of corrections that would confirm it (`doubts`)."""

from collections.abc import Iterator

from musictheory_nb.classroom.analysis_words import percent
from musictheory_nb.classroom.corrected_piece import BY_TEACHER
from musictheory_nb.classroom.form_proposal import written_sections
from musictheory_nb.classroom.lesson_options import SURE
from musictheory_nb.classroom.piece_analysis import Analysis


def doubts(analysis: Analysis) -> tuple[tuple[str, str], ...]:
    """Return (line of corrections, why it is in doubt) for whatever lies below `lesson_options.SURE`.

    Sections are given whole when one of them is in doubt, since their lines make up one plan.
    """
    return tuple(_all(analysis))


def _all(analysis: Analysis) -> Iterator[tuple[str, str]]:
    if analysis.key is not None and analysis.key.confidence < SURE:
        others = ", ".join(one.key.name for one in analysis.key.candidates[1:3])
        why = f"{percent(analysis.key.confidence)} sure" + (f"; or {others}" if others else "")
        yield f"key: {analysis.key.key.name}", why
    told = [one for one in analysis.findings if one.name in ("section", "return", "introduction", "coda")]
    if BY_TEACHER not in analysis.form.evidence and any(one.confidence < SURE for one in told):
        for number, letter, why in written_sections(analysis):
            yield f"section {number}: {letter}", why
    for span in analysis.harmony:
        if span.confidence < SURE and not span.chord.is_no_chord:
            beat = "" if span.beat == 1 else f" beat {span.beat}"
            number = analysis.piece.measures[span.measure].number
            yield f"chord {number}{beat}: {span.chord.symbol}", f"{percent(span.confidence)} sure"
    for one in analysis.findings:
        if one.confidence < SURE and one not in told:
            yield f"sure {one.first_number}-{one.last_number}: {one.name}", f"{percent(one.confidence)} sure"
