"""Which pitch classes each section of a piece uses, and how much: a table of shares, shaded."""

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.errors import MediaError
from musictheory_nb.media.chord_text import printed_chord
from musictheory_nb.media.measure_line import PLAIN, SMALL, WIDTH_IN
from musictheory_nb.media.picture import INK, OKABE_ITO, Picture, finished_picture, new_figure, settings
from musictheory_nb.media.section_band import Band, band_words, section_kinds
from musictheory_nb.score.piece import Piece
from musictheory_nb.theory.pitch_grammar import STEPS

_ROW_IN: Final = 0.34
#: Share from which a cell is darkest.
_FULL: Final = 0.3
#: Names of pitch classes that the piece does not use, with sharps and with flats.
_SHARPS: Final = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_FLATS: Final = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
_SIGNS: Final = ("bb", "b", "", "#", "##")
_MOST_IN_WORDS: Final = 16


def pitch_class_picture(piece: Piece) -> Picture:
    r"""Return the share of each pitch class in each section, by how long it sounds, from the tonic up.

    Parameters
    ----------
    piece : Piece
        As written; sections with the same label have one row.

    Raises
    ------
    MediaError
        The piece has no pitched notes.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> piece = load_score(b"X:1\nT:Rise\nM:2/4\nL:1/4\nK:C\nCE|Gc|\n", cache=False)
    >>> pitch_class_picture(piece).alt
    'Pitch classes of "Rise" by section, as shares of the sounding time. A, bars 1-2: C 50%, E 25%, G 25%.'
    """
    bands = section_kinds(piece)
    weights, names = _weights(piece, bands)
    if not weights.sum():
        raise MediaError("this piece has no pitched notes: there are no pitch classes to show")
    tonic = piece.key().key.tonic.pitch_class
    order = [(tonic + step) % 12 for step in range(12)]
    shares = np.divide(weights, np.maximum(weights.sum(axis=1, keepdims=True), 1e-9))[:, order]
    labels = [printed_chord(names[pitch_class]) for pitch_class in order]
    alt = _words(piece, bands, shares, labels)
    with settings(alt):
        figure = new_figure(WIDTH_IN, 0.75 + _ROW_IN * len(bands))
        axes = figure.add_subplot()
        _draw_cells(axes, shares)
        axes.set_xlim(-0.5, 11.5)
        axes.set_ylim(len(bands) - 0.5, -0.5)
        axes.set_xticks(range(12), labels, fontsize=PLAIN)
        axes.set_yticks(range(len(bands)), [_row_name(band) for band in bands], fontsize=SMALL + 0.5)
        axes.tick_params(length=0)
        axes.set_xlabel(f"Share of the sounding time, from the tonic {labels[0]} up", fontsize=SMALL + 0.5)
        for spine in axes.spines.values():
            spine.set_visible(False)
        return finished_picture(figure, alt)


def _row_name(band: Band) -> str:
    words = band_words(band)
    return words.replace("$", r"\$")


def _weights(piece: Piece, bands: Sequence[Band]) -> tuple[npt.NDArray[np.float64], list[str]]:
    """Quarters in which each pitch class sounds, by section; and the names under which the piece has them."""
    notes = piece.played().notes
    notes = notes.where(notes.column("step") >= 0)
    classes, measures = notes.chromatic % 12, notes.column("measure")
    lengths = notes.column("duration") / notes.ticks_per_quarter
    found = np.zeros((len(bands), 12))
    for row, band in enumerate(bands):
        own = (measures >= band.first) & (measures <= band.last)
        found[row] = np.bincount(classes[own], lengths[own], minlength=12)
    spelled: dict[tuple[int, str], float] = {}
    steps, alters = notes.column("sounding_step").tolist(), notes.column("sounding_alter").tolist()
    for pitch_class, step, alter, length in zip(classes.tolist(), steps, alters, lengths.tolist(), strict=True):
        if abs(alter) <= 2:
            name = STEPS[step] + _SIGNS[alter + 2]
            spelled[pitch_class, name] = spelled.get((pitch_class, name), 0.0) + length
    names = list(_SHARPS if piece.measures[0].fifths > 0 else _FLATS)
    for pitch_class, name in sorted(spelled, key=lambda one: (spelled[one], one)):
        names[pitch_class] = name
    return found, names


def _draw_cells(axes: Any, shares: npt.NDArray[np.float64]) -> None:
    from matplotlib.patches import Rectangle

    light, dark = (
        np.array((240.0, 245.0, 249.0)),
        np.array([int(OKABE_ITO["blue"][at : at + 2], 16) for at in (1, 3, 5)]),
    )
    for row, own in enumerate(shares):
        for column, share in enumerate(own):
            if share <= 0:
                axes.plot(column, row, ".", color=INK, markersize=2)
                continue
            depth = min(share / _FULL, 1.0)
            colour = "#" + "".join(f"{round(value):02x}" for value in light + (dark - light) * depth)
            axes.add_patch(
                Rectangle((column - 0.47, row - 0.44), 0.94, 0.88, facecolor=colour, edgecolor="#6b7280", linewidth=0.5)
            )
            text = f"{100 * share:.0f}%" if share >= 0.005 else "<1%"
            pen = "#fdfdfd" if depth > 0.62 else "#101214"
            axes.text(column, row, text, ha="center", va="center", fontsize=SMALL, color=pen)


def _words(piece: Piece, bands: Sequence[Band], shares: npt.NDArray[np.float64], labels: Sequence[str]) -> str:
    title = f' of "{piece.title}"' if piece.title else ""
    told = [f"Pitch classes{title} by section, as shares of the sounding time."]
    for band, own in list(zip(bands, shares, strict=True))[:_MOST_IN_WORDS]:
        used = sorted(range(12), key=lambda at: (-own[at], at))
        named = [
            f"{labels[at]} {100 * own[at]:.0f}%" if own[at] >= 0.005 else f"{labels[at]} under 1%"
            for at in used
            if own[at] > 0
        ]
        told.append(f"{band_words(band)}: {', '.join(named) or 'silence'}.")
    if len(bands) > _MOST_IN_WORDS:
        told.append(f"{len(bands) - _MOST_IN_WORDS} more sections.")
    return " ".join(told)
