"""How alike each bar of a piece is to each other one, as a square: the darker, the more alike."""

from collections.abc import Sequence
from itertools import combinations
from typing import Any, Final

import numpy as np

from musictheory_nb.media.measure_line import LETTER_IN, SMALL, text_in
from musictheory_nb.media.picture import INK, Picture, finished_picture, new_figure, settings
from musictheory_nb.media.section_band import Band, band_words, played_bands
from musictheory_nb.score.bar_unit import BarUnit, bar_units
from musictheory_nb.score.measure_likeness import Matrix, measure_likeness
from musictheory_nb.score.piece import Piece

_SIDE_IN: Final = 6.2
_LEFT_IN, _RIGHT_IN, _ABOVE_IN, _BELOW_IN = 0.75, 1.2, 0.3, 0.6
#: Least pixels of the square's side, and most pairs of sections that the words name.
_PIXELS: Final = 640
_MOST_PAIRS: Final = 12
#: More sections than this are not parted by lines, which would hide the bars.
_MOST_EDGES: Final = 30
#: Red, green and blue of no likeness and of full likeness; what is between lies between.
_LIGHT, _DARK = (246, 248, 250), (0, 49, 92)


def self_similarity_picture(piece: Piece) -> Picture:
    r"""Return the likeness of the bars of a piece, as played, by what they sound.

    Notes
    -----
    Likeness is that of `measure_likeness`: melody, harmony and bass slot by slot, octaves aside. A dark line that
    runs aslant is music that comes again.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> strain, other = "CEGE|FAcA|GBdB|c2c2|" * 2, "cAFA|BGEG|AFDF|EDC2|" * 2
    >>> piece = load_score(f"X:1\nM:2/4\nL:1/8\nK:C\n|:{strain[:-1]}:|:{other[:-1]}:|\n".encode(), cache=False)
    >>> self_similarity_picture(piece).alt[70:117]
    'Sections: A, bars 1-8, played 2 times; B, bars '
    """
    played = piece.played()
    units = bar_units(played.measures)
    likeness = measure_likeness(played, units).overall
    bands = played_bands(piece)
    edges = _edges(units, bands)
    alt = _words(piece, bands, edges, likeness)
    with settings(alt):
        width, height = _SIDE_IN + _LEFT_IN + _RIGHT_IN, _SIDE_IN + _ABOVE_IN + _BELOW_IN
        figure = new_figure(width, height)
        figure.set_layout_engine("none")
        axes = figure.add_axes((_LEFT_IN / width, _BELOW_IN / height, _SIDE_IN / width, _SIDE_IN / height))
        repeat = max(1, -(-_PIXELS // len(units)))
        side = np.kron(_coloured(likeness), np.ones((repeat, repeat, 1), dtype=np.uint8))
        axes.imshow(side, extent=(0, len(units), len(units), 0), interpolation="none")
        for edge in edges[1:-1] if len(edges) <= _MOST_EDGES else ():
            axes.axhline(edge, color="#b34700", linewidth=0.8, linestyle=(0, (4, 3)))
            axes.axvline(edge, color="#b34700", linewidth=0.8, linestyle=(0, (4, 3)))
        for spine in axes.spines.values():
            spine.set_visible(True)
        numbers = [played.measures[unit.bar].number for unit in units]
        _label(axes, bands, edges, numbers)
        _scale(figure, axes)
        return finished_picture(figure, alt)


def _edges(units: Sequence[BarUnit], bands: Sequence[Band]) -> list[int]:
    """Bars in which sections begin, and the end of the last one."""
    by_measure = {unit.bar: unit.index for unit in units}
    starts = [by_measure[band.section.first] for band in bands]
    return [*starts, min(starts[-1] + bands[-1].section.bars, len(units))]


def _coloured(likeness: Matrix) -> Any:
    light, dark = np.array(_LIGHT, dtype=float), np.array(_DARK, dtype=float)
    share = np.clip(likeness, 0, 1)[:, :, None]
    return np.round(light + (dark - light) * share).astype(np.uint8)


def _label(axes: Any, bands: Sequence[Band], edges: Sequence[int], numbers: Sequence[str]) -> None:
    """Write letters of sections above and numbers of their first bars at the left, as far as they have room."""
    per_bar = _SIDE_IN / max(len(numbers), 1)
    last_letter = last_number = -1.0
    ticks, texts = [], []
    for band, start, end in zip(bands, edges, edges[1:], strict=False):
        middle = (start + end) / 2
        half = text_in(band.label) / per_bar / 2
        if middle - half >= last_letter:
            axes.text(
                middle, -0.06 / per_bar, band.label, ha="center", va="bottom", fontsize=SMALL + 1, fontweight="bold"
            )
            last_letter = middle + half + 0.04 / per_bar
        if (start - last_number) * per_bar >= 2 * LETTER_IN or last_number < 0:
            ticks.append(start)
            texts.append(numbers[start])
            last_number = start
    axes.set_yticks(ticks, texts)
    axes.set_xticks(_spread(ticks, texts, per_bar), [numbers[at] for at in _spread(ticks, texts, per_bar)])
    axes.tick_params(labelsize=SMALL)
    axes.set_xlabel("First bar of each section", fontsize=SMALL + 1)
    axes.set_ylabel("First bar of each section", fontsize=SMALL + 1)


def _spread(ticks: Sequence[int], texts: Sequence[str], per_bar: float) -> list[int]:
    """Those of the ticks whose numbers have room beside each other."""
    kept: list[int] = []
    end = -1.0
    for tick, text in zip(ticks, texts, strict=True):
        half = text_in(text) / 2
        if tick * per_bar - half >= end:
            kept.append(tick)
            end = tick * per_bar + half + 0.08
    return kept


def _scale(figure: Any, axes: Any) -> None:
    """Draw the scale of likeness at the right."""
    steps = np.linspace(1, 0, 128, dtype=np.float32)[:, None]
    inset = axes.inset_axes((1.04, 0.3, 0.035, 0.4))
    inset.imshow(np.kron(_coloured(steps), np.ones((2, 16, 1), dtype=np.uint8)), extent=(0, 1, 0, 1), aspect="auto")
    inset.set_xticks([])
    inset.yaxis.tick_right()
    inset.set_yticks([0, 0.5, 1], ["0: nothing\nalike", "0.5", "1: the\nsame"])
    inset.tick_params(labelsize=SMALL)
    for spine in inset.spines.values():
        spine.set_visible(True)
        spine.set_edgecolor(INK)


def _words(piece: Piece, bands: Sequence[Band], edges: Sequence[int], likeness: Matrix) -> str:
    title = f' of "{piece.title}"' if piece.title else ""
    told = f"Likeness of the bars{title} as played, {len(likeness)} by {len(likeness)}; the darker, the more alike."
    firsts: dict[str, int] = {}
    times: dict[str, int] = {}
    for at, band in enumerate(bands):
        firsts.setdefault(band.label, at)
        times[band.label] = times.get(band.label, 0) + 1

    def alike(one: int, other: int) -> float:
        size = min(edges[one + 1] - edges[one], edges[other + 1] - edges[other])
        return float(likeness[edges[one] + np.arange(size), edges[other] + np.arange(size)].mean()) if size > 0 else 0.0

    each = [
        band_words(bands[at]) + (f", played {times[label]} times" if times[label] > 1 else "")
        for label, at in firsts.items()
    ]
    pairs = [
        (alike(one, other), bands[one].label, bands[other].label) for one, other in combinations(firsts.values(), 2)
    ]
    pairs.sort(key=lambda pair: -round(pair[0], 2))
    named = [f"{one} and {other} {value:.0%}" for value, one, other in pairs[:_MOST_PAIRS]]
    told += f" Sections: {'; '.join(each)}."
    if not named:
        return f"{told} Any two of the bars are {likeness.mean():.0%} alike on average."
    more = f"; {len(pairs) - _MOST_PAIRS} further pairs less" if len(pairs) > _MOST_PAIRS else ""
    return f"{told} Alike bar by bar: {', '.join(named)}{more}."
