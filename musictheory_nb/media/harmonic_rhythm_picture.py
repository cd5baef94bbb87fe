"""How often the chords of a piece change: the changes in each measure as a column."""

from collections.abc import Sequence
from statistics import fmean
from typing import Any, Final

from musictheory_nb.media.measure_line import LEFT_IN, MeasureLines, draw_bands, draw_numbers, draw_starts, write
from musictheory_nb.media.picture import HATCHES, INK, OKABE_ITO, Picture, finished_picture, settings
from musictheory_nb.media.section_band import Band, band_words, written_bands
from musictheory_nb.score.harmonic_rhythm import MeasureRhythm, harmonic_rhythm
from musictheory_nb.score.part_activity import runs
from musictheory_nb.score.piece import Piece

_BANDS_IN, _NUMBERS_IN, _GAP_IN = 0.44, 0.28, 0.12
_HIGH_IN: Final = 0.8
#: Most height of the whole.
_MOST_IN: Final = 5.2
#: Columns narrower than this have no pattern.
_PATTERN_IN: Final = 0.12
_MOST_STRETCHES, _MOST_SECTIONS = 6, 16


def harmonic_rhythm_picture(piece: Piece) -> Picture:
    r"""Return the harmonic rhythm of a piece as written, measure by measure.

    Parameters
    ----------
    piece : Piece
        The piece, as written; a chord that only changes its bass is no change, and N.C. is no chord.

    Raises
    ------
    ScoreError
        There are neither chord symbols nor pitched notes.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> text = b"X:1\nT:Three\nM:4/4\nL:1/2\nK:C\n[C,EGc]2|[F,FAc][G,DGB]|[C,EGc]2|]\n"
    >>> harmonic_rhythm_picture(load_score(text, cache=False)).alt
    'Chords that begin in each bar of "Three": 1.3 on average, at most 2, in bar 2. A, bars 1-3: 1.3 a bar.'
    """
    rhythm = harmonic_rhythm(piece, [span for span in piece.harmony() if not span.chord.is_no_chord])
    bands = written_bands(piece)
    lines = MeasureLines.of(len(rhythm), _BANDS_IN + _HIGH_IN + _NUMBERS_IN + _GAP_IN, _MOST_IN)
    most = max(max((one.changes for one in rhythm), default=1), 1)
    alt = _words(piece, rhythm, bands)
    with settings(alt):
        figure, axes = lines.figure()
        draw_bands(axes, lines, bands, 0.0)
        _draw_grid(axes, lines, most)
        _draw_columns(axes, lines, [one.changes for one in rhythm], most)
        draw_starts(axes, lines, bands, _BANDS_IN - 0.06, _BANDS_IN + _HIGH_IN)
        draw_numbers(axes, lines, [measure.number for measure in piece.measures], _BANDS_IN + _HIGH_IN, bands)
        return finished_picture(figure, alt)


def _draw_grid(axes: Any, lines: MeasureLines, most: int) -> None:
    step = max(1, -(-most // 4))
    for at, line in enumerate(lines.lines):
        base = lines.y(at) + _BANDS_IN + _HIGH_IN
        write(axes, LEFT_IN - 0.3, base - _HIGH_IN / 2, "Chords\na bar", ha="right")
        for value in range(0, most + 1, step):
            y = base - _HIGH_IN * value / most
            axes.plot([LEFT_IN, lines.x(line, line.stop)], [y, y], color=INK, linewidth=0.5, alpha=0.3)
            write(axes, LEFT_IN - 0.07, y, str(value), ha="right")


def _draw_columns(axes: Any, lines: MeasureLines, changes: Sequence[int], most: int) -> None:
    from matplotlib.patches import Rectangle

    wide = lines.measure_in
    style: dict[str, Any] = {"facecolor": OKABE_ITO["orange"], "edgecolor": INK, "linewidth": 0.6 if wide > 0.05 else 0}
    if wide >= _PATTERN_IN:
        style["hatch"] = HATCHES[0]
    for at, line in enumerate(lines.lines):
        base = lines.y(at) + _BANDS_IN + _HIGH_IN
        for measure in line:
            height = _HIGH_IN * changes[measure] / most
            if height:
                x = lines.x(line, measure) + 0.08 * wide
                axes.add_patch(Rectangle((x, base - height), 0.84 * wide, height, **style))


def _words(piece: Piece, rhythm: Sequence[MeasureRhythm], bands: Sequence[Band]) -> str:
    title = f' of "{piece.title}"' if piece.title else ""
    changes = [one.changes for one in rhythm]
    most = max(changes)
    places = [
        (piece.measures[first].number, piece.measures[last].number)
        for first, last in runs(changes)
        if changes[first] == most
    ]
    shown = [one if one == other else f"{one}-{other}" for one, other in places[:_MOST_STRETCHES]]
    more = f" and {len(places) - _MOST_STRETCHES} more places" if len(places) > _MOST_STRETCHES else ""
    many = "s" * (len(places) > 1 or "-" in shown[0])
    told = (
        f"Chords that begin in each bar{title}: {fmean(changes):.1f} on average, at most {most}, "
        f"in bar{many} {', '.join(shown)}{more}."
    )
    each = [f"{band_words(band)}: {fmean(changes[band.first : band.last + 1]):.1f} a bar" for band in bands]
    rest = f"; and {len(each) - _MOST_SECTIONS} more sections" if len(each) > _MOST_SECTIONS else ""
    return f"{told} {'; '.join(each[:_MOST_SECTIONS])}{rest}."
