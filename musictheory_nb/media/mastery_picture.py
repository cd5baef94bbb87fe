"""How sure a student is of each skill: a bar for each, with the line from which on it counts as learned."""

from collections.abc import Sequence
from typing import Final

from musictheory_nb.errors import MediaError
from musictheory_nb.media.picture import HATCHES, INK, OKABE_ITO, Picture, finished_picture, new_figure, settings

_WIDTH_IN: Final = 7.2
_ROW_IN: Final = 0.34
_LETTERS: Final = 38
#: Skills that one picture shows; of more, the weakest.
MOST_ROWS: Final = 30


def _percent(known: float) -> str:
    return f"{int(100 * known + 0.5)}%"


def _short(label: str) -> str:
    """Return a label that fits the margin; ``$`` is no mathematics."""
    kept = label if len(label) <= _LETTERS else label[: _LETTERS - 1] + "…"
    return kept.replace("$", r"\$")


def mastery_picture(labels: Sequence[str], known: Sequence[float], mastered: float) -> Picture:
    """Return a picture of how likely each skill is learned, weakest first.

    Parameters
    ----------
    labels : sequence of str
        The skills in words.
    known : sequence of float
        The probability of each, 0 to 1.
    mastered : float
        From which on a skill counts as learned.

    Raises
    ------
    MediaError
        No skill, not as many figures as labels, or a figure outside 0 to 1.

    Examples
    --------
    >>> mastery_picture(["tritone", "major third"], [0.4, 0.97], 0.95).alt
    'How sure you are, weakest first; from 95% on it counts as learned. tritone: 40%. major third: 97%, learned.'
    >>> mastery_picture([], [], 0.95)
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: 0 labels and 0 figures: give one figure to each label, and one label at least
    """
    if not labels or len(labels) != len(known):
        raise MediaError(
            f"{len(labels)} labels and {len(known)} figures: give one figure to each label, and one label at least"
        )
    if wrong := [value for value in (*known, mastered) if not 0 <= value <= 1]:
        raise MediaError(f"figure {wrong[0]!r}: a probability goes from 0 to 1")
    rows = sorted(zip(known, labels, strict=True))
    left_out = len(rows) - MOST_ROWS
    rows = rows[:MOST_ROWS]
    told = [f"{label}: {_percent(value)}{', learned' if value >= mastered else ''}." for value, label in rows]
    if left_out > 0:
        told.append(f"{left_out} surer ones are not shown.")
    alt = f"How sure you are, weakest first; from {_percent(mastered)} on it counts as learned. {' '.join(told)}"
    with settings(alt):
        figure = new_figure(_WIDTH_IN, 1.0 + _ROW_IN * len(rows))
        axes = figure.add_subplot()
        for place, (value, _) in enumerate(rows):
            learned = value >= mastered
            axes.barh(
                place,
                value,
                height=0.62,
                facecolor=OKABE_ITO["bluish green" if learned else "sky blue"],
                hatch="" if learned else HATCHES[0],
                edgecolor=INK,
                linewidth=0.8,
            )
            axes.text(value + 0.012, place, _percent(value), verticalalignment="center", fontsize=9.5)
        axes.axvline(mastered, color=INK, linewidth=1.4, linestyle="--")
        axes.set_xlim(0, 1.12)
        axes.set_ylim(len(rows) - 0.4, -0.6)
        axes.set_xticks([0, 0.25, 0.5, 0.75, 1], ["0%", "25%", "50%", "75%", "100%"])
        axes.set_yticks(range(len(rows)), [_short(label) for _, label in rows])
        axes.tick_params(axis="y", length=0)
        figure.supxlabel("Chance that it is learned; from the dashed line on it counts as learned", fontsize=11)
        return finished_picture(figure, alt)
