"""The bytes of a Standard MIDI File as events at their ticks.

Source: Standard MIDI Files 1.0 (MIDI Association): header chunk, track chunks, variable-length quantities, meta events.
"""

import struct
from dataclasses import dataclass, field
from typing import Final

from musictheory_nb.errors import ScoreError

#: Longest piece, in quarters, and most events.
MAX_QUARTERS: Final = 50_000
MAX_EVENTS: Final = 1_000_000
_DATA_BYTES: Final = {0x8: 2, 0x9: 2, 0xA: 2, 0xB: 2, 0xC: 1, 0xD: 1, 0xE: 2}
_NAME, _TEMPO, _METRE, _KEY, _MARKER = 0x03, 0x51, 0x58, 0x59, 0x06


@dataclass(frozen=True, slots=True)
class MidiNote:
    """A note: channel 0 to 15, MIDI number, and where it begins and ends, in ticks."""

    channel: int
    number: int
    start: int
    end: int


@dataclass(slots=True)
class MidiTrack:
    """One track; programs by channel (0 to 127)."""

    name: str = ""
    notes: list[MidiNote] = field(default_factory=list)
    programs: dict[int, int] = field(default_factory=dict)


@dataclass(slots=True)
class MidiFile:
    """A whole file; tempo in microseconds a quarter, metre as upper and lower figure, key as fifths and mode."""

    ticks_per_quarter: int
    tracks: list[MidiTrack] = field(default_factory=list)
    tempos: list[tuple[int, int]] = field(default_factory=list)
    metres: list[tuple[int, int, int]] = field(default_factory=list)
    keys: list[tuple[int, int, str]] = field(default_factory=list)
    markers: list[tuple[int, str]] = field(default_factory=list)


def read_midi_file(data: bytes) -> MidiFile:
    """Return the events of a Standard MIDI File of type 0 or 1.

    Raises
    ------
    ScoreError
        A chunk that breaks off, an event that does not exist, time code instead of quarters, no notes, or a length that
        no piece has.

    Examples
    --------
    >>> read_midi_file(b"MThd")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: the MIDI file breaks off in its header
    """
    if len(data) < 14:
        raise ScoreError("the MIDI file breaks off in its header")
    size, kind, tracks, division = struct.unpack(">IHHH", data[4:14])
    if size < 6:
        raise ScoreError("the MIDI file breaks off in its header")
    if kind not in (0, 1):
        raise ScoreError(f"MIDI files of type {kind} are not read; save it as type 1")
    if division == 0 or division & 0x8000:
        raise ScoreError("the MIDI file counts in seconds, not in quarters; it holds no metre to read")
    found = MidiFile(division)
    at, events = 8 + int(size), 0
    while at < len(data) and len(found.tracks) < tracks:
        if len(data) < at + 8:
            raise ScoreError(f"the MIDI file breaks off after {len(found.tracks)} of {tracks} tracks")
        name, size = data[at : at + 4], int(struct.unpack(">I", data[at + 4 : at + 8])[0])
        if at + 8 + size > len(data):
            raise ScoreError(f"the MIDI file breaks off in track {len(found.tracks) + 1} of {tracks}")
        if name == b"MTrk":
            events += _TrackReader(data[at + 8 : at + 8 + size], len(found.tracks) + 1, found).read()
            if events > MAX_EVENTS:
                raise ScoreError(f"the MIDI file has more than {MAX_EVENTS} events")
        at += 8 + size
    if len(found.tracks) < tracks:
        raise ScoreError(f"the MIDI file breaks off after {len(found.tracks)} of {tracks} tracks")
    if not any(track.notes for track in found.tracks):
        raise ScoreError("the MIDI file has no notes")
    return found


class _TrackReader:
    """Walks through the events of one track."""

    def __init__(self, track: bytes, number: int, file: MidiFile) -> None:
        self.track = track
        self.number = number
        self.file = file
        self.own = MidiTrack()
        self.at = 0
        self.ticks = 0
        self.sounding: dict[tuple[int, int], list[int]] = {}

    def read(self) -> int:
        """Enter the track into the file; return how many events it has."""
        status = events = 0
        self.file.tracks.append(self.own)
        while self.at < len(self.track):
            self.ticks += self._quantity()
            if self.ticks > MAX_QUARTERS * self.file.ticks_per_quarter:
                raise ScoreError(f"track {self.number} is longer than {MAX_QUARTERS} quarters")
            events += 1
            first = self._bytes(1)[0]
            if first & 0x80:
                status = first
            else:
                self.at -= 1
            if status == 0xFF:
                kind = self._bytes(1)[0]
                if self._meta(kind, self._bytes(self._quantity())):
                    break
            elif status in (0xF0, 0xF7):
                self._bytes(self._quantity())
            elif status >> 4 in _DATA_BYTES:
                values = self._bytes(_DATA_BYTES[status >> 4])
                if any(value & 0x80 for value in values):
                    raise ScoreError(f"track {self.number} holds an event that does not exist")
                self._channel(status, values)
            else:
                raise ScoreError(f"track {self.number} holds an event that does not exist")
        for (channel, number), starts in self.sounding.items():
            for start in starts:  # never released: it sounds to the end of the track
                self.own.notes.append(MidiNote(channel, number, start, max(self.ticks, start)))
        self.own.notes.sort(key=lambda note: (note.start, note.number))
        return events

    def _bytes(self, count: int) -> bytes:
        found = self.track[self.at : self.at + count]
        if len(found) < count:
            raise ScoreError(f"track {self.number} breaks off within an event")
        self.at += count
        return found

    def _quantity(self) -> int:
        value = 0
        for _ in range(4):
            byte = self._bytes(1)[0]
            value = value << 7 | byte & 0x7F
            if not byte & 0x80:
                return value
        raise ScoreError(f"track {self.number} holds a number of more than four bytes")

    def _channel(self, status: int, values: bytes) -> None:
        channel = status & 0x0F
        if status >> 4 == 0x9 and values[1]:
            self.sounding.setdefault((channel, values[0]), []).append(self.ticks)
        elif status >> 4 in (0x8, 0x9):
            starts = self.sounding.get((channel, values[0]))
            if starts:
                self.own.notes.append(MidiNote(channel, values[0], starts.pop(0), self.ticks))
        elif status >> 4 == 0xC:
            self.own.programs.setdefault(channel, values[0])

    def _meta(self, kind: int, value: bytes) -> bool:
        """Enter a meta event; return whether it ends the track."""
        file, ticks = self.file, self.ticks
        if kind == _NAME and not self.own.name:
            self.own.name = _text(value)
        elif kind == _MARKER and value:
            file.markers.append((ticks, _text(value)))
        elif kind == _TEMPO and len(value) == 3 and any(value):
            file.tempos.append((ticks, int.from_bytes(value, "big")))
        elif kind == _METRE and len(value) >= 2 and 1 <= value[0] <= 99 and value[1] <= 6:
            file.metres.append((ticks, value[0], 2 ** value[1]))
        elif kind == _KEY and len(value) == 2:
            fifths = value[0] - 256 if value[0] > 127 else value[0]
            if abs(fifths) <= 7:
                file.keys.append((ticks, fifths, "minor" if value[1] == 1 else "major"))
        return kind == 0x2F


def _text(value: bytes) -> str:
    try:
        text = value.decode("utf-8")
    except UnicodeDecodeError:
        text = value.decode("latin-1")
    return " ".join(text.replace("\x00", " ").split())[:200]
