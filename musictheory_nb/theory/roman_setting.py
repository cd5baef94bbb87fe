"""Conventions of Roman numerals on which teachers differ: one table, read by the check, the messages and the docs.

The defaults are those of a North-American college course: capitals for major and augmented, small letters for minor
and diminished chords, VI and VII for the major chords of minor keys.
"""

from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import RomanNumeralError

#: Every setting with its choices, the first of each being the default, and what each choice means.
ROMAN_SETTINGS: Final = MappingProxyType(
    {
        "numerals": MappingProxyType(
            {
                "case": "capitals are major, small letters minor; figures are figured bass: ii65, V7, vii°7",
                "capitals": "capitals alone; the key tells the quality: II65, V7, VII; another is written: IVm, IIdom7",
                "jazz": "the numeral names the root, what follows is a chord symbol: IIm7, V7, Imaj7, bII7",
            }
        ),
        "degrees": MappingProxyType(
            {
                "usual": "quality with case, harmonic with capitals, major with jazz",
                "quality": "in minor, major VI and VII are the lowered degrees, minor and diminished vi and vii the "
                "raised ones; an accidental that only repeats this is a caution: bVI is VI, #vii° is vii°",
                "key": "a numeral stands for the note of the key's own scale: in A minor VII is G, #vii° is on G#",
                "harmonic": "in minor, of the harmonic minor scale: vii° is on the leading tone, bVII is the subtonic",
                "melodic": "in minor, of the ascending melodic minor scale: bVI and bVII are the lowered degrees",
                "major": "of the major scale on the tonic, in every mode: bIII, bVI and bVII in minor",
            }
        ),
        "ring": MappingProxyType(
            {
                "implied": "vii is diminished without a ring: vii7 in C is B D F A, in A minor G# B D F",
                "written": "a small numeral is minor wherever no ° or ø is written: vii in C is B D F#",
            }
        ),
        "neapolitan": MappingProxyType({"N6": "N6", "bII6": "bII6"}),
        "cadential": MappingProxyType(
            {
                "Cad64": "Cad64",
                "I64": "I64 (i64 in minor); then only what follows tells it from another six-four",
                "V64-53": "V64-53, named by the dominant that it delays",
            }
        ),
        "signs": MappingProxyType({"printed": "° and ø", "ascii": "o and /o"}),
        "figures": MappingProxyType({"65": "figures side by side: V65", "6/5": "figures parted by a slash: V6/5"}),
    }
)
#: What an unaltered numeral stands for by default, for each choice of `numerals`.
_USUAL_DEGREES: Final = MappingProxyType({"case": "quality", "capitals": "harmonic", "jazz": "major"})


@dataclass(frozen=True, slots=True)
class RomanSettings:
    """One choice for each row of `ROMAN_SETTINGS`.

    Raises
    ------
    RomanNumeralError
        A choice that is not in the table.

    Examples
    --------
    >>> RomanSettings(numerals="jazz").degree_convention
    'major'
    >>> RomanSettings(numerals="Jazz")
    Traceback (most recent call last):
    musictheory_nb.errors.RomanNumeralError: numerals 'Jazz': must be one of 'case', 'capitals', 'jazz'
    """

    numerals: str = "case"
    degrees: str = "usual"
    ring: str = "implied"
    neapolitan: str = "N6"
    cadential: str = "Cad64"
    signs: str = "printed"
    figures: str = "65"

    def __post_init__(self) -> None:
        for field in fields(self):
            choice, choices = getattr(self, field.name), ROMAN_SETTINGS[field.name]
            if choice not in choices:
                raise RomanNumeralError(f"{field.name} {choice!r}: must be one of {', '.join(map(repr, choices))}")

    @property
    def degree_convention(self) -> str:
        """What an unaltered numeral stands for: `degrees`, where that is not ``'usual'``."""
        return _USUAL_DEGREES[self.numerals] if self.degrees == "usual" else self.degrees


#: The defaults.
DEFAULT_SETTINGS: Final = RomanSettings()


def roman_settings(settings: dict[str, str]) -> RomanSettings:
    """Settings from keyword arguments.

    Raises
    ------
    RomanNumeralError
        No such setting, or no such choice.

    Examples
    --------
    >>> roman_settings({}) is DEFAULT_SETTINGS
    True
    >>> roman_settings({"number": "jazz"})
    Traceback (most recent call last):
    musictheory_nb.errors.RomanNumeralError: setting 'number': must be one of 'numerals', 'degrees', 'ring', \
'neapolitan', 'cadential', 'signs', 'figures'
    """
    if not settings:
        return DEFAULT_SETTINGS
    for name in settings:
        if name not in ROMAN_SETTINGS:
            raise RomanNumeralError(f"setting {name!r}: must be one of {', '.join(map(repr, ROMAN_SETTINGS))}")
    return RomanSettings(**settings)
