"""Sentences about a piece that the summary and the page share."""

from collections.abc import Iterable, Sequence
from statistics import fmean
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.piece_analysis import Analysis
from musictheory_nb.score.finding import Finding
from musictheory_nb.score.form_section import Section
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.measure import Measure

#: Groups of findings, in the order in which they are told, with their headings.
GROUP_TITLES: Final = MappingProxyType(
    {
        "form": "Form, further",
        "harmony": "Harmony",
        "scales": "Scales",
        "intervals": "Intervals and lines",
        "texture": "Texture",
        "rhythm": "Rhythm",
    }
)
#: Below so much confidence a chord counts as unsure.
UNSURE: Final = 0.5
_MOST_BARS: Final = 24
_MOST_METRES: Final = 4


def percent(share: float) -> str:
    """Return a share from 0 to 1 as text: ``'87 %'``."""
    return f"{100 * share:.0f} %"


def counted(number: int, thing: str) -> str:
    """Return a number and what it counts: ``'1 note'``, ``'12 notes'``."""
    return f"{number:,} {thing}{'s' * (number != 1)}".replace(",", " ")


def section_words(section: Section) -> str:
    """Return label, role and bars of a section: ``"A' (return), bars 9-16"``."""
    return f"{section_name(section)}, {bars(section.first_measure, section.last_measure)}"


def bars(first: str, last: str) -> str:
    """Return bars as text: ``'bars 3-6'``, ``'bar 3'``."""
    return f"bar {first}" if first == last else f"bars {first}-{last}"


def heading(analysis: Analysis) -> str:
    """Return title and composer, or the file's name where it has no title."""
    piece = analysis.piece
    title = piece.title or piece.source or "A piece without a title"
    return f"{title} – {piece.composer}" if piece.composer else title


def what_it_is(analysis: Analysis) -> str:
    """Return in a sentence how large the piece is and what it is written for."""
    piece = analysis.piece
    metres = [metre for metre in dict.fromkeys(measure.metre for measure in piece.measures) if metre]
    played = len(piece.played().measures)
    told = [
        counted(len(piece.parts), "part"),
        counted(len(piece.measures), "measure") + (f" ({played} as played)" if played != len(piece.measures) else ""),
        counted(len(piece.joined_notes), "note"),
    ]
    if metres:
        more = f" and {len(metres) - _MOST_METRES} more metres" if len(metres) > _MOST_METRES else ""
        told.append(", ".join(metres[:_MOST_METRES]) + more)
    if piece.source:
        told.append(f"file {piece.source}")
    return "; ".join(told)


def key_sentence(analysis: Analysis) -> str:
    """Return the key of the piece with its confidence and what speaks for it."""
    found = analysis.key
    if found is None:
        return "No key can be told: there are no notes with a pitch."
    other = f"; next comes {found.candidates[1].key.name}" if len(found.candidates) > 1 else ""
    return f"{found.key.name}, {percent(found.confidence)} sure{other}. {_sentence(found.reason)}"


def form_sentence(analysis: Analysis) -> str:
    """Return the form's name, its plan, and what the name rests on."""
    form = analysis.form
    if not form.name:
        told = f"No standard form fits; the plan is {form.plan or 'one section'}"
    else:
        inner = f" ({', then '.join(form.inner_names)})" if form.inner_names else ""
        told = f"{form.name}{inner}; the plan is {form.plan}"
    if form.times > 1:
        told += f", played {form.times} times"
    if form.second_theme:
        told += f"; from bar {form.second_theme} on, the recapitulation moves to another key what the exposition had"
    because = f". {_sentence('; '.join(form.evidence))}" if form.evidence else "."
    return told[0].upper() + told[1:] + because


def section_name(section: Section) -> str:
    """Return the label of a section with its role: ``"A' (return)"``."""
    return f"{section.label} ({section.role})" if section.role and section.label else section.name


def section_phrases(section: Section) -> str:
    """Return the phrases of a section by the bars in which they begin and end: ``'a 2–5, b 6–9'``."""
    return ", ".join(
        f"{one.label} {one.first_measure}" + f"–{one.last_measure}" * (one.last != one.first) for one in section.phrases
    )


