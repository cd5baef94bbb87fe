"""An excerpt, or what an item asks to be heard, as a WAV clip.

Sample rate. 22.05 kHz, mono, 16 bits: 2.6 MB a minute, so that a rag of three minutes crosses the notebook's
websocket as 8 MB where 48 kHz would take 17. Nothing is lost by it: no timbre has a partial above 9.9 kHz worth
hearing, and a sample lasts 0.045 ms, far below the 1 ms to which onsets are kept.

Every clip is brought to -23 LUFS and a true peak of at most -6 dBFS (see `level`), with fades of 5 ms at both ends.
It begins with a short silence, so that a sound device that wakes up late swallows no attack; `Clip.measure_starts_s`
counts it in.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any, Final

from musictheory_nb.errors import MediaError
from musictheory_nb.media.click import click_sound, clicks, count_in_quarters
from musictheory_nb.media.layer import pickup_shift
from musictheory_nb.media.level import at_house_level
from musictheory_nb.media.listening_options import PLAIN, ListeningOptions
from musictheory_nb.media.passage import passage
from musictheory_nb.media.sounding_note import SoundingNote, sounding_notes
from musictheory_nb.media.tone import HIGHEST, LOWEST, Timbre, check_a4, timbre_named, tone
from musictheory_nb.media.wav import wav_bytes
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.theory.pitch import Pitch

SAMPLE_RATE: Final = 22050
FADE_S: Final = 0.005
#: Silence before the first measure; longer where grace notes need the room.
LEAD_S: Final = 0.05
#: A longer clip would not fit a notebook: 26 MB.
LONGEST_S: Final = 600.0
#: A drone, beside a note of the music.
DRONE_LEVEL: Final = 0.4
#: No tone is shorter, however fast the tempo: the ear needs that long to hear a pitch.
_SHORTEST_TONE_S: Final = 0.07
#: Clips last a whole number of tenths of a second, and half a second at least: so their loudness is well defined.
_STEP_S, _SHORTEST_S = 0.1, 0.5


@dataclass(frozen=True)
class Clip:
    """Sound, ready for a player.

    Parameters
    ----------
    wav : bytes
        A WAV file.
    seconds : float
        Its length.
    sample_rate : int
        Samples a second.
    measure_starts_s : tuple of float
        Where each of its measures begins, in seconds from the start of the clip.
    """

    wav: bytes = field(repr=False)
    seconds: float
    sample_rate: int
    measure_starts_s: tuple[float, ...]


def _released(body: Any, held: int, timbre: Timbre) -> Any:
    """Return the tone cut after `held` samples and let go over the timbre's release."""
    import numpy as np

    fall = round(timbre.release_s * SAMPLE_RATE)
    cut = body[: held + fall].copy()
    cut[held:] *= 0.5 + 0.5 * np.cos(np.pi * np.arange(1, fall + 1) / (fall + 1))
    return cut


def _mix(notes: Sequence[SoundingNote], timbres: Sequence[Timbre], lead_s: float, size: int, a4: float) -> Any:
    """Return all notes in one buffer; a tone of one pitch and timbre is computed once, at its longest, and cut."""
    import numpy as np

    kinds: dict[tuple[int, Timbre], dict[int, list[int]]] = {}
    for note in notes:
        held = round(max(note.length_s, _SHORTEST_TONE_S) * SAMPLE_RATE)
        at = round((lead_s + note.start_s) * SAMPLE_RATE)
        kinds.setdefault((note.midi, timbres[note.part]), {}).setdefault(held, []).append(at)
    mixed = np.zeros(size)
    for (midi, timbre), lengths in kinds.items():
        body = tone(midi, max(lengths) + round(timbre.release_s * SAMPLE_RATE), timbre, SAMPLE_RATE, a4=a4)
        for held, places in lengths.items():
            sounded = _released(body, held, timbre)
            for at in places:
                mixed[at : at + len(sounded)] += sounded
    return mixed


def _add(mixed: Any, sounded: Any, at_s: float) -> None:
    """Add samples from a time on; what goes past the end is left out."""
    start = round(at_s * SAMPLE_RATE)
    room = mixed[start : start + len(sounded)]
    room += sounded[: len(room)]


def _add_drone(mixed: Any, midi: int, until_s: float, a4: float) -> None:
    """Hold a note under the music, from its count-in to its end."""
    held = round((until_s - LEAD_S) * SAMPLE_RATE)
    timbre = timbre_named("held")
    body = tone(midi, held + round(timbre.release_s * SAMPLE_RATE), timbre, SAMPLE_RATE, a4=a4)
    _add(mixed, DRONE_LEVEL * _released(body, held, timbre), LEAD_S)


