"""An excerpt as MEI, the notation language that verovio engraves without a detour.

Written by hand and not through a score library: an excerpt of a few measures is on the page in milliseconds, and what
is printed is decided here. Measure numbers, chord symbols and rehearsal marks are those of the excerpt.

Key signatures of an excerpt are at sounding pitch; the staff of a transposing part gets its own, moved by the part's
interval, as its player reads it.

References
----------
Music Encoding Initiative, Guidelines 5.0 (2023), module CMN.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from types import MappingProxyType
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from musictheory_nb.errors import MediaError
from musictheory_nb.media.accidental import MeasureAccidentals
from musictheory_nb.media.chord_text import is_below, placeholder, text_lines
from musictheory_nb.media.key_signature import cancels, written_fifths
from musictheory_nb.media.layer import BeamNode, Leaf, Node, leaves_of, measure_layers
from musictheory_nb.media.metre import Metre
from musictheory_nb.media.passage import notes_by_measure
from musictheory_nb.media.tie import HeadIndex, excerpt_pitch, tied_heads
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptPart
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.roman_speech import is_figures

_CLEFS: Final = MappingProxyType(
    {
        "treble": {"clef.shape": "G", "clef.line": "2"},
        "bass": {"clef.shape": "F", "clef.line": "4"},
        "alto": {"clef.shape": "C", "clef.line": "3"},
        "tenor": {"clef.shape": "C", "clef.line": "4"},
        "treble-8": {"clef.shape": "G", "clef.line": "2", "clef.dis": "8", "clef.dis.place": "below"},
    }
)
_ACCIDENTALS: Final = MappingProxyType({-3: "tf", -2: "ff", -1: "f", 0: "n", 1: "s", 2: "x", 3: "ts"})
_SOUNDING_ACCIDENTALS: Final = MappingProxyType({**_ACCIDENTALS, 2: "ss"})
#: Right of the barline; at it (0), verovio leaves out the measure number.
_AT_BARLINE: Final = "0.01"


def _element(name: str, attributes: dict[str, str], children: Iterable[str] = ()) -> str:
    opening = name + "".join(f" {key}={quoteattr(value)}" for key, value in attributes.items() if value)
    body = "".join(children)
    return f"<{opening}>{body}</{name}>" if body else f"<{opening}/>"


def head_id(head: HeadIndex, piece: int = 0) -> str:
    """Return the identity of one notehead in the MEI: note index, pitch index, and which of its tied values."""
    return f"n{head[0]}-{head[1]}-{piece}"


def _signature(fifths: int) -> str:
    return f"{abs(fifths)}{'s' if fifths > 0 else 'f'}" if fifths else "0"


def _room_of(text: str) -> str:
    """Return what keeps the room of a symbol; figures keep a line each."""
    if not is_figures(text):
        return placeholder(text)
    return f"<fb>{''.join(f'<f>{placeholder(line)}</f>' for line in text_lines(text))}</fb>"


@dataclass(frozen=True)
class PlayingMarks:
    """What a player reads beside notes: fingers above them and strings below, by index of the note in the excerpt."""

    fingers: Mapping[int, str] = field(default_factory=dict)
    strings: Mapping[int, str] = field(default_factory=dict)


#: Nothing beside the notes.
NO_MARKS: Final = PlayingMarks()


class _Page:
    """Writes one excerpt; holds what is common to its measures."""

    def __init__(self, excerpt: Excerpt, unfinished: bool = False, hands: PlayingMarks = NO_MARKS) -> None:
        self.excerpt = excerpt
        self.hands = hands
        self.unfinished = unfinished
        self.places = notes_by_measure(excerpt)
        self.ties = tied_heads(excerpt)
        self.tied_in = {target: source for source, target in self.ties.items()}

    def document(self) -> str:
        head = "<meiHead><fileDesc><titleStmt><title/></titleStmt><pubStmt/></fileDesc></meiHead>"
        score = _element("score", {}, [self.score_definition(), _element("section", {}, self.measures())])
        body = _element("music", {}, [_element("body", {}, [_element("mdiv", {}, [score])])])
        return (
            '<?xml version="1.0" encoding="UTF-8"?>'
            f'<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0">{head}{body}</mei>'
        )

    # -- staves ------------------------------------------------------------------------------------------------------

    def score_definition(self) -> str:
        first = self.excerpt.measures[0]
        metre = Metre(first.metre)
        staves = [self._staff(at, part, first) for at, part in enumerate(self.excerpt.parts)]
        players: list[list[int]] = []
        for at, part in enumerate(self.excerpt.parts):
            if players and part.group and self.excerpt.parts[players[-1][-1]].group == part.group:
                players[-1].append(at)
            else:
                players.append([at])
        groups = [staves[one[0]] if len(one) == 1 else self._brace(one, staves) for one in players]
        symbol = {"symbol": "bracket"} if len(players) > 1 else {}
        return _element(
            "scoreDef",
            {"meter.count": str(metre.count), "meter.unit": metre.text.partition("/")[2]},
            [_element("staffGrp", symbol, groups)],
        )

    def _staff(self, at: int, part: ExcerptPart, first: ExcerptMeasure) -> str:
        grouped = sum(other.group == part.group for other in self.excerpt.parts) > 1 and part.group
        labels = [] if grouped else self._labels(part)
        attributes = {
            "n": str(at + 1),
            "lines": "5",
            **_CLEFS[part.clef],
            "keysig": _signature(written_fifths(first.fifths, part)),
        }
        if part.chromatic or part.diatonic:
            attributes |= {"trans.semi": str(part.chromatic), "trans.diat": str(part.diatonic)}
        return _element("staffDef", attributes, labels)

    def _labels(self, part: ExcerptPart) -> list[str]:
        labels = [f"<label>{escape(part.name)}</label>"] if part.name else []
        if part.short:
            labels.append(f"<labelAbbr>{escape(part.short)}</labelAbbr>")
        return labels

    def _brace(self, members: Sequence[int], staves: Sequence[str]) -> str:
        labels = self._labels(self.excerpt.parts[members[0]])
        return _element("staffGrp", {"symbol": "brace", "bar.thru": "true"}, [*labels, *(staves[at] for at in members)])

    # -- measures ----------------------------------------------------------------------------------------------------

    def measures(self) -> list[str]:
        out: list[str] = []
        ending: tuple[str, list[str]] | None = None
        for at, measure in enumerate(self.excerpt.measures):
            written = [*self._changes(at), self._measure(at)]
            if not measure.ending:
                ending = None
                out.extend(written)
                continue
            if ending is None or ending[0] != measure.ending:
                ending = (measure.ending, [])
                out.append("")
            ending[1].extend(written)
            out[-1] = _element("ending", {"n": measure.ending}, ending[1])
        return out

    def _changes(self, at: int) -> list[str]:
        """Key and metre, where they change."""
        if not at:
            return []
        before, now = self.excerpt.measures[at - 1], self.excerpt.measures[at]
        attributes, staves = {}, []
        if before.metre != now.metre:
            attributes = {"meter.count": str(Metre(now.metre).count), "meter.unit": now.metre.partition("/")[2]}
        if before.fifths != now.fifths:
            for place, part in enumerate(self.excerpt.parts):
                old, new = written_fifths(before.fifths, part), written_fifths(now.fifths, part)
                cancel = {"cancelaccid": "before"} if cancels(old, new) else {}
                key = _element("keySig", {"sig": _signature(new), **cancel})
                staves.append(_element("staffDef", {"n": str(place + 1)}, [key]))
        if not attributes and not staves:
            return []
        return [_element("scoreDef", attributes, [_element("staffGrp", {}, staves)] if staves else [])]

    def _measure(self, at: int) -> str:
        measure = self.excerpt.measures[at]
        attributes = {"n": measure.number}
        if measure.length != Metre(measure.metre).length:
            attributes["metcon"] = "false"
        if measure.repeat_start:
            attributes["left"] = "rptstart"
        if measure.repeat_end:
            attributes["right"] = "rptend"
        elif measure.double_bar:
            attributes["right"] = "dbl"
        staves, controls = [], []
        for part in range(len(self.excerpt.parts)):
            staff, ties = self._staff_content(part, at)
            staves.append(staff)
            controls.extend(ties)
            controls.extend(self._playing_marks(part, at))
        unit = Fraction(4, int(measure.metre.partition("/")[2]))
        for index, chord in enumerate(self.excerpt.chords):
            if chord.measure == at:
                stamp = float(min(chord.onset, measure.length) / unit + 1)
                lowest, side = (len(self.excerpt.parts), "below") if is_below(chord.text) else (1, "above")
                place = {"xml:id": f"c{index}", "staff": str(lowest), "tstamp": f"{stamp:.5g}", "place": side}
                controls.append(_element("harm", place, [_room_of(chord.text)]))
        if measure.mark:
            box = _element("rend", {"rend": "box"}, [escape(measure.mark)])
            controls.append(_element("reh", {"staff": "1", "tstamp": _AT_BARLINE, "place": "above"}, [box]))
        return _element("measure", attributes, [*staves, *controls])

    def _staff_content(self, part: int, at: int) -> tuple[str, list[str]]:
        notes = self.places.get((part, at), [])
        layers = measure_layers(notes, self.excerpt.measures, at, unfinished=self.unfinished)
        said = MeasureAccidentals(written_fifths(self.excerpt.measures[at].fifths, self.excerpt.parts[part]))
        printed: dict[str, bool] = {}
        in_order = sorted(
            (leaf for layer in layers for leaf in leaves_of(layer)), key=lambda leaf: (leaf.position, leaf.piece)
        )
        struck: dict[Fraction, list[Pitch]] = {}
        for leaf in in_order:
            struck.setdefault(leaf.position, []).extend(self._pitch(head) for head in leaf.heads)
        for leaf in in_order:
            self._say(leaf, at, struck[leaf.position], said, printed)
        ties: list[str] = []
        bodies = [
            _element("layer", {"n": str(n + 1)}, [self._node(node, printed, ties) for node in layer])
            for n, layer in enumerate(layers)
        ] or [_element("layer", {"n": "1"}, ["<mRest/>"])]
        return _element("staff", {"n": str(part + 1)}, bodies), ties

    def _say(
        self, leaf: Leaf, measure: int, struck: Sequence[Pitch], said: MeasureAccidentals, printed: dict[str, bool]
    ) -> None:
        """Decide the accidentals of a leaf, and of the grace notes before it."""
        for grace in leaf.graces:
            for at, pitch in enumerate(self.excerpt.notes[grace].pitches):
                printed[head_id((grace, at))] = said.needed(excerpt_pitch(pitch))
        for head in sorted(leaf.heads, key=self._pitch):
            source = self.tied_in.get(head)
            over = leaf.piece > 0 or (source is not None and self.excerpt.notes[source[0]].measure != measure)
            if leaf.piece == 0 and source is not None and not over:
                over = self._pitch(source) == self._pitch(head)
            printed[head_id(head, leaf.piece)] = said.needed(self._pitch(head), tied_over=over, beside=struck)
        for grace in leaf.graces_after:
            for at, pitch in enumerate(self.excerpt.notes[grace].pitches):
                printed[head_id((grace, at))] = said.needed(excerpt_pitch(pitch))

    def _pitch(self, head: HeadIndex) -> Pitch:
        return excerpt_pitch(self.excerpt.notes[head[0]].pitches[head[1]])

    def _playing_marks(self, part: int, at: int) -> list[str]:
        """Fingers above the notes of a measure and strings below them."""
        marks = []
        for index, note in self.places.get((part, at), []):
            if not note.pitches:
                continue
            start = {"startid": "#" + head_id((index, 0))}
            if index in self.hands.fingers:
                marks.append(_element("fing", {**start, "place": "above"}, [escape(self.hands.fingers[index])]))
            if index in self.hands.strings:
                upright = _element("rend", {"fontstyle": "normal"}, [escape(self.hands.strings[index])])
                marks.append(_element("dir", {**start, "place": "below", "vgrp": "1"}, [upright]))
        return marks

    # -- notes -------------------------------------------------------------------------------------------------------

    def _node(self, node: Node, printed: dict[str, bool], ties: list[str]) -> str:
        if isinstance(node, Leaf):
            return self._leaf(node, printed, ties)
        children = [self._node(child, printed, ties) for child in node.children]
        if isinstance(node, BeamNode):
            return _element("beam", {}, children)
        whole_beam = all(isinstance(child, BeamNode) for child in node.children) or not any(
            isinstance(child, BeamNode) for child in node.children
        )
        beamed = whole_beam and all(leaf.heads and leaf.value and leaf.value.head < 1 for leaf in leaves_of([node]))
        return _element(
            "tuplet",
            {
                "num": str(node.ratio.num),
                "numbase": str(node.ratio.base),
                "bracket.visible": "false" if beamed else "true",
                "num.format": "count",
            },
            children,
        )

    def _leaf(self, leaf: Leaf, printed: dict[str, bool], ties: list[str]) -> str:
        if leaf.value is None:
            raise MediaError(f"a note of '{leaf.quarters}' quarters: no note value lasts so long")
        value = {"dur": _mei_duration(leaf.value.head), "dots": str(leaf.value.dots) if leaf.value.dots else ""}
        before = self._graces(leaf.graces, printed)
        after = self._graces(leaf.graces_after, printed)
        if not leaf.heads:
            return before + _element("space" if leaf.hidden else "rest", value) + after
        heads = list({self._pitch(head): head for head in reversed(leaf.heads)}.values())
        heads.sort(key=self._pitch)
        for head in leaf.heads:
            self._tie(head, leaf, ties)
        notes = [(self._pitch(head), head_id(head, leaf.piece)) for head in heads]
        return before + self._chord(notes, value, printed) + after

    def _chord(self, notes: Sequence[tuple[Pitch, str]], value: dict[str, str], printed: dict[str, bool]) -> str:
        written = []
        for pitch, identity in notes:
            if printed[identity]:
                accidental = {"accid": _ACCIDENTALS[pitch.alter]}
            else:
                accidental = {"accid.ges": _SOUNDING_ACCIDENTALS[pitch.alter]}
            own = {} if len(notes) > 1 else value
            written.append(
                _element(
                    "note",
                    {"xml:id": identity, **own, "pname": pitch.step.lower(), "oct": str(pitch.octave), **accidental},
                )
            )
        return written[0] if len(written) == 1 else _element("chord", value, written)

    def _graces(self, indices: Sequence[int], printed: dict[str, bool]) -> str:
        several = len(indices) > 1
        value = {"dur": "16", "grace": "acc"} if several else {"dur": "8", "grace": "unacc", "stem.mod": "1slash"}
        written = []
        for index in indices:
            pitches = [excerpt_pitch(pitch) for pitch in self.excerpt.notes[index].pitches]
            notes = sorted(((pitch, head_id((index, at))) for at, pitch in enumerate(pitches)), key=lambda one: one[0])
            written.append(self._chord(notes, value, printed))
        return _element("graceGrp", {}, [_element("beam", {}, written)]) if several else "".join(written)

    def _tie(self, head: HeadIndex, leaf: Leaf, ties: list[str]) -> None:
        """Ties that begin at a head: to the next value of the same note, or to the note that it goes on in."""
        here = head_id(head, leaf.piece)
        if leaf.piece + 1 < leaf.pieces:
            ties.append(_element("tie", {"startid": "#" + here, "endid": "#" + head_id(head, leaf.piece + 1)}))
        elif head in self.ties:
            ties.append(_element("tie", {"startid": "#" + here, "endid": "#" + head_id(self.ties[head])}))
        elif self.excerpt.notes[head[0]].tie in ("start", "continue") and self._is_last(head):
            count = Metre(self.excerpt.measures[-1].metre).count
            ties.append(_element("lv", {"startid": "#" + here, "tstamp2": f"0m+{count + 1}"}))

    def _is_last(self, head: HeadIndex) -> bool:
        note = self.excerpt.notes[head[0]]
        return self.excerpt.starts[note.measure] + note.onset + note.duration >= self.excerpt.starts[-1]


def _mei_duration(head: Fraction) -> str:
    return "breve" if head == 8 else str(4 / head)


def mei_text(excerpt: Excerpt, *, unfinished: bool = False, hands: PlayingMarks = NO_MARKS) -> str:
    """Return `excerpt` as an MEI document; where it is `unfinished`, what is not written yet is left empty.

    With `hands`, fingers stand above the notes and strings below them.

    Raises
    ------
    MediaError
        A pitch, a metre or a duration that cannot be written.

    Examples
    --------
    >>> text = mei_text(Excerpt.melody(["B3", "F#4"]))
    >>> text[text.index("<layer") : text.index("</layer>")]  # doctest: +NORMALIZE_WHITESPACE
    '<layer n="1"><note xml:id="n0-0-0" dur="4" pname="b" oct="3" accid.ges="n"/><note xml:id="n1-0-0" dur="4"
    pname="f" oct="4" accid="s"/>'
    """
    return _Page(excerpt, unfinished, hands).document()
