"""What was taken for what: a grid of what was right against what was answered, with the count in each cell."""

from collections import Counter
from collections.abc import Sequence
from typing import Final

from musictheory_nb.errors import MediaError
from musictheory_nb.media.picture import INK, OKABE_ITO, Picture, finished_picture, new_figure, settings

_CELL_IN: Final = 0.55
_LETTERS: Final = 26
#: Names that one picture shows along each side; of more, those confused most often.
MOST_NAMES: Final = 14


def _short(label: str) -> str:
    kept = label if len(label) <= _LETTERS else label[: _LETTERS - 1] + "…"
    return kept.replace("$", r"\$")


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def confusion_picture(pairs: Sequence[tuple[str, str]]) -> Picture:
    """Return a picture of confused pairs.

    Parameters
    ----------
    pairs : sequence of (str, str)
        What was right and what was answered, once for each time.

    Raises
    ------
    MediaError
        There is no pair.

    Examples
    --------
    >>> confusion_picture([("perfect fourth", "perfect fifth")] * 2 + [("tritone", "perfect fifth")]).alt
    'What was taken for what, most often first. perfect fourth, answered perfect fifth: 2 times. tritone, answered perfect fifth: once.'
    >>> confusion_picture([])
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: no pairs: there is nothing that was taken for something else
    """
    if not pairs:
        raise MediaError("no pairs: there is nothing that was taken for something else")
    counted = sorted(Counter(pairs).items(), key=lambda row: (-row[1], row[0]))
    right = list(dict.fromkeys(pair[0] for pair, _ in counted))[:MOST_NAMES]
    answered = list(dict.fromkeys(pair[1] for pair, _ in counted if pair[0] in right))[:MOST_NAMES]
    shown = {pair: count for pair, count in counted if pair[0] in right and pair[1] in answered}
    told = [f"{one}, answered {other}: {_times(count)}." for (one, other), count in shown.items()]
    if hidden := len(counted) - len(shown):
        told.append(f"{hidden} rarer pairs are not shown.")
    alt = f"What was taken for what, most often first. {' '.join(told)}"
    most = max(shown.values())
    with settings(alt):
        figure = new_figure(3.2 + _CELL_IN * len(answered), 2.2 + _CELL_IN * len(right))
        axes = figure.add_subplot()
        for (one, other), count in shown.items():
            column, row = answered.index(other), right.index(one)
            axes.add_patch(_cell(column, row, 0.15 + 0.6 * count / most))
            axes.text(column, row, str(count), horizontalalignment="center", verticalalignment="center", fontsize=11)
        axes.set_xlim(-0.5, len(answered) - 0.5)
        axes.set_ylim(len(right) - 0.5, -0.5)
        axes.set_xticks(range(len(answered)), [_short(name) for name in answered], rotation=40, ha="right")
        axes.set_yticks(range(len(right)), [_short(name) for name in right])
        axes.set_xticks([at - 0.5 for at in range(len(answered) + 1)], minor=True)
        axes.set_yticks([at - 0.5 for at in range(len(right) + 1)], minor=True)
        axes.grid(which="minor", color=INK, alpha=0.3, linewidth=0.8)
        axes.tick_params(which="both", length=0)
        axes.set_xlabel("Answered")
        axes.set_ylabel("Right")
        return finished_picture(figure, alt)


def _cell(column: int, row: int, strength: float) -> object:
    from matplotlib.patches import Rectangle

    return Rectangle((column - 0.5, row - 0.5), 1, 1, facecolor=OKABE_ITO["orange"], alpha=strength, edgecolor="none")
