"""`write_midi`: from a `Score` to a Standard MIDI File of type 1, in the order in which players play it.

Conventions: repeats and jumps are unrolled, ties joined. The first track holds tempo, metre and key, each part has its own
track and channel; channel 10 is for unpitched parts alone (General MIDI), and where there are more than fifteen pitched
parts, some share a channel. A grace note sounds for a 32nd, or less before a short note, right before the note that it
ornaments is due to sound: it takes its time from that note. Rehearsal marks are markers.

Source: Standard MIDI Files 1.0 (MIDI Association).
"""

import math
import os
import struct
from collections.abc import Iterable
from fractions import Fraction
from typing import Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.beam import metre_figures
from musictheory_nb.score.midi_track import META, Event, tempo_event, track_chunk
from musictheory_nb.score.note_table import Note
from musictheory_nb.score.part import Part
from musictheory_nb.score.score import Score
from musictheory_nb.score.write_musicxml import write_file
from musictheory_nb.score.written_value import is_power_of_two

_NAME, _MARKER, _METRE, _KEY = 0x03, 0x06, 0x58, 0x59
_PERCUSSION: Final = 9
_CHANNELS: Final = tuple(channel for channel in range(16) if channel != _PERCUSSION)
_VELOCITY: Final = 80
#: Sounds for every unpitched note, whose instrument the note table does not keep: General MIDI's acoustic snare.
_DRUM: Final = 38
#: Longest sound of a grace note, in quarters.
_GRACE: Final = Fraction(1, 8)
#: Ticks of a quarter are a multiple of these, and at most as many.
_LEAST_TICKS, _MOST_TICKS = 480, 32767


def write_midi(score: Score, path: str | os.PathLike[str] | None = None) -> bytes:
    r"""Write a score as a MIDI file and return its bytes.

    Parameters
    ----------
    score : Score
        As written; what sounds is its `Score.played`.
    path : path, optional
        File to write it to.

    Raises
    ------
    ScoreError
        A note is outside the 128 of MIDI, nothing sounds, or the file cannot be written.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:3/4\nL:1/4\nK:G\n|:G2-G:|\n", cache=False)
    >>> again = load_score(write_midi(tune), cache=False)
    >>> [(note.sounding.name, str(note.start), str(note.duration)) for note in again.joined_notes]
    [('G4', '0', '3'), ('G4', '3', '3')]
    """
    played = score.played()
    notes = played.joined_notes
    if not len(notes):
        raise ScoreError(f"score {score.title!r} has no notes that sound; a MIDI file would be empty")
    unit = _ticks(notes)
    tracks = [_conductor(played, unit)]
    pitched = 0
    for part in played.parts:
        own = [note for note in notes if note.part == part.index]
        if not own:
            continue
        for percussive in (False, True):
            sounding = [note for note in own if (note.kind == "unpitched") == percussive]
            if sounding:
                channel = _PERCUSSION if percussive else _CHANNELS[pitched % len(_CHANNELS)]
                pitched += not percussive
                tracks.append(_part_track(part, sounding, channel, unit))
    head = b"MThd" + struct.pack(">IHHH", 6, 1, len(tracks), unit)
    data = head + b"".join(track_chunk(track) for track in tracks)
    if path is not None:
        write_file(path, data)
    return data


def _ticks(notes: Iterable[Note]) -> int:
    """Return ticks of a quarter so that all starts and ends are whole, or the usual number where that is too many."""
    exact = math.lcm(_LEAST_TICKS, *(value.denominator for note in notes for value in (note.start, note.duration)))
    return exact if exact <= _MOST_TICKS else 10080


