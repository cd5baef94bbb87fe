"""How a question is shown: names of pitches, words, degrees, clef, the student's instrument. Settings that families share.

None of them changes what is asked. At their defaults they leave no trace in an item's key; otherwise the key holds those
that were set, so that a mark names notes as the question does. `WORDS` needs only to stand in a family's table: an exercise
puts all that its items say into these words (`item_wording`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import InstrumentError, TheoryError
from musictheory_nb.instrument.instrument import Instrument
from musictheory_nb.instrument.transposition import Transposition, read_transposition
from musictheory_nb.practice.excerpt import CLEFS, TIMBRES, Excerpt
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.setting_check import is_switch, one_of
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.pitch_text import write_pitch
from musictheory_nb.theory.scale import Scale
from musictheory_nb.theory.terms import VOCABULARIES

#: Systems of pitch names: as a teacher writes it, as `theory` calls it.
_SYSTEMS: Final = MappingProxyType({"english": "english", "german": "german", "fixed-do": "fixed do"})
NAME_SYSTEMS: Final = tuple(_SYSTEMS)
#: How degrees of a scale are named: 7, or ti in movable do with the tonic do in every mode, or the tonic of minor la.
DEGREE_NAMES: Final = ("numbers", "do", "la")
#: The clef that follows from the register, the instrument, or the part.
AUTO: Final = "auto"


def _quoted(values: tuple[str, ...]) -> str:
    return ", ".join(map(repr, values))


def is_transposition(value: JSON) -> bool:
    """Return whether `value` may be written for the student's instrument.

    Examples
    --------
    >>> is_transposition(""), is_transposition("Bb3"), is_transposition("alto saxophone"), is_transposition("saxophone")
    (True, True, True, False)
    """
    try:
        return isinstance(value, str) and transposition_of(value) is not None
    except (TheoryError, InstrumentError):
        return False


@lru_cache(maxsize=256)
def transposition_of(text: str) -> Transposition:
    """Return the transposition that a setting names: none, what a written C4 sounds as, or an instrument.

    Raises
    ------
    PitchError
        A pitch that cannot be read.
    InstrumentError
        No instrument of that name.
    AmbiguousError
        Several instruments have that word in their names.

    Examples
    --------
    >>> transposition_of(""), transposition_of("Bb3"), transposition_of("double bass")
    (Transposition('P1'), Transposition('-M2'), Transposition('-P8'))
    """
    if not text:
        return Transposition("P1")
    if text[-1:].isdigit():
        return read_transposition(text)
    return Instrument(text).transposition


@lru_cache(maxsize=256)
def clef_for(text: str, low_midi: int, high_midi: int) -> str:
    """Return the clef of a register, or that of the instrument which `text` names.

    Examples
    --------
    >>> clef_for("", 43, 67), clef_for("", 55, 76), clef_for("viola", 55, 76), clef_for("Bb3", 55, 76)
    ('bass', 'treble', 'alto', 'treble')
    """
    if text and not text[-1:].isdigit():
        return Instrument(text).clef
    return "treble" if low_midi + high_midi >= 120 else "bass"


NAMES: Final = Setting(
    "names",
    "english",
    "The names of pitches in words and labels: B and B♭, German H and B, or do re mi for C D E.",
    _quoted(NAME_SYSTEMS),
    one_of(NAME_SYSTEMS),
)
WORDS: Final = Setting(
    "words",
    "american",
    "The words of music: measure, half step and quarter note, or bar, semitone and crotchet.",
    _quoted(tuple(VOCABULARIES)),
    one_of(tuple(VOCABULARIES)),
)
DEGREES: Final = Setting(
    "degrees",
    "numbers",
    "How degrees of a scale are named: by numbers, or by the syllables of movable do, the tonic of a minor key being "
    "do or la.",
    _quoted(DEGREE_NAMES),
    one_of(DEGREE_NAMES),
)
CLEF: Final = Setting(
    "clef",
    AUTO,
    "The clef of the notation; by itself that of the student's instrument, of the register, or of the part in an excerpt.",
    _quoted((AUTO, *CLEFS)),
    one_of((AUTO, *CLEFS)),
)
TRANSPOSITION: Final = Setting(
    "transposition",
    "",
    "The student's instrument: what is written is its part, and sounds as it sounds. Piano keys are as they sound.",
    "'' for music that sounds as written, what a written C4 sounds as ('Bb3'), or an instrument ('alto saxophone')",
    is_transposition,
)
TIMBRE: Final = Setting("timbre", "struck", "How the notes sound.", _quoted(TIMBRES), one_of(TIMBRES))
PARTIAL: Final = Setting(
    "partial",
    True,
    "Whether a near miss earns part of the score, as in the tables below.",
    "True or False",
    is_switch,
)
ENHARMONIC: Final = Setting(
    "enharmonic", False, "Whether another spelling of the same sound is right.", "True or False", is_switch
)

#: Those that every family takes which names notes.
NAMING: Final = (NAMES, WORDS)


@lru_cache(maxsize=4096)
def _note(text: str, names: str) -> str:
    return write_pitch(PitchName(text), _SYSTEMS[names], printed=True)


@lru_cache(maxsize=4096)
def _pitch(text: str, names: str) -> str:
    return write_pitch(Pitch(text), _SYSTEMS[names], printed=True)


@lru_cache(maxsize=1024)
def _scale(text: str, names: str) -> str:
    tonic, _, kind = text.partition(" ")
    return f"{_note(tonic, names)} {kind}"


@lru_cache(maxsize=4096)
def _syllable(scale: str, note: str, system: str) -> str:
    tonic, _, kind = scale.partition(" ")
    mode = "minor" if "minor" in kind else "major"
    return Key.of(PitchName(tonic), mode).solfege(PitchName(note), system)


@dataclass(frozen=True, slots=True)
class Display:
    """How one question is shown.

    Parameters
    ----------
    names, degrees, transposition : str
        Values of the settings of these names.

    Examples
    --------
    >>> german = Display.of({"names": "german"})
    >>> german.note("B"), german.pitch("Bb3"), german.scale("B major")
    ('H', 'B3', 'H major')
    >>> german.key, Display().key
    ({'display': {'names': 'german'}}, {})
    """

    names: str = "english"
    degrees: str = "numbers"
    transposition: str = ""

    @staticmethod
    def of(settings: Mapping[str, JSON]) -> "Display":
        """Return what complete settings say; those that a family has not are at their defaults."""
        get = settings.get
        return _display(get("names", "english"), get("degrees", "numbers"), get("transposition", ""))

    @staticmethod
    def of_key(key: Mapping[str, JSON]) -> "Display":
        """Return how the item with that key was shown."""
        return Display.of(key.get("display", {}))

    @property
    def key(self) -> dict[str, JSON]:
        """What an item's key says of it: nothing where all is at the defaults."""
        told = {name: getattr(self, name) for name in ("names", "degrees", "transposition")}
        told = {name: value for name, value in told.items() if value != getattr(PLAIN, name)}
        return {"display": told} if told else {}

    @property
    def theory_names(self) -> str:
        """The system of pitch names as `theory` calls it."""
        return _SYSTEMS[self.names]

    def note(self, text: str) -> str:
        """Return a pitch name as shown, without an octave: ``'B♭'``."""
        return _note(text, self.names)

    def pitch(self, text: str) -> str:
        """Return a pitch as shown, with its octave: ``'B♭3'``."""
        return _pitch(text, self.names)

    def scale(self, text: str) -> str:
        """Return a scale or key, such as ``'Bb harmonic minor'``, as shown."""
        return _scale(text, self.names)

    def degree(self, scale: str, note: str, number: int | str) -> str:
        """Return degree `number` of a scale, which is `note`, as shown: ``'7'`` or ``'ti'``.

        Examples
        --------
        >>> Display().degree("C major", "B", 7), Display(degrees="do").degree("A harmonic minor", "G#", 7)
        ('7', 'ti')
        >>> Display(degrees="la").degree("A harmonic minor", "G#", 7)
        'si'
        """
        return str(number) if self.degrees == "numbers" else _syllable(scale, note, self.degrees)

    @property
    def part_shift(self) -> tuple[int, int]:
        """From written to sounding pitch, in semitones and in steps, as an excerpt's part has it."""
        if not self.transposition:
            return 0, 0
        by = transposition_of(self.transposition).interval
        return by.semitones, by.steps

    @property
    def written_for(self) -> str:
        """Whose part it is, in words; empty for music that sounds as written.

        Examples
        --------
        >>> Display(transposition="clarinet").written_for, Display(transposition="Eb3").written_for
        ('as written for the clarinet in B♭', 'as written for an instrument whose C4 sounds E♭3')
        """
        if not self.transposition:
            return ""
        if self.transposition[-1].isdigit():
            return f"as written for an instrument whose C4 sounds {_pitch(self.transposition, self.names)}"
        return f"as written for the {_instrument_words(self.transposition)}"


