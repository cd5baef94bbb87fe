"""What a student sang or played, kept for the teacher to hear where the student agrees."""

from collections.abc import Iterable
from pathlib import Path
from typing import Protocol


class Recorder(Protocol):
    """A widget that records, such as `microphone.Microphone`."""

    kept: str

    def kept_recording(self) -> bytes | None:
        """Return the recording as a WAV file, if the student agrees; None otherwise."""


def keep_recordings(recorders: Iterable[Recorder], folder: Path, stem: str) -> None:
    """Write what the student lets the teacher hear, and tell the student; the answer stands whether that works or not.

    Parameters
    ----------
    recorders : iterable of Recorder
        The recorders of one question.
    folder : Path
        Where the answer record lies.
    stem : str
        Name of the file without its ending.
    """
    for recorder in recorders:
        wav = recorder.kept_recording()
        if wav is None:
            continue
        try:
            (folder / f"{stem}.wav").write_bytes(wav)
            recorder.kept = (
                f"Kept for your teacher beside this notebook as {stem}.wav. Delete the file if you change your mind."
            )
        except OSError as error:
            recorder.kept = (
                f"Your answer is recorded, but the recording could not be kept for your teacher ({error.strerror})."
            )
