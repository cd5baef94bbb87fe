"""Listening controls for what an item or a demonstration asks to be heard: what is offered, and the sound, made and kept."""

from collections.abc import Callable
from functools import lru_cache
from typing import Any, Final

from musictheory_nb.media.listening_offer import offered_controls, part_labels, registers, sounding_parts
from musictheory_nb.media.listening_options import DRONES, PLAIN, ListeningOptions
from musictheory_nb.media.sound import Clip, render_sound
from musictheory_nb.media.tone import TIMBRES
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.widgets.listening import Listening

#: Clips that are kept: what was heard before sounds again at once.
KEPT: Final = 24
#: Octaves that music is moved -> the field's words.
_REGISTERS: Final = {
    -2: "two octaves lower", -1: "an octave lower", 0: "as written", 1: "an octave higher", 2: "two octaves higher",
}  # fmt: skip
_AS_WRITTEN: Final = "as written"


@lru_cache(maxsize=KEPT)
def kept_sound(request: MediaRequest, first: int, last: int, options: ListeningOptions = PLAIN) -> Clip:
    """Return the sound of a request, made once for each way of hearing it."""
    return render_sound(request, first=first, last=last, options=options)


def music_key(request: MediaRequest) -> str:
    """Return by what notation knows that it shows the music that sounds."""
    return request.excerpt.digest.removeprefix("sha256:")[:16]


def fields_of(request: MediaRequest, offers: tuple[str, ...]) -> dict[str, Any]:
    """Return the traits that say what the offered fields let one pick."""
    traits: dict[str, Any] = {
        "offers": list(offers),
        "quarters_a_minute": float(request.tempo or request.excerpt.tempo),
        "most_plays": request.hearings,
    }
    if "parts" in offers:
        traits["parts"] = [list(row) for row in zip(sounding_parts(request), part_labels(request), strict=True)]
    if "drone" in offers:
        traits["drones"] = [["", "none"], *([value, label] for label, value in DRONES.items())]
    if "timbre" in offers:
        traits["timbres"] = [["", _AS_WRITTEN], *([name, name] for name in TIMBRES)]
    if "register" in offers:
        traits["registers"] = [[octaves, _REGISTERS[octaves]] for octaves in registers(request)]
    return traits


def sound_controls(
    request: MediaRequest,
    lesson: str,
    *,
    at_once: bool = True,
    made: Callable[[int, int], None] = lambda first, last: None,
    **traits: Any,
) -> Listening:
    """Return the listening controls of one request.

    Parameters
    ----------
    request : MediaRequest
        What is heard.
    lesson : str
        The lesson; its hearing caution and sound check come once.
    at_once : bool
        Whether the sound is there from the start; else it is made when first asked for.
    made : callable
        Called with the first and last measure index whenever sound has been made.
    **traits
        Further traits of the controls.
    """
    first, last = request.span
    offers = offered_controls(request)

    def sound(start: int, end: int, options: ListeningOptions) -> Clip:
        clip = kept_sound(request, start, end, options)
        made(start, end)
        return clip

    controls = Listening(
        sound=sound,
        measures=[measure.number for measure in request.excerpt.measures],
        choose_measures="measures" in offers,
        span=[0, len(request.excerpt.measures) - 1] if request.choose_measures else [first, last],
        first=first,
        last=last,
        music=music_key(request),
        lesson=lesson,
        **{"label": request.label, **fields_of(request, offers), **traits},
    )
    if at_once:
        controls.load(first, last)
    return controls
