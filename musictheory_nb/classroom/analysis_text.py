"""What is said of a piece as lines for a terminal, a file or a mail: plain text, no wider than asked."""

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from musictheory_nb.classroom.analysis_words import (
    GROUP_TITLES,
    bars,
    counted,
    first_of_each,
    form_sentence,
    heading,
    how_sure,
    is_told_by_form,
    key_sentence,
    numerals_by_bar,
    percent,
    section_keys,
    section_phrases,
    section_words,
    selection_words,
    surest,
    what_it_is,
)
from musictheory_nb.classroom.piece_analysis import Analysis
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.score.part_summary import part_summaries

WIDTH: Final = 100
#: Findings of one name that are told, unless all are asked for.
MOST_OF_A_KIND: Final = 6
#: Most phrases of a section that are told.
_PHRASES: Final = 12
_LONG: Final = 4000
#: A blank at which no line is broken.
_FIXED: Final = "\u00a0"


@dataclass(frozen=True, slots=True)
class Line:
    """One line, and whether it is a heading."""

    text: str
    is_heading: bool = False


def analysis_lines(analysis: Analysis, *, width: int = WIDTH, every: bool = False) -> tuple[Line, ...]:
    r"""Return the summary of a piece.

    Parameters
    ----------
    analysis : Analysis
        What `piece_analysis.analyse` returns.
    width : int
        Letters in a line; at least 40.
    every : bool
        Tell all findings, not only the surest of each name.

    Examples
    --------
    >>> from musictheory_nb.classroom.piece_analysis import analyse
    >>> from musictheory_nb.score.load import load_score
    >>> piece = load_score(b"X:1\nT:Three\nM:4/4\nL:1/2\nK:C\n[CEGc]2|[DFGB]2|[CEGc]2|]\n", cache=False)
    >>> for line in analysis_lines(analyse(piece))[:3]:
    ...     print(line.text)
    Three
    1 part; 3 measures; 12 notes; 4/4
    <BLANKLINE>
    """
    page = _Page(max(width, 40))
    page.head(plain_line(heading(analysis), width))
    page.text(what_it_is(analysis))
    page.text(selection_words(analysis))
    page.head("Key")
    page.text(key_sentence(analysis))
    if len(analysis.keys) > 1:
        page.rows(list(_key_rows(analysis)))
    page.head("Form")
    page.text(form_sentence(analysis))
    _tell_sections(page, analysis)
    if analysis.harmony:
        page.head("Harmony, section by section")
        page.text(
            "Bar: numerals in the key named in [ ]; ( ) goes on from before; – no new chord; ? less than half sure."
        )
        for section, times in first_of_each(analysis):
            again = f", {times} times" if times > 1 else ""
            page.text(f"{section_words(section)}{again}", indent=2)
            page.items(numerals_by_bar(analysis.section_chords(section)), indent=4)
    page.head("Parts")
    page.rows(
        [
            (one.part.name, one.range_words, counted(one.notes, "note"), f"in {percent(one.share)} of the bars")
            for one in part_summaries(analysis.piece)
        ]
    )
    _tell_findings(page, analysis, every)
    page.head("How sure")
    for sentence in how_sure(analysis):
        page.text(sentence)
    return tuple(page.lines)


class _Page:
    """Lines as they come, wrapped."""

    def __init__(self, width: int) -> None:
        self.width = width
        self.lines: list[Line] = []

    def head(self, text: str) -> None:
        if self.lines:
            self.lines.append(Line(""))
        self.lines.append(Line(text, is_heading=True))

    def text(self, text: str, indent: int = 0) -> None:
        shown = plain_line(text, _LONG).replace(" % sure", f"{_FIXED}%{_FIXED}sure")
        self._wrap(shown, indent)

    def items(self, items: Sequence[str], indent: int) -> None:
        """Write short texts with strokes between them; a line is broken only there."""
        shown = (plain_line(item, _LONG).replace(" ", _FIXED) for item in items)
        self._wrap(f"{_FIXED}| ".join(shown), indent)

    def _wrap(self, text: str, indent: int) -> None:
        lead = " " * indent
        wrapped = textwrap.wrap(
            text,
            self.width,
            initial_indent=lead,
            subsequent_indent=lead + "  " * bool(indent),
            break_on_hyphens=False,
        )
        self.lines.extend(Line(line.replace(_FIXED, " ")) for line in wrapped)

    def rows(self, rows: Sequence[Sequence[str]], indent: int = 2) -> None:
        """Write rows in columns."""
        shown = [[plain_line(cell, 40) for cell in row] for row in rows]
        wide = [max(len(row[at]) for row in shown) for at in range(len(shown[0]))] if shown else []
        for row in shown:
            line = " " * indent + "   ".join(cell.ljust(size) for cell, size in zip(row, wide, strict=True)).rstrip()
            self.lines.append(Line(line[: self.width]))


def _key_rows(analysis: Analysis) -> Iterator[tuple[str, ...]]:
    measures = analysis.piece.measures
    for span in analysis.keys:
        where = bars(measures[span.measure].number, measures[span.last_measure].number)
        shown = f"{span.cadences} motion{'s' * (span.cadences != 1)} from dominant to tonic"
        yield where, span.key.name, f"{percent(span.confidence)} sure", shown


def _tell_sections(page: _Page, analysis: Analysis) -> None:
    """Tell each section; what was told of one with the same label is not told again."""
    told: set[tuple[str, str, str]] = set()
    phrased: set[tuple[str, str]] = set()
    for section in analysis.form.sections:
        keys = section_keys(analysis, section)
        page.text(
            f"{section_words(section)}: {counted(section.bars, 'bar')}{' with a pickup' * section.has_pickup}"
            + (f"; {keys}" if keys else ""),
            indent=2,
        )
        place = (section.label, section.first_measure, section.last_measure)
        if 1 < len(section.phrases) <= _PHRASES and place[:2] not in phrased:
            phrased.add(place[:2])
            page.text(f"Phrases: {section_phrases(section)}.", indent=6)
        if section.like is None:
            continue
        model = section_words(analysis.form.sections[section.like])
        if place in told or not section.changes:
            page.text("The same again." if place in told else f"The same as {model}.", indent=6)
        else:
            page.text(f"As {model}, changed:", indent=6)
            for change in section.changes:
                page.text(change, indent=8)
        told.add(place)


def _tell_findings(page: _Page, analysis: Analysis, every: bool) -> None:
    kinds = {name: found for name, found in analysis.by_kind().items() if not is_told_by_form(analysis, name)}
    for group, title in GROUP_TITLES.items():
        own = {name: found for name, found in kinds.items() if found[0].group == group}
        if own:
            page.head(title)
        for name, found in own.items():
            shown = found if every else surest(found, MOST_OF_A_KIND)
            page.text(f"{name[0].upper()}{name[1:]} ({len(found)})", indent=2)
            for one in shown:
                page.text(f"{one.sentence} ({percent(one.confidence)} sure)", indent=4)
            if len(found) > len(shown):
                page.text(f"… and {len(found) - len(shown)} more; --all tells every one", indent=4)
