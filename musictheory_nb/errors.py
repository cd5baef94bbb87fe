"""Every error that the package raises on purpose.

::

    MusicTheoryError
    ├── TheoryError (also a ValueError)       a text or value that no musician would write so
    │   ├── PitchError
    │   │   └── PitchRangeError               a pitch that exists but has no MIDI number
    │   ├── IntervalError
    │   ├── ScaleError
    │   ├── ChordError
    │   ├── KeyNameError
    │   ├── RomanNumeralError
    │   ├── VoiceLeadingError
    │   └── AmbiguousError                    several readings; ``.readings`` lists them
    ├── ScoreError (also a ValueError)        a score that cannot be read, or a measure that it does not have
    ├── InstrumentError (also a ValueError)
    ├── PracticeError (also a ValueError)
    │   ├── ExerciseError                     an exercise that cannot be set so
    │   ├── AnswerError                       an answer of the wrong shape for its item
    │   └── RecordError                       an answer record that cannot be read; names the line
    ├── MediaError (also a ValueError)        a sound, notation or picture that cannot be made
    ├── SetupError (also a RuntimeError)      a library of the notebook's environment that is too old
    └── ClassroomError (also a ValueError)
        ├── LessonError                       a lesson notebook that cannot be read as one
        ├── RosterError
        ├── ManifestError
        ├── ClassFileError                    a class file that is missing, damaged or in use
        ├── SubmissionError                   what one student handed in cannot be read
        ├── PolicyError                       a marking policy that cannot be read or does not fit the lesson
        ├── ReportError                       a report, table or page that cannot be written as asked
        └── RerunError                        a re-run that failed or disagrees with the marks

A message says what was given (in quotes), what is allowed and, when it is certain, what to write instead.
This module imports nothing.
"""


class MusicTheoryError(Exception):
    """Root of all errors of this package."""


class TheoryError(MusicTheoryError, ValueError):
    """A text or value that the theory functions cannot read."""


class PitchError(TheoryError):
    """A pitch or pitch name that cannot be read."""


class PitchRangeError(PitchError):
    """A pitch outside the range asked for, such as the MIDI numbers 0 to 127."""


class IntervalError(TheoryError):
    """An interval that cannot be read or does not exist."""


class ScaleError(TheoryError):
    """A scale that cannot be read or is not in the catalogue."""


class ChordError(TheoryError):
    """A chord symbol or set of notes that cannot be read as a chord."""


class KeyNameError(TheoryError):
    """A key that cannot be read."""


class RomanNumeralError(TheoryError):
    """A Roman numeral that cannot be read in its key."""


class VoiceLeadingError(TheoryError):
    """Voices that cannot be led or compared as asked."""


class AmbiguousError(TheoryError):
    """A text with more than one reading.

    Parameters
    ----------
    message : str
        What was given and what to write instead.
    readings : tuple of str, optional
        Each reading, written without ambiguity.
    """

    def __init__(self, message: str, readings: tuple[str, ...] = ()) -> None:
        super().__init__(message)
        self.readings = tuple(readings)


class ScoreError(MusicTheoryError, ValueError):
    """A score that cannot be read, written or asked what was asked."""


class InstrumentError(MusicTheoryError, ValueError):
    """An instrument, tuning or fingering that does not exist."""


class PracticeError(MusicTheoryError, ValueError):
    """Root of the errors of exercises, answers and records."""


class ExerciseError(PracticeError):
    """An exercise that cannot be set as asked."""


class AnswerError(PracticeError):
    """An answer of the wrong shape for its item."""


class RecordError(PracticeError):
    """An answer record that cannot be read; the message names the line."""


class MediaError(MusicTheoryError, ValueError):
    """A sound, a notation or a picture that cannot be made."""


class SetupError(MusicTheoryError, RuntimeError):
    """A library in the notebook's environment is missing or too old; the message says what to install."""


class ClassroomError(MusicTheoryError, ValueError):
    """Root of the errors of hand-outs, marking and reports."""


class LessonError(ClassroomError):
    """A notebook that cannot be read as a lesson."""


class RosterError(ClassroomError):
    """A roster that cannot be read."""


class ManifestError(ClassroomError):
    """A hand-out manifest that is missing, damaged or of another lesson."""


class ClassFileError(ClassroomError):
    """A class file that is missing, damaged, in use by somebody else, or asked for what it does not hold."""


class SubmissionError(ClassroomError):
    """What one student handed in cannot be read; the others are not touched."""


class PolicyError(ClassroomError):
    """A marking policy that cannot be read, or that names what the class or the lesson has not; names the line."""


class ReportError(ClassroomError):
    """A table, page or report that cannot be written as asked."""


class RerunError(ClassroomError):
    """A re-run of the teacher's notebook that failed or disagrees with the marks."""
