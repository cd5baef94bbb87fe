"""What is said of a piece as one page that stands alone: pictures, notation of the findings, and a text twin of each."""

import re
from collections.abc import Callable, Iterator, Sequence
from importlib.resources import files
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.analysis_words import (
    GROUP_TITLES,
    bars,
    counted,
    first_of_each,
    form_sentence,
    heading,
    how_sure,
    key_sentence,
    numerals_by_bar,
    percent,
    section_keys,
    section_name,
    section_words,
    selection_words,
    surest,
    what_it_is,
)
from musictheory_nb.classroom.page import Column, Markup, element, joined, page, picture, shortened, table
from musictheory_nb.classroom.piece_analysis import Analysis
from musictheory_nb.classroom.proving_notation import proving_notation
from musictheory_nb.errors import MediaError, ScoreError
from musictheory_nb.media.chord_text import printed_chord
from musictheory_nb.media.form_picture import form_picture
from musictheory_nb.media.harmonic_rhythm_picture import harmonic_rhythm_picture
from musictheory_nb.media.piano_roll_picture import piano_roll_picture
from musictheory_nb.media.picture import Picture
from musictheory_nb.media.pitch_class_picture import pitch_class_picture
from musictheory_nb.media.self_similarity_picture import self_similarity_picture
from musictheory_nb.score.finding import FINDING_KINDS, Finding
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.measure import Measure
from musictheory_nb.score.part_summary import part_summaries
from musictheory_nb.score.piece import Piece

#: Parts of the page, in order: anchor and heading.
PARTS: Final = MappingProxyType(
    {
        "form": "Form",
        "keys": "Keys",
        "harmony": "Harmony",
        "parts": "Parts",
        "findings": "What happens in it",
        "sure": "How sure this is",
    }
)
#: Findings of one name that are engraved, unless all are asked for.
MOST_ENGRAVED: Final = 3
#: Letters of a picture's words that stand in for it; all of them can be opened below it.
_ALT_LETTERS: Final = 240

Told = Callable[[str], None]


def analysis_html(analysis: Analysis, *, every: bool = False, each: Told | None = None) -> bytes:
    """Return the page about a piece as the content of a file.

    Parameters
    ----------
    analysis : Analysis
        What `piece_analysis.analyse` returns.
    every : bool
        Engrave all findings, not only the surest of each name.
    each : callable, optional
        Called with a word on what is done next.

    Notes
    -----
    The same piece gives the same file. It fetches nothing, runs nothing, and escapes every text.
    """
    tell = each or (lambda text: None)
    folder = files("musictheory_nb.classroom")
    style = "".join(folder.joinpath(name).read_text(encoding="utf-8") for name in ("report.css", "analysis.css"))
    title = heading(analysis)
    items = (element("li", element("a", words, href=f"#{anchor}")) for anchor, words in PARTS.items())
    told = [element("p", f"{what_it_is(analysis)}.", class_="quiet")]
    if chosen := selection_words(analysis):
        told.append(element("p", chosen))
    told.append(_at_a_glance(analysis))
    tell("Pictures")
    body = [_form(analysis), _keys(analysis), _harmony(analysis), _parts(analysis)]
    body += [_findings(analysis, every, tell), _how_sure(analysis)]
    return page(
        title,
        style,
        element("header", element("h1", title), element("nav", element("ul", *items), aria_label="On this page")),
        Markup("\n"),
        element("main", *told, *body, id="main", tabindex="-1"),
    )


def _section(part: str, *content: str) -> Markup:
    head = element("h2", PARTS[part], id=part)
    return joined(Markup("\n"), element("section", head, *content, aria_labelledby=part))


def _at_a_glance(analysis: Analysis) -> Markup:
    form = analysis.form
    shown = [
        ("Key", printed(analysis.key.key.name) if analysis.key else "none"),
        ("Form", form.name or "no standard form"),
        ("Plan", form.plan or "–"),
        ("Bars", str(len(analysis.piece.measures))),
        ("Findings", str(len(analysis.findings))),
    ]
    return element(
        "dl", *(element("div", element("dt", term), element("dd", value)) for term, value in shown), class_="figures"
    )


def printed(key: str) -> str:
    """Return the name of a key with a printed accidental: ``'B♭ major'``."""
    tonic, _, mode = key.partition(" ")
    return f"{printed_chord(tonic)} {mode}"