def in_part(excerpt: Excerpt, shift: tuple[int, int]) -> Excerpt:
    """Return written music as the part of an instrument; `shift` is `Display.part_shift`.

    Examples
    --------
    >>> part = in_part(Excerpt.melody(["C4"]), Display(transposition="Bb3").part_shift).parts[0]
    >>> part.chromatic, part.diatonic
    (-2, -1)
    """
    if shift == (0, 0):
        return excerpt
    parts = tuple(replace(part, chromatic=shift[0], diatonic=shift[1]) for part in excerpt.parts)
    return replace(excerpt, parts=parts)


#: Everything at its default.
PLAIN: Final = Display()


@lru_cache(maxsize=256)
def _display(names: str, degrees: str, transposition: str) -> Display:
    return Display(names, degrees, transposition)


@lru_cache(maxsize=256)
def _instrument_words(text: str) -> str:
    name = Instrument(text).name
    head, joint, key = name.rpartition(" in ")
    return f"{head} in {PitchName(key).display}" if joint else name


@lru_cache(maxsize=1024)
def scale_shown(name: str, names: str = "english") -> str:
    """Return a scale of the catalogue as shown, in a system of pitch names.

    Examples
    --------
    >>> scale_shown("Bb Dorian b2"), scale_shown("Bb Dorian b2", "german")
    ('B♭ Dorian ♭2', 'B Dorian ♭2')
    """
    scale = Scale(name)
    tonic = scale.pitch_names[0]
    return _note(tonic.name, names) + scale.display.removeprefix(tonic.display)
