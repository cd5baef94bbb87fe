"""Sounding and notated examples for the text of a lesson: `listen` and `show`."""

import html
from collections.abc import Sequence
from fractions import Fraction
from typing import Any, TypeAlias

from IPython.display import display

from musictheory_nb.errors import MediaError
from musictheory_nb.media.engraving import engrave
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.scale import Scale
from musictheory_nb.widgets.sound_controls import sound_controls

#: What can be shown: notes as text (``"B3 F4"``) or in a list, a chord, a scale, or an excerpt.
Music: TypeAlias = str | Sequence[str | Pitch] | Chord | Scale | Excerpt


def _clef(pitches: Sequence[str]) -> str:
    middle = sorted(Pitch(text).chromatic for text in pitches)[len(pitches) // 2]
    return "treble" if middle >= Pitch("B3").chromatic else "bass"


def as_excerpt(
    music: Music, together: bool = False, octave: int = 4, tempo: int = 96, timbre: str = "struck"
) -> Excerpt:
    """Return music as an excerpt; see `listen` for the parameters.

    Raises
    ------
    MediaError, PitchError
        Nothing to sound, or a note that cannot be read.

    Examples
    --------
    >>> as_excerpt("B3 F4").notes[1].pitches
    ('F4',)
    """
    if isinstance(music, Excerpt):
        return music
    chord, durations = "", None
    if isinstance(music, Chord):
        pitches, together, chord = [p.name for p in music.pitches(octave)], True, music.symbol
    elif isinstance(music, Scale):
        pitches = [p.name for p in music.pitches(octave)]
        durations = [Fraction(1, 2)] * len(pitches)
    else:
        pitches = [Pitch(one).name for one in (music.replace(",", " ").split() if isinstance(music, str) else music)]
    if not pitches:
        raise MediaError(f"music {music!r}: write notes with their octaves, as 'B3 F4'")
    return Excerpt.melody(
        pitches, durations, clef=_clef(pitches), tempo=tempo, timbre=timbre, together=together, chord=chord
    )


class Demonstration:
    """A piece of music shown in notation and words and, unless silent, with listening controls.

    Parameters
    ----------
    request : MediaRequest
        What is shown and sounded.
    caption : str
        Says what it is; also the name of the controls.
    sounding : bool
        Whether there are listening controls.
    lesson : str
        The lesson in which it stands; its sound check comes once.
    """

    def __init__(self, request: MediaRequest, caption: str, *, sounding: bool, lesson: str = "") -> None:
        self.request = request
        self.caption = caption
        self.sounding = sounding
        self.lesson = lesson
        self.engraving = engrave(request)

    def __repr__(self) -> str:
        return f"{self.caption}: {self.engraving.text}"

    def _ipython_display_(self) -> None:
        caption, words = html.escape(self.caption), html.escape(self.engraving.text)
        display(
            {
                "text/plain": repr(self),
                "text/html": f'<figure style="margin:0">{self.engraving.svg}<figcaption>{caption}</figcaption>'
                f"<details><summary>In words</summary>{words}</details></figure>",
            },
            raw=True,
        )
        if self.sounding:
            display(sound_controls(self.request, self.lesson, label=self.caption, show_label=False))


def _demonstration(
    music: Music, caption: str, first: str, last: str, parts: Sequence[int], sounding: bool, lesson: str, **drawn: Any
) -> Demonstration:
    excerpt = as_excerpt(music, **drawn)
    start = excerpt.measure_index(first) if first else 0
    end = excerpt.measure_index(last) if last else len(excerpt.measures) - 1
    tempo = None if isinstance(music, Excerpt) else Fraction(drawn["tempo"])
    request = MediaRequest(
        "sound" if sounding else "notation", excerpt, caption, first=start, last=end, parts=tuple(parts), tempo=tempo
    )
    return Demonstration(request, caption, sounding=sounding, lesson=lesson)


def listen(
    music: Music,
    caption: str = "Listen",
    *,
    together: bool = False,
    octave: int = 4,
    first: str = "",
    last: str = "",
    parts: Sequence[int] = (),
    tempo: int = 96,
    timbre: str = "struck",
    lesson: str = "",
) -> Demonstration:
    """Show music in notation and words, with controls to hear it.

    Parameters
    ----------
    music : str, sequence, Chord, Scale or Excerpt
        Notes with octaves (``"B3 F4"``), a chord, a scale, or an excerpt.
    caption : str
        Says what it is.
    together : bool
        Notes sound at once.
    octave : int
        Octave of the root of a chord or scale.
    first, last : str
        Printed numbers of the measures of an excerpt; all by default.
    parts : sequence of int
        Indices of the parts of an excerpt; all by default.
    tempo : int
        Quarters a minute (not for an excerpt, which has its own).
    timbre : str
        ``'struck'``, ``'plucked'``, ``'held'`` or ``'plain'``.
    lesson : str
        The lesson in which it stands; its sound check comes once.

    Raises
    ------
    MediaError, PitchError, ExerciseError
        Nothing to sound, a note that cannot be read, or a measure that is not there.

    Examples
    --------
    >>> listen("B3 F4", "B up to F").caption
    'B up to F'
    """
    return _demonstration(
        music, caption, first, last, parts, True, lesson, together=together, octave=octave, tempo=tempo, timbre=timbre
    )


def show(
    music: Music,
    caption: str = "Notation",
    *,
    together: bool = False,
    octave: int = 4,
    first: str = "",
    last: str = "",
    parts: Sequence[int] = (),
) -> Demonstration:
    """Show music in notation and words, without sound; see `listen` for the parameters.

    Examples
    --------
    >>> show("C4 E4 G4", "C major triad", together=True).sounding
    False
    """
    return _demonstration(
        music, caption, first, last, parts, False, "", together=together, octave=octave, tempo=96, timbre="struck"
    )