def printed_numerals(text: str) -> str:
    """Return numerals, with keys in square brackets, as they are printed.

    Examples
    --------
    >>> printed_numerals("[Bb minor] bII6 #iv°7/V")
    '[B♭ minor] ♭II6 ♯iv°7/V'
    """
    keys = re.sub(r"(?<=\[)[A-G][#b]*", lambda tonic: printed_chord(tonic[0]), text)
    return re.sub(r"(?<![A-Za-z])[#b]+(?=[ivIV])", lambda signs: signs[0].replace("#", "♯").replace("b", "♭"), keys)


def _picture(make: Callable[[Piece], Picture], piece: Piece, name: str, caption: str) -> Markup:
    """Return a picture with its words below, or nothing where the piece has not got what it shows."""
    try:
        drawn = make(piece)
    except (MediaError, ScoreError):
        return Markup("")
    alt = shortened(drawn.alt, _ALT_LETTERS)
    return picture(drawn.svg, f"{name}. {alt} All of it in words below.", caption, drawn.alt)


def _form(analysis: Analysis) -> Markup:
    form = analysis.form
    columns = [
        Column("Section"),
        Column("Bars", True),
        Column("Length", True),
        Column("Keys"),
        Column("Compared with before"),
    ]
    columns.append(Column("Why it begins there"))
    rows = []
    told: set[tuple[str, str, str]] = set()
    for section in form.sections:
        place = (section.label, section.first_measure, section.last_measure)
        compared = "new"
        if section.like is not None:
            model = section_words(form.sections[section.like])
            compared = "the same again" if place in told else f"the same as {model}"
            if section.changes and place not in told:
                compared = joined(f"as {model}, changed:", _lines(section.changes))
            told.add(place)
        rows.append(
            (
                section_name(section),
                f"{section.first_measure}–{section.last_measure}" + " with a pickup" * section.has_pickup,
                str(section.bars),
                ", ".join(map(printed, filter(None, section_keys(analysis, section).split(", ")))) or "–",
                compared,
                ", ".join(section.evidence) or "–",
            )
        )
    chart = _picture(
        form_picture,
        analysis.piece,
        "Form chart",
        "Sections, keys, chords and who plays, in the order in which it is played. Keys: a full line for major, a dotted "
        "one for others. Chords: a stroke where each begins, with its name where there is room.",
    )
    likeness = _picture(
        self_similarity_picture,
        analysis.piece,
        "Likeness of the bars",
        "Each bar against each other one, as played: the darker, the more alike in melody, harmony and bass. A dark line "
        "that runs aslant is music that comes again.",
    )
    return _section(
        "form", element("p", form_sentence(analysis)), chart, table("Sections as played.", columns, rows), likeness
    )


def _lines(rows: Sequence[str]) -> Markup:
    return element("ul", *(element("li", row) for row in rows), class_="lines")


def _keys(analysis: Analysis) -> Markup:
    content = [element("p", printed_sentence(key_sentence(analysis)))]
    if analysis.keys:
        measures = analysis.piece.measures
        columns = [
            Column("Bars", True),
            Column("Key"),
            Column("Sure", True),
            Column("Motions from dominant to tonic", True),
        ]
        rows = [
            (
                f"{measures[span.measure].number}–{measures[span.last_measure].number}",
                printed(span.key.name),
                percent(span.confidence),
                str(span.cadences),
            )
            for span in analysis.keys
        ]
        content.append(table("Keys along the piece, as written.", columns, rows))
    content.append(
        _picture(
            pitch_class_picture,
            analysis.piece,
            "Pitch classes by section",
            "How long each pitch class sounds in each section, as a share of all that sounds there.",
        )
    )
    return _section("keys", *content)


def printed_sentence(text: str) -> str:
    """Return a sentence that begins with a key, its accidental printed."""
    tonic, blank, rest = text.partition(" ")
    return f"{printed_chord(tonic)}{blank}{rest}" if len(tonic) <= 3 and tonic != "No" else text


