"""How a section differs from the one it is like, in words that name bars, parts and what changed (`differences`)."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.bar_pairing import paired_bars
from musictheory_nb.score.bar_unit import BarUnit
from musictheory_nb.score.form_chord import BarChords
from musictheory_nb.score.form_label import Span
from musictheory_nb.score.form_transposition import moved_by
from musictheory_nb.score.key_name import note_fifths, spelled_key
from musictheory_nb.score.key_profile import PROFILES, profile_correlations
from musictheory_nb.score.line_change import MORE_NOTES, Bars, LineBars, line_bars, line_changes
from musictheory_nb.score.measure_likeness import MeasureLikeness
from musictheory_nb.score.note_table import NoteTable
from musictheory_nb.score.score import Score
from musictheory_nb.theory.key import Key

#: What can change in a return -> what it means.
CHANGE_KINDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "length": "bars are added or left out",
        "key": "it stands in another key or mode",
        "players": "another part has the melody; a part comes in or rests",
        "chords": "other chords are written",
        "register": "a line lies higher or lower",
        "density": "there are clearly more notes, or fewer",
        "accompaniment": "lines other than the melody have other notes or another rhythm",
        "notes": "the melody has other notes",
    }
)
#: From this share of the melody on it is the same one; below the other, another one.
_SAME: Final = 0.7
_OTHER: Final = 0.5
#: Share of the notes that keep their letter, and share that must be altered, in another mode.
_LETTERS, _ALTERED = 0.8, 0.1
#: Names of parts that sing: none of them accompanies. `Bass` sings where another part does.
_SINGS: Final = re.compile(
    r"(mezzo[- ]?)?(sopran[oi]|superius|alt[oi]|altus|cant[oi]|cantus|tenor[ei]?|baritone|quintus|voice|vocals?|choir|chorus)( [\divx]+)?\.?"
)
_BASS: Final = re.compile(r"bass(o|us|es)?( [\divx]+)?\.?")


@dataclass(frozen=True, slots=True)
class Difference:
    """One way in which a section differs from the one that it is like.

    Parameters
    ----------
    kind : str
        One of `CHANGE_KINDS`.
    bars : tuple of str
        Numbers of the measures in which it shows, as players count; none for a length alone.
    parts : tuple of str
        Names of the parts in which it shows; none if it is in all.
    sentence : str
        In words.
    """

    kind: str
    bars: tuple[str, ...]
    parts: tuple[str, ...]
    sentence: str


def differences(
    played: Score,
    units: Sequence[BarUnit],
    likeness: MeasureLikeness,
    chords: BarChords | None,
    before: Span,
    now: Span,
) -> tuple[Difference, ...]:
    """Return how the bars of `now` differ from those of `before`, one of `CHANGE_KINDS` at a time."""
    return tuple(_Comparison(played, units, likeness, chords, before, now).found())


class _Comparison:
    """Two sections side by side."""

    def __init__(
        self,
        played: Score,
        units: Sequence[BarUnit],
        likeness: MeasureLikeness,
        chords: BarChords | None,
        before: Span,
        now: Span,
    ) -> None:
        self.played, self.units, self.likeness, self.chords = played, units, likeness, chords
        self.before, self.now = before, now
        there, here = slice(before.start, before.end), slice(now.start, now.end)
        size = min(before.bars, now.bars)
        self.move = moved_by(likeness, before.start, now.start, size)
        pairs = paired_bars((likeness.rhythm if self.move else likeness.overall)[there, here])
        self.pairs = tuple((before.start + one, now.start + other) for one, other in pairs)
        self.lines = line_bars(played, units, self.pairs)
        self.old_lead, self.new_lead = self._lead(0), self._lead(1)

    def found(self) -> Iterator[Difference]:
        """Yield the differences: of the whole first, then line by line."""
        yield from self._length()
        yield from self._key()
        told = list(self._melody())
        yield from told
        yield from self._chords()
        yield from self._texture()
        leads = {self.old_lead, self.new_lead} if told else set()
        for line in self.lines:
            yield from self._line(line.moved(self.move), line.name in leads)

    def _line(self, line: LineBars, is_told: bool) -> Iterator[Difference]:
        at = line.differing
        if not at:
            return
        if not is_told and (doubled := self._doubles(line)):
            yield self._told("players", at, (line.part,), f"{line.name} {doubled}")
            return
        changed = line_changes(line, at)
        lead = line.name in (self.old_lead, self.new_lead) or len(self.lines) == 1
        sings = self._sings(line.part)
        for kind, words in changed:
            if is_told and kind != "players":
                continue
            behind = not lead and not sings and kind in ("notes", "density", "register")
            name = f"the accompaniment in {line.name}" if behind else line.name
            kind = "accompaniment" if behind and kind != "register" else kind
            yield self._told(kind, at, (line.part,), f"{name} {words}")

    def _doubles(self, line: LineBars) -> str:
        """Return how a line doubles the melody now, '' if it does not, or did before."""
        lead = next((other for other in self.lines if other.name == self.new_lead), None)
        if lead is None or line.name in (self.old_lead, self.new_lead) or not any(lead.here):
            return ""
        share, octaves = _carried(lead.moved(self.move).here, line.here, 0)
        if share < _SAME or _carried(lead.there, line.there, 0)[0] >= _SAME:
            return ""
        return "doubles the melody" + (_octaves(octaves) if octaves else " in unison")

    def _sings(self, part: str) -> bool:
        name = part.casefold()
        if _BASS.fullmatch(name):
            return any(_SINGS.fullmatch(other.name.casefold()) for other in self.played.parts)
        return _SINGS.fullmatch(name) is not None

    def _length(self) -> Iterator[Difference]:
        by = self.now.bars - self.before.bars
        if not by:
            return
        span, kept = (
            (self.now, {one for _, one in self.pairs}) if by > 0 else (self.before, {one for one, _ in self.pairs})
        )
        extra = [at for at in range(span.start, span.end) if at not in kept]
        count = f"{abs(by)} bar{'s' * (abs(by) > 1)} {'longer' if by > 0 else 'shorter'}"
        verb = ("is" if len(extra) == 1 else "are") + (" added" if by > 0 else " left out")
        bars = tuple(self._number(at) for at in extra) if by > 0 else ()
        yield Difference("length", bars, (), f"{count}: {self._bars(extra)} {verb}")

    def _key(self) -> Iterator[Difference]:
        tables = [self._notes(span) for span in (self.before, self.now)]
        everywhere = tuple(range(len(self.pairs)))
        if self.move:
            old, new = _moved_key(tables, self.move)
            up = self.move if self._shift() >= 0 else self.move - 12
            how = f"{abs(up)} semitone{'s' * (abs(up) > 1)} {'higher' if up > 0 else 'lower'}"
            yield self._told("key", everywhere, (), f"in another key, {new.name} for {old.name}, {how}")
        elif keys := self._other_mode(tables):
            yield self._told("key", everywhere, (), f"in another mode, {keys[1].name} for {keys[0].name}")

    def _other_mode(self, tables: Sequence[NoteTable]) -> tuple[Key, Key] | None:
        """Return both keys if the melody keeps its letters but not its accidentals, and the mode is another one."""
        line = next((line for line in self.lines if line.name == self.old_lead), None)
        if line is None:
            return None
        pairs = [
            (old, new)
            for there, here in zip(line.there, line.here, strict=True)
            for old, new in zip(there, here, strict=False)
            if old[:2] == new[:2]
        ]
        total = sum(map(len, line.there))
        kept = sum(old.letter % 7 == new.letter % 7 for old, new in pairs)
        altered = sum(old.letter == new.letter and old.pitch != new.pitch for old, new in pairs)
        if not total or kept < _LETTERS * total or altered < _ALTERED * total:
            return None
        try:
            old_key, new_key = (_best_key(_amounts(table), table) for table in tables)
        except ScoreError:
            return None
        return (old_key, new_key) if old_key.mode != new_key.mode and old_key.tonic == new_key.tonic else None

    def _melody(self) -> Iterator[Difference]:
        """Yield a melody that another part has, or another melody over the same chords."""
        everywhere = tuple(range(len(self.pairs)))
        lines = {line.name: line for line in self.lines}
        if self.old_lead in lines and self.new_lead in lines and self.old_lead != self.new_lead:
            old, new = lines[self.old_lead], lines[self.new_lead]
            share, octaves = _carried(old.there, new.here, self.move)
            if share >= _SAME:
                words = f"the melody goes from {old.name} to {new.name}{_octaves(octaves)}"
                yield self._told("players", everywhere, (old.part, new.part), words)
                return
        if self.chords is None or self.move or not self.pairs:
            return
        alike = np.mean([self.likeness.melody[one, other] for one, other in self.pairs])
        same = self.chords.same_changes(self.before.start, self.now.start, min(self.before.bars, self.now.bars))
        if alike < _OTHER and same and self.new_lead in lines:
            line = lines[self.new_lead]
            yield self._told("notes", everywhere, (line.part,), f"another melody, in {line.name}, over the same chords")

    def _chords(self) -> Iterator[Difference]:
        chords = self.chords
        if chords is None or self.move:
            return
        at = [
            place
            for place, (one, other) in enumerate(self.pairs)
            if (chords.numbers[one] != chords.numbers[other]).any()
        ]
        if at:
            old, new = (", ".join(chords.symbols[self.pairs[one][side]] for one in at) for side in (0, 1))
            yield self._told("chords", at, (), f"other chords, {new} for {old}")

    def _texture(self) -> Iterator[Difference]:
        """Yield that the whole is denser or thinner."""
        if len(self.lines) < 2:
            return
        old, new = (sum(len(bar) for line in self.lines for bar in getattr(line, side)) for side in ("there", "here"))
        if old and new and max(old, new) >= MORE_NOTES * min(old, new):
            words = f"the texture is {'denser' if new > old else 'thinner'} ({new} notes for {old})"
            yield self._told("density", tuple(range(len(self.pairs))), (), words)

    def _lead(self, side: int) -> str:
        """Return the line that has the melody, before (0) or now (1); '' if nothing sounds.

        It is the one that is highest most of the time, of those that mostly have one note at a time if there are any.
        """
        lengths = [
            int(self.units[pair[side]].length * self.played.joined_notes.ticks_per_quarter) for pair in self.pairs
        ]
        lines = [line for line in self.lines if line.is_pitched]
        if not lines:
            return ""
        tops = np.array([line.tops(side, lengths) for line in lines]).reshape(len(lines), -1)
        if not tops.size or not (tops >= 0).any():
            return ""
        sounding = (tops >= 0).mean(axis=1)
        single = np.array([line.is_single(side) for line in lines])
        if (single & (2 * sounding >= sounding.max())).any():
            tops = np.where(single[:, None], tops, -1)
        highest = np.where(tops.max(axis=0) >= 0, tops.argmax(axis=0), -1)
        return lines[int(np.bincount(highest[highest >= 0], minlength=len(lines)).argmax())].name

    def _shift(self) -> float:
        there = self.likeness.skyline[self.before.start : self.before.end]
        here = self.likeness.skyline[self.now.start : self.now.end]
        return float(here[here >= 0].mean() - there[there >= 0].mean())

    def _notes(self, span: Span) -> NoteTable:
        table = self.played.joined_notes
        first, last = self.units[span.start], self.units[span.end - 1]
        starts = table.column("start")
        begin, end = (int(place * table.ticks_per_quarter) for place in (first.start, last.start + last.length))
        return table.where((starts >= begin) & (starts < end) & (table.column("step") >= 0))

    def _told(self, kind: str, at: Sequence[int], parts: tuple[str, ...], words: str) -> Difference:
        there, here = ([self.pairs[one][side] for one in at] for side in (0, 1))
        where = f"{self._bars(here)} (as against {self._bars(there)})"
        return Difference(kind, tuple(self._number(one) for one in here), parts, f"{where}: {words}")

    def _bars(self, indices: Sequence[int]) -> str:
        """Return bars as text, runs joined: ``'bars 9-11 and 14'``."""
        runs: list[list[int]] = []
        for at in indices:
            if runs and runs[-1][-1] == at - 1 and self._number(at) != self._number(at - 1):
                runs[-1].append(at)
            else:
                runs.append([at])
        texts = []
        for run in runs:
            first, last = self._number(run[0]), self._number(run[-1])
            texts.append(first if first == last else f"{first}-{last}")
        many = len(indices) > 1
        text = texts[0] if len(texts) == 1 else ", ".join(texts[:-1]) + " and " + texts[-1]
        return f"bar{'s' * many} {text}"

    def _number(self, at: int) -> str:
        return self.played.measures[self.units[at].bar].number


def _carried(there: Bars, here: Bars, move: int) -> tuple[float, int]:
    """Return which share of some bars' notes stands in other bars, octaves aside, and how many octaves higher."""
    total, shifts = 0, []
    for old, new in zip(there, here, strict=True):
        total += len(old)
        known = {event[:2]: event.pitch for event in new}
        moved = [known[event[:2]] - event.pitch - move for event in old if event[:2] in known]
        shifts += [shift // 12 for shift in moved if shift % 12 == 0]
    return len(shifts) / max(total, 1), round(float(np.mean(shifts))) if shifts else 0


def _octaves(count: int) -> str:
    """Return ``', 2 octaves lower'``; '' for none."""
    way = "higher" if count > 0 else "lower"
    return f", {abs(count)} octave{'s' * (abs(count) > 1)} {way}" if count else ""


def _amounts(table: NoteTable) -> npt.NDArray[np.float64]:
    return np.bincount(table.chromatic % 12, weights=table.column("duration"), minlength=12).astype(np.float64)


def _fits(amounts: npt.NDArray[np.float64]) -> dict[tuple[int, str], float]:
    """Return the mean correlation with each major and minor key."""
    tables = [profile_correlations(amounts, name) for name in PROFILES]
    return {key: sum(table[key] for table in tables) for key in tables[0] if key[1] in ("major", "minor")}


def _best_key(amounts: npt.NDArray[np.float64], table: NoteTable) -> Key:
    fits = _fits(amounts)
    tonic, mode = max(fits, key=lambda key: fits[key])
    return spelled_key(tonic, mode, note_fifths(table))


def _moved_key(tables: Sequence[NoteTable], move: int) -> tuple[Key, Key]:
    """Return the key before and now, by the notes of both together."""
    old, new = map(_amounts, tables)
    fits = _fits(old + np.roll(new, -move))
    tonic, mode = max(fits, key=lambda key: fits[key])
    return spelled_key(tonic, mode, note_fifths(tables[0])), spelled_key(tonic + move, mode, note_fifths(tables[1]))
