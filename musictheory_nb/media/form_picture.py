"""The form of a piece over its measures as played: sections, keys, chords and who plays (`form_picture`).

Line by line, from above: the sections as bands with their letters, the keys (a full line for major, a dotted one for
every other mode), the chords where they begin, and a bar for each part where it plays.
"""

from collections.abc import Sequence
from typing import Any, Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.media.chord_text import printed_chord
from musictheory_nb.media.measure_line import (
    LEFT_IN,
    ROOM_IN,
    SMALL,
    MeasureLines,
    draw_bands,
    draw_numbers,
    placed,
    short_name,
    text_in,
    write,
)
from musictheory_nb.media.picture import INK, OKABE_ITO, Picture, finished_picture, settings
from musictheory_nb.media.section_band import Band, band_words, played_bands
from musictheory_nb.score.key_change import key_path
from musictheory_nb.score.part_activity import part_activity, runs
from musictheory_nb.score.piece import Piece
from musictheory_nb.theory.key import Key

_BANDS_IN, _KEYS_IN, _CHORDS_IN, _NUMBERS_IN, _GAP_IN = 0.42, 0.24, 0.38, 0.28, 0.14
#: Height of a part's row, in scores of few parts and of many.
_ROW_IN, _LOW_ROW_IN, _MANY = 0.19, 0.135, 8
#: Chord names are written where so many of them have room; else each chord is a stroke.
_SHARE_NAMED: Final = 0.7
_CHORD_ROWS: Final = 2
#: How many keys and parts the words name.
_MOST_KEYS, _MOST_PARTS = 16, 24

_Placed = list[tuple[float, str]]


def form_picture(piece: Piece) -> Picture:
    r"""Return the form chart of a piece, in the order in which it is played.

    Parameters
    ----------
    piece : Piece
        As written; it is unrolled here.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> strain, other = "CEGE|FAcA|GBdB|c2c2|" * 2, "cAFA|BGEG|AFDF|EDC2|" * 2
    >>> piece = load_score(f"X:1\nT:Two\nM:2/4\nL:1/8\nK:C\n|:{strain[:-1]}:|:{other[:-1]}:|\n".encode(), cache=False)
    >>> form_picture(piece).alt[:94]
    'Form of "Two" as played, 32 measures, plan AABB, binary: A, bars 1-8; A, bars 1-8; B, bars 9-1'
    """
    played = piece.played()
    bands = played_bands(piece)
    count = bands[-1].last + 1 if bands else len(played.measures)
    written = [measure.written for measure in played.measures[:count]]
    keys = _keys(piece, written)
    chords = _chords(piece, written)
    rows = [part for part in piece.parts if not part.is_empty]
    row_in = _ROW_IN if len(rows) <= _MANY else _LOW_ROW_IN
    above = _BANDS_IN + _KEYS_IN * bool(keys) + _CHORDS_IN * bool(chords)
    lines = MeasureLines.of(count, above + row_in * len(rows) + _NUMBERS_IN + _GAP_IN)
    alt = _words(piece, bands, keys, chords, written)
    with settings(alt):
        figure, axes = lines.figure()
        draw_bands(axes, lines, bands, 0.0)
        y = _BANDS_IN
        if keys:
            _draw_keys(axes, lines, keys, y)
            y += _KEYS_IN
        if chords:
            _draw_chords(axes, lines, chords, y)
            y += _CHORDS_IN
        plays = part_activity(piece).plays[:, written]
        for at, part in enumerate(rows):
            _draw_part(axes, lines, short_name(part.name), plays[part.index].tolist(), y + at * row_in, row_in)
        numbers = [played.measures[at].number for at in range(count)]
        draw_numbers(axes, lines, numbers, y + row_in * len(rows) + 0.04, bands)
        return finished_picture(figure, alt)


def _keys(piece: Piece, written: Sequence[int]) -> list[tuple[int, int, Key]]:
    """Keys over the measures as played: first and last measure of each."""
    try:
        spans = key_path(piece)
    except ScoreError:
        return []
    by_measure: list[Key] = []
    for measure in piece.measures:
        within = [span for span in spans if span.start < measure.end and span.end > measure.start]
        longest = max(within, key=lambda s: min(s.end, measure.end) - max(s.start, measure.start), default=None)
        by_measure.append(longest.key if longest else (by_measure[-1] if by_measure else spans[0].key))
    heard = [by_measure[at] for at in written]
    return [(first, last, heard[first]) for first, last in runs([key.name for key in heard])]


def _chords(piece: Piece, written: Sequence[int]) -> _Placed:
    """Chords as played, each with its place counted in measures; one that goes on is told once."""
    try:
        spans = piece.harmony()
    except ScoreError:
        return []
    by_measure: dict[int, _Placed] = {}
    for span in spans:
        measure = piece.measures[span.measure]
        place = float(span.onset / measure.length) if measure.length else 0.0
        by_measure.setdefault(span.measure, []).append((place, printed_chord(span.chord.symbol)))
    lasting: list[str] = []
    for index in range(len(piece.measures)):
        before = by_measure[index - 1][-1][1] if by_measure.get(index - 1) else (lasting[-1] if lasting else "")
        lasting.append(before)
    found: _Placed = []
    for at, index in enumerate(written):
        here = by_measure.get(index, [])
        if (not here or here[0][0] > 0) and at and written[at - 1] != index - 1 and lasting[index]:
            here = [(0.0, lasting[index]), *here]  # after a jump, what sounds on from the measure before
        found += [(at + place, text) for place, text in here]
    return [one for at, one in enumerate(found) if not at or found[at - 1][1] != one[1]]


