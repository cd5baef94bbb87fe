"""Measures from left to right in as many lines as stay readable: what the pictures over the time of a piece share.

Conventions: lengths are in inches, from the upper left corner of the picture; all measures are equally wide.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from musictheory_nb.media.picture import INK, new_figure
from musictheory_nb.media.section_band import Band, look

#: Width of a picture: 864 pixels on a screen; room at its left for names, and at its right.
WIDTH_IN: Final = 9.0
LEFT_IN: Final = 1.2
RIGHT_IN: Final = 0.15
#: Where the first line begins.
TOP_IN: Final = 0.1
#: How many measures a line may have, and how high the whole may be.
LENGTHS: Final = (8, 12, 16, 20, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128)
MOST_HEIGHT_IN: Final = 10.5
#: Widths of a letter in type of 8.5 points, and the least room between two texts.
LETTER_IN: Final = 0.075
ROOM_IN: Final = 0.06
SMALL, PLAIN = 8.5, 10.0
_NAME_LETTERS: Final = 15
_STEPS: Final = (1, 2, 4, 5, 8, 10, 16, 20, 25, 32, 50, 100)


@dataclass(frozen=True, slots=True)
class MeasureLines:
    """How measures are laid out.

    Parameters
    ----------
    count : int
        Measures in all.
    length : int
        Measures in a full line.
    height_in : float
        Height of a line.
    """

    count: int
    length: int
    height_in: float

    @classmethod
    def of(cls, count: int, height_in: float, most_in: float = MOST_HEIGHT_IN) -> "MeasureLines":
        """Return lines of `height_in` for so many measures: as few measures in a line as a height of `most_in` allows.

        Examples
        --------
        >>> [MeasureLines.of(count, 1.5).length for count in (4, 32, 300, 3000)]
        [4, 8, 56, 500]
        """
        if count <= LENGTHS[1]:
            return cls(count, max(count, 1), height_in)
        most = max(int((most_in - TOP_IN) / height_in), 1)
        fit = [length for length in LENGTHS if -(-count // length) <= most]
        return cls(count, fit[0] if fit else -(-count // most), height_in)

    @property
    def lines(self) -> tuple[range, ...]:
        """The measures of each line."""
        return tuple(range(at, min(at + self.length, self.count)) for at in range(0, self.count, self.length))

    @property
    def measure_in(self) -> float:
        """Width of a measure."""
        return (WIDTH_IN - LEFT_IN - RIGHT_IN) / self.length

    def x(self, line: range, measure: float) -> float:
        """Return where a place, counted in measures, stands in its line."""
        return LEFT_IN + (measure - line.start) * self.measure_in

    def y(self, line: int) -> float:
        """Return the upper edge of a line."""
        return TOP_IN + line * self.height_in

    def cut(self, first: int, last: int) -> list[tuple[int, range, float, float]]:
        """Return a stretch of measures line by line: number of the line, its measures, left and right edge."""
        return [
            (at, line, self.x(line, max(first, line.start)), self.x(line, min(last + 1, line.stop)))
            for at, line in enumerate(self.lines)
            if first < line.stop and last >= line.start
        ]

    def figure(self, bottom_in: float = 0.1) -> tuple[Any, Any]:
        """Return a figure and axes whose unit is an inch, from the upper left corner."""
        height = TOP_IN + len(self.lines) * self.height_in + bottom_in
        figure = new_figure(WIDTH_IN, height)
        figure.set_layout_engine("none")
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set_xlim(0, WIDTH_IN)
        axes.set_ylim(height, 0)
        axes.set_axis_off()
        return figure, axes


def text_in(text: str, size: float = SMALL) -> float:
    """Return about how wide a text is."""
    return len(text) * LETTER_IN * size / SMALL


def short_name(name: str, letters: int = _NAME_LETTERS) -> str:
    """Return a name that fits the margin; ``$`` is no mathematics.

    Examples
    --------
    >>> short_name("Violin I"), short_name("Clarinetto secondo in si bemolle")
    ('Violin I', 'Clarinetto sec…')
    """
    kept = name if len(name) <= letters else name[: letters - 1] + "…"
    return kept.replace("$", r"\$")


def write(axes: Any, x: float, y: float, text: str, **settings: Any) -> None:
    """Write one text; its middle is at `y`."""
    style = {"fontsize": SMALL, "color": INK, "va": "center", "ha": "left", **settings}
    axes.text(x, y, text, **style)


def draw_numbers(
    axes: Any, lines: MeasureLines, numbers: Sequence[str], y_in: float, bands: Sequence[Band] = ()
) -> None:
    """Write the numbers of measures below each line: where sections begin, at its left, and every few measures."""
    wide = max(map(len, numbers), default=1)
    step = next((step for step in _STEPS if step * lines.measure_in >= (wide + 2) * LETTER_IN), _STEPS[-1])
    starts = {
        band.section.first if band.section.first in range(band.first, band.last + 1) else band.first for band in bands
    }
    for at, line in enumerate(lines.lines):
        y = lines.y(at) + y_in
        axes.plot([lines.x(line, line.start), lines.x(line, line.stop)], [y, y], color=INK, linewidth=0.8)
        taken: list[tuple[float, float]] = []
        for group in ([m for m in line if m in starts], [line.start], [m for m in line if _is_round(numbers[m], step)]):
            for measure in group:
                x = lines.x(line, measure)
                right = x + text_in(numbers[measure])
                if right < WIDTH_IN and all(right + ROOM_IN < left or x > end + ROOM_IN for left, end in taken):
                    taken.append((x, right))
                    axes.plot([x, x], [y, y + 0.05], color=INK, linewidth=0.8)
                    write(axes, x, y + 0.13, numbers[measure])


def _is_round(number: str, step: int) -> bool:
    return number.isdecimal() and (step == 1 or int(number) % step == (1 if step in (2, 4, 8, 16, 32) else 0))


def draw_bands(axes: Any, lines: MeasureLines, bands: Sequence[Band], y_in: float, height_in: float = 0.16) -> None:
    """Draw the sections of each line as bands with their labels above; `y_in` is where the labels begin."""
    from matplotlib.patches import Rectangle

    for band in bands:
        for at, _, left, right in lines.cut(band.first, band.last):
            y = lines.y(at) + y_in
            axes.add_patch(Rectangle((left, y + 0.19), right - left, height_in, **look(band.place)))
            full = f"{band.label} {band.section.role}" if band.section.role else band.label
            told = next((t for t in (full, band.label) if text_in(t, PLAIN) + ROOM_IN <= right - left), "")
            write(axes, left + 0.02, y + 0.09, told, fontsize=PLAIN, fontweight="bold")


def placed(texts: Sequence[tuple[float, str]], rows: int) -> tuple[tuple[float, str, int], ...]:
    """Return those of the texts, given with their left edges in order, that have room, each with its row.

    Examples
    --------
    >>> placed([(0.0, "Cmaj7"), (0.1, "Am"), (0.2, "F"), (1.0, "G")], 2)
    ((0.0, 'Cmaj7', 0), (0.1, 'Am', 1), (1.0, 'G', 0))
    """
    ends = [0.0] * rows
    found = []
    for x, text in texts:
        row = next((row for row, end in enumerate(ends) if x >= end), -1)
        if row >= 0 and x + text_in(text) <= WIDTH_IN:
            ends[row] = x + text_in(text) + ROOM_IN
            found.append((x, text, row))
    return tuple(found)


def draw_starts(axes: Any, lines: MeasureLines, bands: Sequence[Band], upper_in: float, lower_in: float) -> None:
    """Draw a broken line down a stretch of each line where a section begins."""
    for band in bands:
        at, _, left, _ = lines.cut(band.first, band.last)[0]
        if band.first:
            y = lines.y(at)
            axes.plot([left, left], [y + upper_in, y + lower_in], color=INK, linewidth=0.7, linestyle=(0, (3, 3)))
