"""Which scales are in use, and where (`scales_in_use`), from all that tells a scale.

Notes alone tell whole-tone, octatonic, blues and pentatonic scales (`colour_scale`); chord and line together tell altered,
Phrygian dominant, Lydian and their like (`chord_scale_in_use`); notes and home tell the mode of a piece or section
(`mode_of_passage`). Plain major and minor are what a key says already and are not told.
"""

from collections.abc import Sequence

from musictheory_nb.score.chord_scale_in_use import chord_scales_in_use
from musictheory_nb.score.colour_scale import colour_scales
from musictheory_nb.score.finding import Finding
from musictheory_nb.score.form_section import Form
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.melodic_line import MelodicLine
from musictheory_nb.score.mode_of_passage import modes_of_passages
from musictheory_nb.score.pitch_content import pitch_content
from musictheory_nb.score.score import Score


def scales_in_use(
    score: Score, lines: Sequence[MelodicLine], spans: Sequence[HarmonySpan], form: Form
) -> list[Finding]:
    r"""Return the scales in use, each with the notes that spell it.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:4/4\nL:1/8\nK:C\nCDE^F^G^A^G^F|EDCDE4|]\n", cache=False)
    >>> [found.sentence for found in tune.devices() if found.name == "scale in use"]
    ['Bars 1-2: all that sounds keeps to the notes of E whole tone.']
    """
    content = pitch_content(score)
    over_chords = chord_scales_in_use(score, spans)
    colours = colour_scales(score, lines, content, spans)
    modes = modes_of_passages(score, form, content, spans)
    named = {(one.details["kind"], row) for one in over_chords for row in one.notes}
    fresh = [one for one in colours if not any((one.details["kind"], row) in named for row in one.notes)]
    inside = [
        one
        for one in fresh
        if one.details["kind"] not in ("major pentatonic", "minor pentatonic")
        or not any(other.first <= one.first and one.last <= other.last for other in modes)
    ]
    return [*over_chords, *inside, *modes]
