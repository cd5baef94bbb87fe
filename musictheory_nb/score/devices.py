"""Every device of a piece in one list (`find_devices`): what happens, in which bars and parts, and by which notes.

Each kind has a finder of its own, which states what counts: `texture_device`, `form_device`, `density_change`,
`harmony_device`, `sequence`, `scale_in_use`, `tritone_device`, `chromatic_line`, `approach_note`, `metre_change`,
`syncopation`, `cross_rhythm` and `grouping_dissonance`. `finding.FINDING_KINDS` defines every name.
"""

from collections.abc import Sequence

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.approach_note import approach_notes
from musictheory_nb.score.chromatic_line import chromatic_lines
from musictheory_nb.score.cross_rhythm import cross_rhythms
from musictheory_nb.score.density_change import density_changes
from musictheory_nb.score.finding import Finding
from musictheory_nb.score.form_device import form_devices
from musictheory_nb.score.form_section import Form, find_form
from musictheory_nb.score.grouping_dissonance import grouping_dissonances
from musictheory_nb.score.harmony_device import harmony_devices
from musictheory_nb.score.harmony_finding import harmony
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.melodic_line import melodic_lines
from musictheory_nb.score.metre_change import metre_devices
from musictheory_nb.score.scale_in_use import scales_in_use
from musictheory_nb.score.score import Score
from musictheory_nb.score.sequence import sequences
from musictheory_nb.score.syncopation import syncopations
from musictheory_nb.score.texture import find_texture
from musictheory_nb.score.texture_device import texture_devices
from musictheory_nb.score.texture_span import TextureSpan
from musictheory_nb.score.tritone_device import tritone_devices


def find_devices(
    score: Score,
    *,
    spans: Sequence[HarmonySpan] | None = None,
    form: Form | None = None,
    texture: Sequence[TextureSpan] | None = None,
) -> tuple[Finding, ...]:
    r"""Return every finding about a score, sorted by its first measure.

    Parameters
    ----------
    score : Score
        As written; measures are told by their numbers there.
    spans, form, texture
        What `harmony`, `find_form` and `find_texture` returned for it, where that is known already.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:5/4\nL:1/4\nK:C\nCFBGE|DCDEC|]\n", cache=False)
    >>> for one in find_devices(tune):
    ...     if one.group in ("intervals", "rhythm"):
    ...         print(one.name, "-", one.sentence)
    tritone leap - Bar 1: Part 1 leaps a tritone, from F4 up to B4.
    odd metre - Bars 1-2: the metre is 5/4, which has no even parts.
    """
    lines = melodic_lines(score)
    texture = find_texture(score) if texture is None else texture
    form = find_form(score) if form is None else form
    spans = _chords(score) if spans is None else spans
    found = [
        *texture_devices(score, texture),
        *form_devices(score, form),
        *density_changes(score, form),
        *harmony_devices(score, spans),
        *sequences(score, lines, spans),
        *scales_in_use(score, lines, spans, form),
        *tritone_devices(score, lines),
        *chromatic_lines(score, lines),
        *approach_notes(score, lines, spans),
        *metre_devices(score),
        *syncopations(score, lines),
        *cross_rhythms(score, lines),
        *grouping_dissonances(score, lines),
    ]
    return tuple(sorted(found, key=lambda one: (one.first, one.last, one.name, one.parts, one.notes)))


def _chords(score: Score) -> tuple[HarmonySpan, ...]:
    """Return the harmony, none where there are neither chord symbols nor pitched notes."""
    try:
        return harmony(score)
    except ScoreError:
        return ()
