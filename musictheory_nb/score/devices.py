"""Every device of a piece in one list (`find_devices`): what happens, in which bars and parts, and by which notes."""

from musictheory_nb.score.finding import Finding
from musictheory_nb.score.form_device import form_devices
from musictheory_nb.score.form_section import find_form
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture import find_texture
from musictheory_nb.score.texture_device import texture_devices


def find_devices(score: Score) -> tuple[Finding, ...]:
    """Return every finding about a score, sorted by its first measure."""
    found = [*texture_devices(score, find_texture(score)), *form_devices(score, find_form(score))]
    return tuple(sorted(found, key=lambda one: (one.first, one.last, one.name, one.parts, one.notes)))
