"""Events of a MIDI track as the bytes of its chunk (`track_chunk`).

Source: Standard MIDI Files 1.0 (MIDI Association): track chunks, variable-length quantities, meta events.
"""

from fractions import Fraction
from typing import Final, TypeAlias

#: Tick, order among events of one tick, status byte, first data byte or kind of meta event, and the rest.
Event: TypeAlias = tuple[int, int, int, int, bytes]
META: Final = 0xFF
_TEMPO: Final = 0x51


def quantity(number: int) -> bytes:
    """Return a variable-length quantity: seven bits a byte, the highest bit set on all but the last.

    Examples
    --------
    >>> quantity(0x40).hex(), quantity(0x2000).hex(), quantity(0x0FFFFFFF).hex()
    ('40', 'c000', 'ffffff7f')
    """
    found = bytearray([number & 0x7F])
    while number := number >> 7:
        found.insert(0, number & 0x7F | 0x80)
    return bytes(found)


def tempo_event(tick: int, quarters_per_minute: Fraction) -> Event:
    """Return the event that sets a tempo, which MIDI gives in microseconds a quarter."""
    microseconds = min(max(round(60_000_000 / quarters_per_minute), 1), 0xFFFFFF)
    return tick, 0, META, _TEMPO, microseconds.to_bytes(3, "big")


def track_chunk(events: list[Event]) -> bytes:
    """Return the chunk of a track: its events in order, each after so many ticks, and the end of the track."""
    body = bytearray()
    now = 0
    for tick, _, status, first, rest in sorted(events, key=lambda event: event[:2]):
        body += quantity(tick - now) + bytes((status, first))
        body += quantity(len(rest)) + rest if status == META else rest
        now = tick
    body += b"\x00\xff\x2f\x00"
    return b"MTrk" + len(body).to_bytes(4, "big") + bytes(body)