def section_keys(analysis: Analysis, section: Section) -> str:
    """Return the keys of a section in order: ``'G major, D major'``."""
    return ", ".join(dict.fromkeys(span.key.name for span in analysis.section_keys(section)))


def first_of_each(analysis: Analysis) -> tuple[tuple[Section, int], ...]:
    """Return the first section of each label, and how often that label comes."""
    labels = [section.label for section in analysis.form.sections]
    return tuple(
        (section, labels.count(section.label))
        for at, section in enumerate(analysis.form.sections)
        if labels.index(section.label) == at
    )


def chord_name(span: HarmonySpan) -> str:
    """Return the numeral of a chord, or its symbol in quotes where no numeral is usual; unsure ones with ``?``."""
    if span.numeral is not None:
        name = span.numeral.figure
    else:
        name = "N.C." if span.chord.is_no_chord else f"'{span.chord.symbol}'"
    return name + "?" * (span.confidence < UNSURE)


def numerals_by_bar(rows: Iterable[tuple[Measure, Sequence[HarmonySpan]]]) -> tuple[str, ...]:
    """Return a text for each bar with its numerals, keys named where they change: ``'1: [G major] I V6'``.

    A chord that goes on from before the first bar is in round brackets.
    """
    found: list[str] = []
    key = number = ""
    for measure, spans in rows:
        told = []
        for span in spans:
            if span.key.name != key:
                key = span.key.name
                told.append(f"[{key}]")
            told.append(f"({chord_name(span)})" if span.start < measure.start else chord_name(span))
        if measure.number == number and found:  # the other half of a split bar
            found[-1] = " ".join([found[-1], *told])
        else:
            found.append(f"{measure.number}: {' '.join(told) or '–'}")
        number = measure.number
    return tuple(found)


def how_sure(analysis: Analysis) -> tuple[str, ...]:
    """Return sentences on how far what is said can be relied on."""
    told = ["All of this is worked out from the notes by rule; where it matters, look at the bars that are named."]
    if analysis.key is not None:
        told.append(f"Key of the piece: {percent(analysis.key.confidence)} sure.")
    written = sum(span.origin == "written" for span in analysis.harmony)
    implied = [span for span in analysis.harmony if span.origin == "implied"]
    if written:
        told.append(f"{counted(written, 'chord')} written in the score as chord symbols.")
    if implied:
        unsure = [span for span in implied if span.confidence < UNSURE]
        numbers = list(dict.fromkeys(analysis.piece.measures[span.measure].number for span in unsure))
        more = f" and {len(numbers) - _MOST_BARS} more" if len(numbers) > _MOST_BARS else ""
        where = f"; less than half sure (marked ?): {len(unsure)}, in {'bar' if len(numbers) == 1 else 'bars'} "
        where += f"{', '.join(numbers[:_MOST_BARS])}{more}" if unsure else ""
        told.append(
            f"{counted(len(implied), 'chord')} found from the notes, {percent(fmean(s.confidence for s in implied))} sure "
            f"on average{where if unsure else ''}."
        )
    if analysis.findings:
        found = [one.confidence for one in analysis.findings]
        told.append(f"{counted(len(found), 'finding')}, from {percent(min(found))} to {percent(max(found))} sure.")
    return (*told, *(f"The file: {_sentence(notice)}" for notice in analysis.piece.notices))


def selection_words(analysis: Analysis) -> str:
    """Return which findings are told, or ``''`` where all are."""
    if analysis.is_whole:
        return ""
    chosen, measures = analysis.selection, analysis.piece.measures
    parts = f" and of {', '.join(chosen.parts)}" if chosen.parts else ""
    where = bars(measures[chosen.first].number, measures[chosen.last].number)
    return f"Only findings of {where}{parts} are told."


def is_told_by_form(analysis: Analysis, name: str) -> bool:
    """Whether findings of this name say what the sections and their roles say already."""
    roles = {section.role for section in analysis.form.sections}
    return name in {"section", "return", "standard form", *roles}


def surest(found: Sequence[Finding], most: int) -> tuple[Finding, ...]:
    """Return the findings that are surest, the longer ones first where equal, in the order of the bars."""
    ranked = sorted(range(len(found)), key=lambda at: (-found[at].confidence, found[at].first - found[at].last, at))
    return tuple(found[at] for at in sorted(ranked[:most]))


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")