def _draw_keys(axes: Any, lines: MeasureLines, keys: Sequence[tuple[int, int, Key]], y_in: float) -> None:
    for at in range(len(lines.lines)):
        write(axes, LEFT_IN - 0.1, lines.y(at) + y_in + 0.12, "Key", ha="right")
    for first, last, key in keys:
        style = "-" if key.mode == "major" else (0, (1.2, 1.2))
        for at, _, left, right in lines.cut(first, last):
            y = lines.y(at) + y_in + 0.21
            axes.plot(
                [left + 0.03, right - 0.03], [y, y], color=INK, linewidth=1.6, linestyle=style, solid_capstyle="butt"
            )
            small = key.tonic.name + ("" if key.mode == "major" else "m")
            told = next((t for t in (key.name, small) if text_in(t) + ROOM_IN <= right - left), "")
            tonic = printed_chord(key.tonic.name)
            write(axes, left + 0.03, y - 0.09, told.replace(key.tonic.name, tonic, 1))


def _draw_chords(axes: Any, lines: MeasureLines, chords: _Placed, y_in: float) -> None:
    by_line = [_in_line(lines, line, chords) for line in lines.lines]
    named = [placed(texts, _CHORD_ROWS) for texts in by_line]
    is_named = sum(map(len, named)) >= _SHARE_NAMED * len(chords)
    for at, texts in enumerate(by_line):
        y = lines.y(at) + y_in
        write(axes, LEFT_IN - 0.1, y + 0.14, "Chords", ha="right")
        for x, text in texts:
            if not text.startswith("("):
                axes.plot([x, x], [y, y + (0.05 if is_named else 0.24)], color=INK, linewidth=0.7)
        for x, text, row in named[at] if is_named else ():
            write(axes, x, y + 0.12 + 0.14 * row, text.replace("$", r"\$"))


def _in_line(lines: MeasureLines, line: range, chords: _Placed) -> _Placed:
    """Chords of one line with their left edges; one that goes on from the line before is in brackets."""
    found = [(lines.x(line, at), text) for at, text in chords if line.start <= at < line.stop]
    before = [text for at, text in chords if at < line.start]
    if before and (not found or found[0][0] > lines.x(line, line.start)):
        found.insert(0, (lines.x(line, line.start), f"({before[-1]})"))
    return found


def _draw_part(axes: Any, lines: MeasureLines, name: str, plays: Sequence[bool], y_in: float, row_in: float) -> None:
    from matplotlib.patches import Rectangle

    for at in range(len(lines.lines)):
        write(axes, LEFT_IN - 0.1, lines.y(at) + y_in + row_in / 2, name, ha="right", fontsize=min(SMALL, 66 * row_in))
    for first, last in runs(plays):
        if plays[first]:
            for at, _, left, right in lines.cut(first, last):
                y = lines.y(at) + y_in + 0.2 * row_in
                axes.add_patch(
                    Rectangle((left, y), right - left, 0.6 * row_in, facecolor=OKABE_ITO["blue"], linewidth=0)
                )


def _words(
    piece: Piece, bands: Sequence[Band], keys: Sequence[tuple[int, int, Key]], chords: _Placed, written: Sequence[int]
) -> str:
    """Return what the chart shows, in words."""
    form, played = piece.form(), piece.played()
    title = f' of "{piece.title}"' if piece.title else ""
    name = f", {form.name}" if form.name else ""
    times = f", {form.times} times over" if form.times > 1 else ""
    told = f"Form{title} as played, {len(written)} measures{times}, plan {form.plan}{name}: "
    told += "; ".join(band_words(band) for band in bands) + "."
    if keys:
        shown = [
            f"{key.name} from bar {played.measures[first].number}" if first else key.name
            for first, _, key in keys[:_MOST_KEYS]
        ]
        more = f" and {len(keys) - _MOST_KEYS} more changes" if len(keys) > _MOST_KEYS else ""
        told += f" Keys: {'; '.join(shown)}{more}."
    if chords:
        told += f" Chords: {len(chords)}, the first {chords[0][1]}."
    plays = part_activity(piece).plays[:, written]
    who = []
    for part in piece.parts[:_MOST_PARTS]:
        silent = [band.label for band in bands if not plays[part.index, band.first : band.last + 1].any()]
        if part.is_empty or len(silent) == len(bands):
            who.append(f"{part.name} does not play")
        elif silent:
            who.append(f"{part.name} is silent in {', '.join(dict.fromkeys(silent))}")
        else:
            who.append(f"{part.name} plays in every section")
    more = f"; and {len(piece.parts) - _MOST_PARTS} more parts" if len(piece.parts) > _MOST_PARTS else ""
    return f"{told} Who plays: {'; '.join(who)}{more}."
