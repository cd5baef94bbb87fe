"""How the marks of a class are spread: a histogram of ten steps, with a number on each bar and the pass mark."""

from collections.abc import Sequence
from statistics import median
from typing import Final

from musictheory_nb.errors import MediaError
from musictheory_nb.media.picture import HATCHES, INK, OKABE_ITO, Picture, finished_picture, new_figure, settings

STEPS: Final = 10
_WIDTH_IN, _HEIGHT_IN = 7.2, 3.0


def step_counts(percents: Sequence[float]) -> list[int]:
    """Return how many marks lie in each step of ten percent; 100 and above belong to the last.

    Examples
    --------
    >>> step_counts([0, 9.99, 10, 99, 100])
    [2, 1, 0, 0, 0, 0, 0, 0, 0, 2]
    """
    counts = [0] * STEPS
    for percent in percents:
        # what the addition of scores leaves below a round number belongs to it
        counts[min(STEPS - 1, int((percent + 1e-9) * STEPS / 100))] += 1
    return counts


def _step_words(step: int) -> str:
    low = 100 * step // STEPS
    return f"{low} to 100%" if step == STEPS - 1 else f"{low} to under {low + 100 // STEPS}%"


def distribution_picture(percents: Sequence[float], pass_percent: float = 0.0) -> Picture:
    """Return a picture of how the marks of a class are spread.

    Parameters
    ----------
    percents : sequence of float
        A mark for each student who has one, 0 to 100 (a curve may go above).
    pass_percent : float
        The pass mark; 0 for none.

    Raises
    ------
    MediaError
        No marks, or a mark below 0 or above 200.

    Examples
    --------
    >>> distribution_picture([55, 62.5, 64], pass_percent=60).alt
    'Marks of 3 students, median 62%. 50 to under 60%: 1 student. 60 to under 70%: 2 students. 2 of 3 reach the pass mark of 60%.'
    >>> distribution_picture([])
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: marks: there are none; give a percentage for each student
    """
    if not percents:
        raise MediaError("marks: there are none; give a percentage for each student")
    for percent in percents:
        if not 0 <= percent <= 200:
            raise MediaError(f"mark {percent!r}: marks go from 0 to 100 percent, or up to 200 after a curve")
    counts = step_counts(percents)
    students = f"{len(percents)} student{'' if len(percents) == 1 else 's'}"
    told = [f"Marks of {students}, median {median(percents):.0f}%."]
    for step, count in enumerate(counts):
        if count:
            told.append(f"{_step_words(step)}: {count} student{'' if count == 1 else 's'}.")
    if pass_percent:
        passed = sum(percent >= pass_percent - 1e-9 for percent in percents)
        told.append(f"{passed} of {len(percents)} reach the pass mark of {pass_percent:g}%.")
    alt = " ".join(told)
    with settings(alt):
        figure = new_figure(_WIDTH_IN, _HEIGHT_IN)
        axes = figure.add_subplot()
        places = [100 / STEPS * (step + 0.5) for step in range(STEPS)]
        bars = axes.bar(
            places,
            counts,
            width=100 / STEPS * 0.9,
            facecolor=OKABE_ITO["sky blue"],
            edgecolor=INK,
            hatch=HATCHES[0],
            linewidth=0.8,
        )
        axes.bar_label(bars, [str(count) if count else "" for count in counts], padding=2)
        if pass_percent:
            axes.axvline(pass_percent, color=INK, linewidth=2, linestyle="--")
            axes.text(pass_percent + 0.6, max(counts) * 1.16, "pass mark", verticalalignment="top")
        axes.set_xlim(-1, 101)
        axes.set_ylim(0, max(counts) * 1.2)
        axes.set_xticks(range(0, 101, 10), [f"{at}%" for at in range(0, 101, 10)])
        axes.set_yticks([])
        axes.spines["left"].set_visible(False)
        axes.set_xlabel("Mark (number on a bar: students)")
        return finished_picture(figure, alt)