def _shifts(music: MediaRequest | Excerpt, first: int | None, count: int) -> list[Fraction]:
    """How far into the full measure each measure that is heard begins, in quarters; above 0 for a pickup."""
    excerpt = music.excerpt if isinstance(music, MediaRequest) else music
    begin = first if first is not None else music.span[0] if isinstance(music, MediaRequest) else 0
    return [pickup_shift(excerpt.measures, begin + at) for at in range(count)]


def render_sound(
    music: MediaRequest | Excerpt,
    *,
    first: int | None = None,
    last: int | None = None,
    parts: Sequence[int] = (),
    tempo: Fraction | int | None = None,
    a4: float = 440.0,
    options: ListeningOptions = PLAIN,
) -> Clip:
    """Return the sound of `music`.

    Parameters
    ----------
    music : MediaRequest or Excerpt
        What is given here replaces the request's own span, parts and tempo.
    first, last : int, optional
        Measure indices, both included; -1 for `last` is the end.
    parts : sequence of int
        Part indices; none means those of the request, or all.
    tempo : Fraction or int, optional
        Quarters a minute.
    a4 : float
        Frequency of A4 in Hz.
    options : ListeningOptions
        How it is heard. Parts that it names are of those that were asked for.

    Raises
    ------
    MediaError
        A span, part, tempo, timbre or tuning that does not exist; a pitch that no ear or clip can hold; a clip of more
        than ten minutes.

    Examples
    --------
    >>> clip = render_sound(Excerpt.melody(["B3", "F4"], tempo=60))
    >>> clip.sample_rate, clip.measure_starts_s, round(clip.seconds, 2)
    (22050, (0.05,), 2.3)
    >>> render_sound(Excerpt.melody(["B3", "F4"]), tempo=2)
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: tempo '2': quarters a minute go from 10 to 600; write 96 for a moderate walk
    """
    check_a4(a4)
    heard = passage(music, first=first, last=last, parts=options.parts or parts, tempo=tempo)
    excerpt = heard.excerpt
    timbres = tuple(timbre_named(options.timbre or part.timbre) for part in excerpt.parts)
    heard = replace(heard, tempo=heard.tempo * options.percent / 100)
    quarter_s = float(60 / heard.tempo)
    written_s = float(excerpt.starts[-1]) * quarter_s
    if written_s > LONGEST_S:
        raise MediaError(
            f"a clip of {written_s:.0f} seconds: the longest is {LONGEST_S:.0f}; ask for fewer measures with first and last"
        )
    notes = sounding_notes(heard)
    if options.octaves:
        notes = tuple(replace(note, midi=note.midi + 12 * options.octaves) for note in notes)
    for note in notes:
        if not LOWEST <= note.midi <= HIGHEST:
            raise MediaError(f"a tone of MIDI number {note.midi}: tones go from C0 ({LOWEST}) to C9 ({HIGHEST})")
    shifts = _shifts(music, first, len(excerpt.measures))
    beats = clicks(excerpt.measures, shifts, count_in=options.count_in, metronome=options.metronome)
    earliest = min((note.start_s for note in notes), default=0.0)
    counted_s = float(count_in_quarters(excerpt.measures, shifts)) * quarter_s if options.count_in else 0.0
    lead_s = LEAD_S + max(0.0, -earliest, counted_s)
    fall_s = max(timbre.release_s for timbre in timbres)
    end_s = max([written_s, *(note.start_s + max(note.length_s, _SHORTEST_TONE_S) for note in notes)])
    steps = math.ceil(max(_SHORTEST_S, lead_s + end_s + fall_s + LEAD_S) / _STEP_S)
    size = round(steps * _STEP_S * SAMPLE_RATE)
    mixed = _mix(notes, timbres, lead_s, size, a4)
    if options.drone:
        _add_drone(mixed, Pitch(options.drone).midi, lead_s + end_s, a4)
    for at, accented in beats:
        _add(mixed, click_sound(accented, SAMPLE_RATE), lead_s + float(at) * quarter_s)
    fade = round(FADE_S * SAMPLE_RATE)
    ramp = [at / fade for at in range(fade)]
    mixed[:fade] *= ramp
    mixed[-fade:] *= ramp[::-1]
    return Clip(
        wav=wav_bytes(at_house_level(mixed, SAMPLE_RATE), SAMPLE_RATE),
        seconds=size / SAMPLE_RATE,
        sample_rate=SAMPLE_RATE,
        measure_starts_s=tuple(lead_s + float(start) * quarter_s for start in excerpt.starts[:-1]),
    )
