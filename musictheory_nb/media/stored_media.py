"""What an item asks to be heard or seen, as bytes that say no more than the sound and the picture do: for sealed work."""

import re
from typing import Final

from musictheory_nb.errors import MediaError
from musictheory_nb.media.engraving import engrave
from musictheory_nb.media.short_clip import SHORT_RATE, half_rate
from musictheory_nb.media.sound import render_sound
from musictheory_nb.media.wav import HEADER_BYTES, wav_bytes
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.sealed_exercise import StoredNotation, StoredSound

NOT_IN_WORDS: Final = "The picture shows what is asked; it is not told in words in this copy."

_IDENTITY: Final = re.compile(r'<svg [^>]*?id="([a-z0-9]+)"')
_DESCRIPTION: Final = re.compile(r"(<desc id=\"[^\"]*\">)[^<]*(</desc>)")


def _span(request: MediaRequest) -> tuple[int, int]:
    """Where measures are chosen, all of them."""
    return (0, len(request.excerpt.measures) - 1) if request.choose_measures else request.span


def stored_sound(request: MediaRequest) -> StoredSound:
    """Return a sound at half the sample rate.

    Parameters
    ----------
    request : MediaRequest
        Of the kind ``'sound'``.

    Raises
    ------
    MediaError
        Not a sound, or what `render_sound` refuses.

    Examples
    --------
    >>> from musictheory_nb.practice.excerpt import Excerpt
    >>> sound = stored_sound(MediaRequest("sound", Excerpt.melody(["B3", "F4"], tempo=60), "Hear it"))
    >>> sound.label, len(sound.wav), sound.measures  # 2.3 s of 11025 samples of two bytes, and a header of 44
    ('Hear it', 50760, ())
    >>> stored_sound(MediaRequest("notation", Excerpt.melody(["B3", "F4"]), "See it"))
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: media kind 'notation': a stored sound is made of a request of the kind 'sound'
    """
    import numpy as np

    if request.kind != "sound":
        raise MediaError(f"media kind {request.kind!r}: a stored sound is made of a request of the kind 'sound'")
    first, last = _span(request)
    clip = render_sound(request, first=first, last=last)
    samples = half_rate(np.frombuffer(clip.wav[HEADER_BYTES:], dtype="<i2") / 32767.0)
    wav = wav_bytes(np.clip(samples, -1.0, 1.0), SHORT_RATE)
    if not request.choose_measures:
        return StoredSound(request.label, wav, hearings=request.hearings)
    numbers = tuple(one.number for one in request.excerpt.measures)
    return StoredSound(
        request.label, wav, numbers, tuple(map(float, clip.measure_starts_s)), *request.span, request.hearings
    )


def stored_notation(request: MediaRequest, *, name: str, text: str | None = None) -> StoredNotation:
    """Return notation as a picture without what an engraving carries beside it: the notes in words, and a name made of them.

    Parameters
    ----------
    request : MediaRequest
        Of the kind ``'notation'``.
    name : str
        Letters, digits and hyphens: the picture's own on its page.
    text : str, optional
        The words that go with it; by default that there are none.

    Raises
    ------
    MediaError
        Not notation, or what `engrave` refuses.

    Examples
    --------
    >>> from musictheory_nb.practice.excerpt import Excerpt
    >>> asked = MediaRequest("notation", Excerpt.melody(["B3", "F4"]), "See it")
    >>> seen = stored_notation(asked, name="first-1-0")
    >>> seen.text == NOT_IN_WORDS, "B3" in seen.svg, 'id="first-1-0"' in seen.svg
    (True, False, True)
    >>> stored_notation(MediaRequest("sound", Excerpt.melody(["B3", "F4"]), "Hear it"), name="first-1-0")
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: media kind 'sound': stored notation is made of a request of the kind 'notation'
    """
    if request.kind != "notation":
        raise MediaError(f"media kind {request.kind!r}: stored notation is made of a request of the kind 'notation'")
    first, last = _span(request)
    svg = engrave(request, first=first, last=last).svg
    identity = _IDENTITY.match(svg)
    if identity is None or len(_DESCRIPTION.findall(svg)) != 1:
        raise MediaError(f"engraving {svg[:60]!r}: no picture as it is made here")
    silent = _DESCRIPTION.sub(rf"\g<1>{NOT_IN_WORDS}\g<2>", svg).replace(identity[1], name)
    return StoredNotation(request.label, silent, NOT_IN_WORDS if text is None else text)
