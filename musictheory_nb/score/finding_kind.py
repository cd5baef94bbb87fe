"""What may be found in a piece (`FINDING_KINDS`): every name, its group, what it means and where that is stated."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

#: What the groups of findings are about.
GROUPS: Final = ("intervals", "harmony", "scales", "form", "texture", "rhythm")
_COMMON: Final = "common practice, no source"


class FindingKind(NamedTuple):
    """One kind of finding.

    Parameters
    ----------
    group : str
        One of `GROUPS`.
    definition : str
        Plain words.
    source : str
        Where the definition is stated.
    """

    group: str
    definition: str
    source: str = _COMMON


_KINDS: Final = {
    # Intervals and lines.
    "tritone leap": ("intervals", "a line leaps six semitones, spelled as an augmented fourth or a diminished fifth"),
    "outlined tritone": (
        "intervals",
        "a line moves in one direction by several notes, and the first and last of them are a tritone apart",
    ),
    "chromatic line": ("intervals", "five notes or more that follow each other by half steps in one direction"),
    "chromatic approach": (
        "intervals",
        "a note from outside the scale leads by half step to a tone of the chord, which it does not belong to itself",
    ),
    "enclosure": (
        "intervals",
        "a tone of the chord is surrounded by its upper and lower neighbour, one of them chromatic, before it sounds",
    ),
    # Scales.
    "scale in use": ("scales", "the notes over a span are those of one scale, its characteristic notes among them"),
    # Harmony.
    "half-step pair": ("harmony", "two chords of one kind whose roots are a half step apart"),
    "ii-V": ("harmony", "a minor or half-diminished seventh and the dominant seventh a fifth below it"),
    "tritone substitute": (
        "harmony",
        "a dominant seventh a half step above the chord that follows, in place of its dominant",
    ),
    "secondary dominant": ("harmony", "the dominant of a chord other than the tonic, which follows"),
    "secondary leading-tone chord": (
        "harmony",
        "a diminished chord a half step below the chord that follows, which is not the tonic",
    ),
    "augmented sixth": ("harmony", "an augmented sixth that opens to the root of the chord that follows"),
    "backdoor dominant": ("harmony", "a dominant seventh a whole step below the tonic, which follows"),
    "common-tone diminished seventh": (
        "harmony",
        "a diminished seventh that shares the root of the chord that follows",
    ),
    "perfect authentic cadence": ("harmony", "V or V7 to I in root position, the tonic in the soprano"),
    "imperfect authentic cadence": ("harmony", "V to I with an inverted chord, or another note in the soprano"),
    "authentic cadence": ("harmony", "V to I in root position, the soprano not known"),
    "leading-tone cadence": ("harmony", "the chord on the leading tone to I, in the place of V"),
    "half cadence": ("harmony", "a phrase comes to rest on V"),
    "Phrygian half cadence": ("harmony", "iv6 to V in minor, the bass falling a half step"),
    "plagal cadence": ("harmony", "IV to I"),
    "deceptive cadence": ("harmony", "V to another chord than I that holds the tonic"),
    "evaded cadence": ("harmony", "V to a chord that puts the close off"),
    "change of key": ("harmony", "the music moves to another key and stays there"),
    # Form.
    "standard form": ("form", "the sections of the whole make up a form that has a name"),
    "section": ("form", "a section begins with music that was not there before"),
    "return": ("form", "music of an earlier section comes back, the same or changed"),
    "introduction": ("form", "music before the first section"),
    "bridge": ("form", "the section with other music between the last two returns of the first one"),
    "trio": ("form", "the middle part of a dance, with music of its own"),
    "exposition": ("form", "the first part of a sonata form, which presents its themes"),
    "development": ("form", "what stands between exposition and recapitulation"),
    "recapitulation": ("form", "the exposition comes back in the home key"),
    "ritornello": ("form", "a passage of the full ensemble that comes back between other passages"),
    "coda": ("form", "music after the last section that brings the piece to its end"),
    # Texture.
    "solo": ("texture", "one part plays alone for two bars or more"),
    "tutti": ("texture", "all parts play"),
    "unison": ("texture", "all that play are on one line, at the same pitch"),
    "octaves": ("texture", "all that play are on one line, octaves apart"),
    "doubling": ("texture", "some of the parts share a line, in unison or octaves, while others play something else"),
    "trading": ("texture", "two parties take turns for a number of bars"),
    "call and response": ("texture", "one part calls and a group answers, in short turns"),
    "pedal point": ("texture", "a note that stays in the bass while the chords change"),
    "inner pedal point": ("texture", "a note that stays in a middle voice while the chords change"),
    "upper pedal point": ("texture", "a note that stays on top while the chords change"),
    "ostinato": ("texture", "a figure comes again and again while the others change"),
    "ground bass": ("texture", "an ostinato in the lowest part, two bars long or more"),
    "change of density": ("texture", "a section has twice as many notes to a beat as the one before, or half as many"),
    "change of register": ("texture", "a part plays a section clearly higher or lower than the one before"),
    # Rhythm.
    "odd metre": ("rhythm", "a metre whose beats cannot be parted into twos or threes alone, such as 5/4 or 7/8"),
    "change of metre": ("rhythm", "the metre changes"),
    "syncopation": ("rhythm", "notes begin off the beat and are held over the stronger beat that follows"),
    "hemiola": ("rhythm", "three groups of two beats in the place of two groups of three"),
    "cross-rhythm": ("rhythm", "one part divides a span into three while another divides it into two, or 4 against 3"),
    "grouping dissonance": (
        "rhythm",
        "a figure comes again and again at a distance that does not fit the bar",
    ),
    # Lines and chords that move as a whole.
    "sequence": ("harmony", "a figure comes again at once on another step, twice or more at the same distance"),
}
#: Name -> what it is.
FINDING_KINDS: Final[Mapping[str, FindingKind]] = MappingProxyType(
    {name: FindingKind(*row) for name, row in _KINDS.items()}
)
