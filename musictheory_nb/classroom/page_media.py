"""Notation and sound inside a page that stands alone: engraved pictures and short clips, within a limit of bytes."""

import base64
import html
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from musictheory_nb.classroom.page import Markup, element, joined
from musictheory_nb.errors import MediaError
from musictheory_nb.media.engraving import engrave
from musictheory_nb.media.short_clip import short_clip
from musictheory_nb.practice.media_request import MediaRequest

#: Bytes of pictures and sounds that one page carries. With the text it then stays well below what mail systems take (10 MB).
MAX_MEDIA_BYTES: Final = 4 * 1024 * 1024
#: Measures that one picture shows.
MAX_MEASURES: Final = 16
_WIDTH_PX: Final = 760

CAUTION: Final = (
    "Before you listen with headphones, turn the volume of your device down, start one sound, and turn it up to "
    "where it is comfortable. Loud listening can damage hearing; stop if your ears ring."
)
NO_ROOM: Final = "no room in this page; open the lesson for it."


@dataclass
class MediaRoom:
    """How many bytes of media a page still has room for, and what is in it already.

    Parameters
    ----------
    left : int
        Bytes.
    with_sound : bool
        Whether sounds are put in at all.
    """

    left: int = MAX_MEDIA_BYTES
    with_sound: bool = True
    sounds: int = 0
    left_out: int = 0

    def take(self, size: int) -> bool:
        """Take room for `size` bytes, or return False."""
        if size > self.left:
            self.left_out += 1
            return False
        self.left -= size
        return True


def _key(request: MediaRequest) -> str:
    return repr((request.kind, request.excerpt.digest, request.span, request.parts, request.marked, request.tempo))


def _data(kind: str, content: bytes) -> str:
    return f"data:{kind};base64,{base64.b64encode(content).decode('ascii')}"


def _cannot(request: MediaRequest, reason: str) -> Markup:
    return element("p", f"{request.label}: {reason}", class_="quiet")


def _sound(request: MediaRequest, room: MediaRoom) -> Markup:
    try:
        clip = short_clip(request)
    except MediaError as error:
        return _cannot(request, str(error))
    source = _data("audio/wav", clip.wav)
    if not room.take(len(source)):
        return _cannot(request, NO_ROOM)
    room.sounds += 1
    label = f"{request.label} ({clip.seconds:.0f} s{', the beginning' if clip.is_cut else ''})"
    player = Markup(
        f'<audio controls preload="metadata" src="{source}" aria-label="{html.escape(label)}">'
        f"Your browser plays no sound.</audio>"
    )
    return element("figure", element("figcaption", label), player, class_="sound")


def _notation(request: MediaRequest, room: MediaRoom) -> Markup:
    first, last = request.span
    shown = min(last, first + MAX_MEASURES - 1)
    try:
        engraving = engrave(request, first=first, last=shown, width_px=_WIDTH_PX)
    except MediaError as error:
        return _cannot(request, str(error))
    source = _data("image/svg+xml", engraving.svg.encode("utf-8"))
    if not room.take(len(source)):
        return _cannot(request, NO_ROOM)
    label = request.label if shown == last else f"{request.label} (the first {MAX_MEASURES} measures)"
    image = Markup(f'<img src="{source}" alt="{html.escape(f"Notation. {engraving.text}")}">')
    words = element("details", element("summary", "The notation in words"), element("p", engraving.text))
    return element("figure", image, element("figcaption", label), words)


def media_markup(requests: Sequence[MediaRequest], room: MediaRoom, beside: Sequence[MediaRequest] = ()) -> Markup:
    """Return what is to be seen and heard, notation first, each thing once.

    What has no room any more, or cannot be made, is a line that says so. What stands among those `beside` is left out.
    """
    parts = []
    seen = set(map(_key, beside))
    for request in sorted(requests, key=lambda one: one.kind != "notation"):
        key = _key(request)
        if key in seen or (request.kind == "sound" and not room.with_sound):
            continue
        seen.add(key)
        parts.append((_notation if request.kind == "notation" else _sound)(request, room))
    return joined(*parts)
