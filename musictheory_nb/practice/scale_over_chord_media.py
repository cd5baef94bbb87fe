"""A chord, and scales over it, to be heard and seen."""

from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.chord_scale_facts import chord_scale_facts
from musictheory_nb.practice.excerpt import Excerpt, ExcerptChord, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.note_renaming import renamed
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.scale import Scale

#: Lowest notes of the chord where it stands alone, and where a scale runs over it.
_ALONE: Final = "G3"
_UNDER: Final = "C3"
_SCALE_TEMPO: Final = Fraction(80)


@lru_cache(maxsize=2048)
def chord_requests(symbol: str, display: str, timbre: str) -> tuple[MediaRequest, MediaRequest]:
    """Return the chord to be heard and to be seen."""
    pitches = [pitch.name for pitch in Chord(symbol).pitches(_ALONE)]
    alone = Excerpt.melody(pitches, together=True, timbre=timbre, chord=symbol)
    return MediaRequest("sound", alone, "Hear the chord"), MediaRequest("notation", alone, f"The chord {display}")


@lru_cache(maxsize=512)
def _run(scale: str) -> tuple[str, ...]:
    """Return the scale up one octave, its first note at the top again."""
    pitches = Scale(scale).pitches(4)
    if pitches[-1].chromatic - pitches[0].chromatic != 12:
        pitches = [*pitches, pitches[0].up("P8")]
    return tuple(pitch.name for pitch in pitches)


@lru_cache(maxsize=8192)
def scale_over(symbol: str, scale: str, label: str, timbre: str) -> MediaRequest:
    """Return the scale in quavers over the chord held below."""
    run = _run(scale)
    length = Fraction(len(run), 2)
    notes = [ExcerptNote(0, 0, Fraction(at, 2), Fraction(1, 2), (name,)) for at, name in enumerate(run)]
    below = tuple(pitch.name for pitch in Chord(symbol).pitches(_UNDER))
    notes.append(ExcerptNote(1, 0, Fraction(0), length, below))
    metre = f"{len(run) // 2}/4" if len(run) % 2 == 0 else f"{len(run)}/8"
    excerpt = Excerpt(
        (ExcerptPart("scale", "treble", timbre=timbre), ExcerptPart("chord", "bass", timbre="held")),
        (ExcerptMeasure("1", length, metre),),
        tuple(notes),
        (ExcerptChord(0, Fraction(0), symbol),),
        tempo=_SCALE_TEMPO,
    )
    return MediaRequest("sound", excerpt, label)


@lru_cache(maxsize=2048)
def scale_seen(scale: str, label: str, timbre: str) -> MediaRequest:
    """Return the scale written out in quavers."""
    return MediaRequest("notation", _line(scale, timbre), label)


@lru_cache(maxsize=2048)
def _line(scale: str, timbre: str, chord: str = "") -> Excerpt:
    run = _run(scale)
    return Excerpt.melody(run, [Fraction(1, 2)] * len(run), timbre=timbre, chord=chord, tempo=int(_SCALE_TEMPO))


@lru_cache(maxsize=2048)
def first_choice_written_out(text: str, timbre: str, names: str = "english") -> MediaRequest:
    """Return the first choice written out, the notes to avoid marked; `names` is a system of pitch names."""
    facts = chord_scale_facts(text)
    first = facts.fitting[0]
    run, line = _run(first.name), _line(first.name, timbre, facts.symbol)
    avoid = first.avoid_classes if first.reasons else ()
    marked = tuple(at for at, name in enumerate(run) if Pitch(name).pitch_class in avoid)
    label = renamed(f"{first.display} over {facts.display}", names) + (", notes to avoid marked" if marked else "")
    return MediaRequest("notation", line, label, "answered", marked=marked)
