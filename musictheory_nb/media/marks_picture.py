"""How a class did: for each exercise every student's score as a dot, with the middle half and the median."""

from collections.abc import Sequence
from statistics import fmean, median, quantiles
from typing import Any, Final

from musictheory_nb.errors import MediaError
from musictheory_nb.media.picture import HATCHES, INK, OKABE_ITO, Picture, finished_picture, new_figure, settings

#: Colours of the boxes, in turn; black and yellow are left out, being too near to ink and paper.
_COLOURS: Final = ("sky blue", "orange", "bluish green", "reddish purple", "blue", "vermillion")
#: Fewer scores than this are shown as dots only.
_FEWEST_IN_BOX: Final = 4
_WIDTH_IN: Final = 7.2
_ROW_IN: Final = 0.62
_BOX_HEIGHT: Final = 0.26
#: Scores within this of each other share a column of dots.
_COLUMN: Final = 0.02
_DOT_STEP, _DOTS_HEIGHT = 0.11, 0.5
_TITLE_LETTERS: Final = 32


def _percent(score: float) -> str:
    return f"{int(100 * score + 0.5)}%"


def _sentence(title: str, scores: Sequence[float]) -> str:
    if not scores:
        return f"{title}: no answers."
    if len(scores) == 1:
        return f"{title}: 1 student, {_percent(scores[0])}."
    told = f"{title}: {len(scores)} students, median {_percent(median(scores))}"
    if len(scores) >= _FEWEST_IN_BOX:
        low, _, high = quantiles(scores, n=4, method="inclusive")
        told += f", middle half from {_percent(low)} to {_percent(high)}"
    return f"{told}, lowest {_percent(min(scores))}, highest {_percent(max(scores))}."


def _dots(scores: Sequence[float], place: int) -> list[tuple[float, float]]:
    """Return a dot for each score, those of nearly equal scores one above the other."""
    columns: dict[int, list[float]] = {}
    for score in sorted(scores):
        columns.setdefault(round(score / _COLUMN), []).append(score)
    step = min(_DOT_STEP, _DOTS_HEIGHT / max([len(column) - 1 for column in columns.values()] + [1]))
    return [(fmean(column), place - 0.06 - step * level) for column in columns.values() for level in range(len(column))]


def _draw_row(axes: Any, place: int, scores: Sequence[float]) -> None:
    """Draw one exercise: box and median below the line, dots above it."""
    if not scores:
        axes.text(0, place, "no answers", verticalalignment="center")
        return
    if len(scores) >= _FEWEST_IN_BOX:
        low, _, high = quantiles(scores, n=4, method="inclusive")
        axes.barh(
            place + 0.2,
            high - low,
            left=low,
            height=_BOX_HEIGHT,
            facecolor=OKABE_ITO[_COLOURS[place % len(_COLOURS)]],
            edgecolor=INK,
            hatch=HATCHES[place % len(HATCHES)],
            linewidth=0.8,
        )
    if len(scores) > 1:
        middle = median(scores)
        axes.plot([middle, middle], [place + 0.03, place + 0.37], color=INK, linewidth=2.6, solid_capstyle="butt")
    axes.plot(*zip(*_dots(scores, place), strict=True), "o", color=INK, markersize=3.6, markeredgewidth=0)


def score_picture(titles: Sequence[str], scores: Sequence[Sequence[float]]) -> Picture:
    """Return a picture of a class's scores, exercise by exercise.

    Parameters
    ----------
    titles : sequence of str
        Names of the exercises, from top to bottom.
    scores : sequence of sequence of float
        For each exercise, one score from 0 to 1 for each student who answered.

    Raises
    ------
    MediaError
        No exercise, not as many lists of scores as titles, or a score outside 0 to 1.

    Examples
    --------
    >>> score_picture(["tritones"], [[0.5, 0.75, 1.0]]).alt
    'Scores by exercise. tritones: 3 students, median 75%, lowest 50%, highest 100%.'
    >>> score_picture(["tritones"], [[75.0]])
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: score 75.0 of 'tritones': scores go from 0 to 1; write 0.75 for 75%
    """
    if not titles or len(titles) != len(scores):
        raise MediaError(f"{len(titles)} titles and {len(scores)} lists of scores: give one list to each title")
    for title, own in zip(titles, scores, strict=True):
        for score in own:
            if not 0 <= score <= 1:
                advice = f"; write {score / 100:g} for {score:g}%" if 1 < score <= 100 else ""
                raise MediaError(f"score {score!r} of {title!r}: scores go from 0 to 1{advice}")
    alt = " ".join(["Scores by exercise.", *(_sentence(*pair) for pair in zip(titles, scores, strict=True))])
    with settings(alt):
        figure = new_figure(_WIDTH_IN, 0.95 + _ROW_IN * len(titles))
        axes = figure.add_subplot()
        for place, own in enumerate(scores):
            _draw_row(axes, place, own)
        axes.set_xlim(-0.02, 1.02)
        axes.set_ylim(len(titles) - 0.45, -0.75)
        axes.set_xticks([0, 0.25, 0.5, 0.75, 1], ["0%", "25%", "50%", "75%", "100%"])
        axes.set_yticks(range(len(titles)), [_short(title) for title in titles])
        axes.tick_params(axis="y", length=0)
        axes.grid(axis="x", color=INK, alpha=0.18, linewidth=0.8)
        axes.set_axisbelow(True)
        axes.set_xlabel("Score (dot: a student; box: the middle half; bar: the median)")
        return finished_picture(figure, alt)


def _short(title: str) -> str:
    """Return a title that fits the margin; ``$`` is no mathematics."""
    kept = title if len(title) <= _TITLE_LETTERS else title[: _TITLE_LETTERS - 1] + "…"
    return kept.replace("$", r"\$")
