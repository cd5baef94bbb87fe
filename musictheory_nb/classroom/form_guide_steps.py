"""From the analysis of a piece to the steps of a guide through its form: a draft that a teacher reads and mends."""

from typing import Final

from musictheory_nb.practice.form_question import MOST_ROWS
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.score.finding import Finding
from musictheory_nb.score.form_section import Section
from musictheory_nb.score.piece import Piece

#: Findings less sure than this are left out.
LEAST_CONFIDENCE: Final = 0.75
#: Names of findings that are pedal points, and the voice of each.
PEDALS: Final = {"pedal point": "bass", "inner pedal point": "inner", "upper pedal point": "upper"}


def written_sections(piece: Piece) -> tuple[Section, ...]:
    """Return the sections of a piece as written, each once, in the order of the score."""
    first: dict[int, Section] = {}
    at = {measure.number: measure.index for measure in reversed(piece.measures)}
    for section in piece.form().sections:
        first.setdefault(at[section.first_measure], section)
    return tuple(first[index] for index in sorted(first))


def _spans(piece: Piece, sections: tuple[Section, ...]) -> list[list[str]]:
    """Return the first and last printed number of each section, up to where the next one begins."""
    at = {measure.number: measure.index for measure in reversed(piece.measures)}
    starts = [at[section.first_measure] for section in sections]
    ends = [start - 1 for start in starts[1:]] + [len(piece.measures) - 1]
    return [[piece.measures[a].number, piece.measures[b].number] for a, b in zip(starts, ends, strict=True)]


def finding_step(one: Finding) -> dict[str, JSON] | None:
    """Return the step that asks for a finding; None for one that no step asks for.

    Examples
    --------
    >>> from musictheory_nb.score.finding import Finding
    >>> held = Finding("pedal point", 0, 3, "1", "4", ("Bass",), (), "Bars 1-4: Bass holds G.", 0.9, {"pitch": "G"})
    >>> finding_step(held)["answer"]
    [['1', '4'], 'G', 'bass']
    """
    span: list[JSON] = list(one.measures)
    if "cadence" in one.details:
        return {"ask": "cadence", "measures": span, "answer": one.details["cadence"], "why": one.sentence}
    if one.name in PEDALS:
        return {"ask": "pedal point", "answer": [span, one.details["pitch"], PEDALS[one.name]], "why": one.sentence}
    turns, parties = one.details.get("turns"), one.details.get("parties")
    if (
        one.name == "trading"
        and isinstance(turns, list)
        and isinstance(parties, list)
        and len(set(map(str, turns))) == 1
    ):
        names = [name for party in parties if isinstance(party, list) for name in party]
        if isinstance(turns[0], int):
            return {"ask": "trading", "answer": [span, names, turns[0]], "why": one.sentence}
    return None


def orchestration_step(piece: Piece) -> dict[str, JSON] | None:
    """Return the step that asks who plays in each section; None where there is no choice, or nothing changes.

    Parts without pitches are left out, as they are in excerpts.
    """
    spans = _spans(piece, written_sections(piece))
    at = {measure.number: measure.index for measure in reversed(piece.measures)}
    rows: list[JSON] = []
    for first, last in spans:
        inside = range(at[first], at[last] + 1)
        heard = {note.part for note in piece.notes if note.kind == "note" and note.measure in inside}
        names = (part.name for part in piece.parts if part.index in heard and not part.is_unpitched)
        rows.append([[first, last], list(dict.fromkeys(names))])
    different = {str(row[1]) for row in rows if isinstance(row, list)}
    if not 2 <= len(rows) <= MOST_ROWS or len(different) < 2 or "[]" in different:
        return None
    return {"ask": "orchestration", "answer": rows}


def form_guide_steps(piece: Piece) -> list[dict[str, JSON]]:
    r"""Return steps for the exercise family ``form-guide``, made from the analysis of a piece.

    Sections with their letters, where the first of each letter comes back, cadences, pedal points, trading, and who plays
    where that changes. Analysis can err: read the steps, take out what you do not want to ask, and add hints.

    Parameters
    ----------
    piece : Piece
        What `load_score` returns; freeze the same piece into the lesson.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> strain, other = "CEGE|FAcA|GBdB|c2c2|" * 2, "cAFA|BGEG|AFDF|EDC2|" * 2
    >>> tune = load_score(f"X:1\nM:2/4\nL:1/8\nK:C\n|:{strain[:-1]}:|:{other[:-1]}:|\n".encode(), cache=False)
    >>> form_guide_steps(tune)[0]
    {'ask': 'sections', 'answer': [['1', 'A'], ['9', 'B']]}
    """
    sections = written_sections(piece)
    spans = _spans(piece, sections)
    steps: list[dict[str, JSON]] = []
    if 2 <= len(sections) <= MOST_ROWS:
        rows: list[JSON] = [
            [section.first_measure, section.label.replace("'", "′") or section.name.lower()] for section in sections
        ]
        steps.append({"ask": "sections", "answer": rows})
        for letter in dict.fromkeys(section.letter for section in sections if section.letter):
            own = [span for section, span in zip(sections, spans, strict=True) if section.letter == letter]
            if len(own) > 1:
                steps.append({"ask": "returns", "measures": own[0], "answer": own[1:]})
        if (players := orchestration_step(piece)) is not None:
            steps.append(players)
    made = (finding_step(one) for one in piece.devices() if one.confidence >= LEAST_CONFIDENCE)
    return steps + [step for step in made if step is not None]
