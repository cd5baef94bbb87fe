"""An answer sung or played to the microphone."""

from typing import Any, Final

import traitlets

from musictheory_nb.errors import MediaError
from musictheory_nb.media.pitch_tracking import track_pitch
from musictheory_nb.media.sung_note import SungNote, main_notes, sung_notes
from musictheory_nb.media.wav import pcm_samples, wav_bytes
from musictheory_nb.practice.counting_words import counted
from musictheory_nb.practice.sung_input import SungInput
from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style

#: A recording lasts at most so long: so many seconds, and so many for each note.
_LEAD_S, _NOTE_S, _LONGEST_S = 6.0, 3.0, 60.0
#: Softer than this everywhere is no recording of a note, in dB below full scale.
_TOO_SOFT_DB: Final = -50.0


def _received(value: Any, _widget: Any) -> bytes:
    return bytes(value)


class Microphone(LessonWidget):
    """A recorder whose notes are found by Python: nothing of it goes anywhere else.

    The browser asks for the microphone only when the student presses the button, and it is switched off after each
    recording. A recording is forgotten unless the student ticks that the teacher may hear it.

    Parameters
    ----------
    asked : SungInput
        How many notes, and between which limits.
    label : str
        The question.

    Attributes
    ----------
    value : list of float
        MIDI numbers with cents as hundredths, in order; empty until a recording holds as many notes as are asked.
    locked : bool
        Nothing can be changed any more.
    right : list of float
        After marking: the right notes.
    told : str
        What was heard, or why it is no answer.
    offers_keeping : bool
        Whether the student may let the teacher hear the recording.
    keep : bool
        The student lets the teacher hear it.
    kept : str
        What became of a recording that the teacher may hear.
    a4_hz : float
        To what the student's instrument is tuned.
    """

    _esm = script("page", "sound_stage", "microphone")
    _css = style("page", "microphone")

    count = traitlets.Int(1).tag(sync=True)
    limits = traitlets.Unicode("").tag(sync=True)
    longest_s = traitlets.Float(_LONGEST_S).tag(sync=True)
    recording = traitlets.Bytes(b"").tag(sync=True, from_json=_received)
    sample_rate = traitlets.Int(48_000).tag(sync=True)
    take = traitlets.Int(0).tag(sync=True)
    heard = traitlets.Int(0).tag(sync=True)
    value = traitlets.List(traitlets.Float()).tag(sync=True)
    told = traitlets.Unicode("").tag(sync=True)
    right_words = traitlets.Unicode("").tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.Float()).tag(sync=True)
    offers_keeping = traitlets.Bool(False).tag(sync=True)
    keep = traitlets.Bool(False).tag(sync=True)
    kept = traitlets.Unicode("").tag(sync=True)
    a4_hz = traitlets.Float(440.0).tag(sync=True)

    def __init__(self, asked: SungInput | None = None, **traits: Any) -> None:
        self.asked = asked or SungInput()
        super().__init__(
            count=self.asked.count,
            limits=f"{self.asked.low} to {self.asked.high}",
            longest_s=min(_LONGEST_S, _LEAD_S + _NOTE_S * self.asked.count),
            **traits,
        )
        self.on_change(self._find_notes, "take")
        self.on_change(self._tell, ("value", "right", "locked"))
        self._tell()

    def _find_notes(self, _change: Any = None) -> None:
        """Find the notes of the recording that has come."""
        try:
            self._answer(self._samples())
        finally:
            self.heard = self.take

    def _samples(self) -> Any:
        return pcm_samples(self.recording)

    def _answer(self, samples: Any) -> None:
        try:
            track = track_pitch(samples, self.sample_rate)
        except MediaError as error:
            self.value, self.told = [], f"That recording cannot be read: {error}."
            return
        if not len(track.level_db) or float(track.level_db.max()) < _TOO_SOFT_DB:
            self.value, self.told = (
                [],
                "Nothing was heard. Go nearer to the microphone, or turn its level up, and record again.",
            )
            return
        found = sung_notes(track, a4=self.a4_hz)
        notes = main_notes(found, self.asked.count)
        if len(notes) != self.asked.count:
            self.value, self.told = [], self._miscounted(found)
            return
        midi = [note.midi for note in notes]
        outside = [one for one in midi if not self.asked.takes(one)]
        if outside:
            self.value = []
            self.told = (
                f"{self.asked.words(outside)} lies beyond {self.limits}, where these notes are to be. Record again."
            )
            return
        self.value = midi

    def _miscounted(self, found: tuple[SungNote, ...]) -> str:
        wanted = counted(self.asked.count, "note")
        if not found:
            return f"No note was found. Hold {'it' if self.asked.count == 1 else 'each of them'} a little longer, and record again."
        heard = self.asked.words([note.midi for note in found])
        return (
            f"{counted(len(found), 'note').capitalize()} {'was' if len(found) == 1 else 'were'} heard ({heard}), and {wanted} "
            f"{'is' if self.asked.count == 1 else 'are'} asked. Part the notes clearly, and record again."
        )

    def _tell(self, _change: Any = None) -> None:
        if self.value:
            self.told = f"{'You sang or played' if self.locked else 'Heard'}: {self.asked.words(self.value)}."
        else:
            self.told = "Nothing recorded." if self.locked else "Nothing recorded yet."
        self.right_words = self.asked.words(self.right) if self.right else ""

    def kept_recording(self) -> bytes | None:
        """Return the recording as a WAV file, if it is the answer and the student lets the teacher hear it; else None.

        Examples
        --------
        >>> Microphone(recording=bytes(20)).kept_recording() is None
        True
        >>> Microphone(recording=bytes(20), value=[60.0], keep=True).kept_recording()[:4]
        b'RIFF'
        """
        if not (self.keep and self.value and self.recording):
            return None
        return wav_bytes(self._samples(), self.sample_rate)

    def stand_in(self) -> str:
        """Return the question and what was heard, in one line."""
        return f"{self.label or 'Sing or play'}: {self.told} {RUN_AGAIN}"