def _conductor(played: Score, unit: int) -> list[Event]:
    """Return title, tempo, metre, key and rehearsal marks."""
    events: list[Event] = [(0, 0, META, _NAME, played.title.encode("utf-8"))]
    metre = ""
    for measure in played.measures:
        if measure.is_full and measure.metre == metre:
            continue
        tick = round(measure.start * unit)
        figures = metre_figures(measure.metre)
        if len(figures) == 1 and is_power_of_two(figures[0][1]):
            upper = sum(int(figure) for figure in figures[0][0].split("+"))
            if measure.metre != metre and upper < 256:
                events.append((tick, 0, META, _METRE, _time_signature(upper, figures[0][1])))
        metre = measure.metre
    fifths: tuple[int, str] | None = None
    for key in played.key_signatures:
        if key.part == (played.key_signatures[0].part) and (key.fifths, key.mode) != fifths and abs(key.fifths) <= 7:
            fifths = (key.fifths, key.mode)
            minor = key.mode in ("minor", "aeolian")
            events.append((round(key.start * unit), 0, META, _KEY, struct.pack(">bB", key.fifths, minor)))
    for tempo in played.tempos:
        events.append(tempo_event(round(tempo.start * unit), tempo.quarters_per_minute))
    for mark in played.rehearsal_marks:
        events.append((round(mark.start * unit), 0, META, _MARKER, mark.text.encode("utf-8")))
    return events


def _time_signature(upper: int, lower: int) -> bytes:
    beat = 24 * 4 // lower * (3 if lower >= 8 and upper % 3 == 0 and upper > 3 else 1)
    return bytes((upper, lower.bit_length() - 1, min(beat, 255), 8))


def _part_track(part: Part, notes: list[Note], channel: int, unit: int) -> list[Event]:
    """Return name, program and notes of a part."""
    events: list[Event] = [(0, 0, META, _NAME, part.name.encode("utf-8"))]
    if channel != _PERCUSSION and part.program:
        events.append((0, 1, 0xC0 | channel, part.program - 1, b""))
    for number, start, end in _sounding(notes):
        begin = round(start * unit)
        stop = max(round(end * unit), begin + 1)
        events.append((begin, 3, 0x90 | channel, number, bytes((_VELOCITY,))))
        events.append((stop, 2, 0x80 | channel, number, b"\x40"))
    return events


def _sounding(notes: list[Note]) -> list[tuple[int, Fraction, Fraction]]:
    """Return number, start and end of each note; graces take their time from the note that follows them."""
    delays: dict[tuple[int, int, Fraction], Fraction] = {}
    found = []
    graces: dict[tuple[int, int, Fraction], list[list[Note]]] = {}
    for note in notes:
        if note.grace:
            rows = graces.setdefault((note.staff, note.voice, note.start), [])
            if rows and rows[-1][0].event == note.event:
                rows[-1].append(note)
            else:
                rows.append([note])
    room: dict[tuple[int, int, Fraction], Fraction] = {}
    for note in notes:
        place = (note.staff, note.voice, note.start)
        if not note.grace and place in graces:
            room[place] = min(room.get(place, note.duration), note.duration)
    for place, rows in graces.items():
        each = min(_GRACE, room.get(place, _GRACE * 2) / (2 * len(rows)))
        for at, row in enumerate(rows):
            for note in row:
                found.append((_number(note), place[2] + at * each, place[2] + (at + 1) * each))
        delays[place] = each * len(rows)
    for note in notes:
        if not note.grace:
            delay = delays.get((note.staff, note.voice, note.start), Fraction(0))
            found.append((_number(note), note.start + delay, note.end))
    return _apart(found)


def _apart(found: list[tuple[int, Fraction, Fraction]]) -> list[tuple[int, Fraction, Fraction]]:
    """Return the sounds with no two of a number at once: one struck again ends where the next begins."""
    apart: list[tuple[int, Fraction, Fraction]] = []
    last: dict[int, int] = {}
    for number, start, end in sorted(found, key=lambda sound: (sound[1], -sound[2], sound[0])):
        before = last.get(number)
        if before is not None and apart[before][2] > start:
            if apart[before][1] == start:
                continue  # a unison is one sound of one channel
            end = max(end, apart[before][2])
            apart[before] = (number, apart[before][1], start)
        last[number] = len(apart)
        apart.append((number, start, end))
    return apart


def _number(note: Note) -> int:
    if note.sounding is None:
        return _DRUM
    number = note.sounding.chromatic
    if not 0 <= number <= 127:
        raise ScoreError(f"note {note.sounding.name!r} is outside the 128 notes of MIDI, C-1 to G9")
    return number