def _harmony(analysis: Analysis) -> Markup:
    if not analysis.harmony:
        return _section("harmony", element("p", "There are neither chord symbols nor notes with a pitch."))
    note = (
        "Numerals in the key in square brackets. In round brackets: goes on from before. A dash: no new chord. "
        "A question mark: less than half sure."
    )
    content = [element("p", note)]
    for section, times in first_of_each(analysis):
        again = f", {times} times" if times > 1 else ""
        cells = list(_bar_cells(analysis.section_chords(section)))
        rows = element("ol", *cells, class_="bars")
        content.append(element("h3", f"{section_words(section)}{again}"))
        content.append(rows)
    rhythm = _picture(
        harmonic_rhythm_picture,
        analysis.piece,
        "Harmonic rhythm",
        "How many chords begin in each bar, as written; a chord that only changes its bass is no change.",
    )
    return _section("harmony", *content, element("h3", "Harmonic rhythm"), rhythm)


def _bar_cells(rows: Iterator[tuple[Measure, tuple[HarmonySpan, ...]]]) -> Iterator[Markup]:
    """Yield a cell for each bar: its number, its numerals, and the chords below them."""
    kept = list(rows)
    symbols: dict[str, list[str]] = {}
    for measure, spans in kept:
        symbols.setdefault(measure.number, []).extend(printed_chord(span.chord.symbol) for span in spans)
    for told in numerals_by_bar(kept):
        number, _, numerals = told.partition(": ")
        chords = " ".join(symbols.get(number, ()))
        yield element(
            "li",
            element("span", number, class_="bar"),
            " ",
            element("span", printed_numerals(numerals), class_="numerals"),
            " ",
            element("span", chords, class_="chords") if chords else "",
        )


def _parts(analysis: Analysis) -> Markup:
    columns = [Column("Part"), Column("Range, as it sounds"), Column("Notes", True), Column("Plays in", True)]
    rows = [
        (one.part.name, printed_range(one.range_words), str(one.notes), f"{percent(one.share)} of the bars")
        for one in part_summaries(analysis.piece)
    ]
    roll = _picture(
        piano_roll_picture,
        analysis.piece,
        "Notes part by part",
        "Every note as a stroke: when from left to right, how high from below; a strip for each part, as written.",
    )
    return _section("parts", table("Parts of the score.", columns, rows), roll)


def printed_range(text: str) -> str:
    """Return a range with printed accidentals: ``'F♯3 to B♭5'``."""
    return " ".join(printed_chord(word) if word[:1] in "ABCDEFG" else word for word in text.split(" "))


def _findings(analysis: Analysis, every: bool, tell: Told) -> Markup:
    kinds = analysis.by_kind()
    content: list[Markup] = []
    for group, title in GROUP_TITLES.items():
        own = {name: found for name, found in kinds.items() if found[0].group == group}
        if own:
            content.append(element("h3", "Form" if group == "form" else title))
        for name, found in own.items():
            tell(f"Notation: {name}")
            content += _kind(analysis.piece, name, found, every)
    if not content:
        content.append(element("p", "Nothing was found here."))
    ringed = element("p", "Notes in a ring are those that show it. Every line says how sure the finding is.")
    return _section("findings", ringed, *content)


def _kind(piece: Piece, name: str, found: Sequence[Finding], every: bool) -> list[Markup]:
    kind = FINDING_KINDS[name]
    parts = [
        element("h4", f"{name[0].upper()}{name[1:]} ({len(found)})"),
        element("p", f"{kind.definition[0].upper()}{kind.definition[1:]}.", class_="quiet"),
    ]
    engraved = found if every else surest(found, MOST_ENGRAVED)
    rest = [one for one in found if one not in engraved]
    parts += [_figure(piece, one) for one in engraved]
    if rest:
        parts.append(element("p", f"{counted(len(rest), 'more finding')} without notation (--all engraves every one):"))
        parts.append(_lines([_told(one) for one in rest]))
    return parts


def _told(one: Finding) -> str:
    return f"{one.sentence} ({percent(one.confidence)} sure)"


def _figure(piece: Piece, one: Finding) -> Markup:
    try:
        notation = proving_notation(piece, one)
    except (MediaError, ScoreError) as error:
        return element("p", f"{_told(one)} No notation: {error}.")
    where = bars(one.first_number, one.last_number)
    alt = f"Notation of {where}{', notes in rings' * notation.is_marked}. Its words can be opened below."
    caption = f"{_told(one)} {notation.shown}".strip()
    return picture(notation.engraving.svg, alt, caption, notation.engraving.text)


def _how_sure(analysis: Analysis) -> Markup:
    return _section("sure", _lines(how_sure(analysis)))
