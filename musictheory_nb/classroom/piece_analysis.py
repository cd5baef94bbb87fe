"""Everything that is said of a piece, collected once for the summary, the page and the data (`analyse`).

A selection of bars and parts leaves out findings; key, form and harmony are always those of the whole piece.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.finding import Finding
from musictheory_nb.score.form_section import Form, Section
from musictheory_nb.score.harmony_span import HarmonySpan, KeySpan
from musictheory_nb.score.key_change import key_path
from musictheory_nb.score.key_finding import KeyFinding
from musictheory_nb.score.measure import Measure
from musictheory_nb.score.piece import Piece
from musictheory_nb.score.sounded_chart import sounded_chart


@dataclass(frozen=True, slots=True)
class Selection:
    """Which findings are told.

    Parameters
    ----------
    first, last : int
        Indices of measures, both included: findings of which at least one bar lies there.
    parts : tuple of str
        Names of parts: findings in which one of them takes part, or that concern the bars alone; none for all parts.
    """

    first: int
    last: int
    parts: tuple[str, ...] = ()

    def holds(self, finding: Finding) -> bool:
        """Whether a finding is told."""
        inside = finding.first <= self.last and finding.last >= self.first
        return inside and (not self.parts or not finding.parts or not set(self.parts).isdisjoint(finding.parts))


@dataclass(frozen=True)
class Analysis:
    """What is said of a piece.

    Parameters
    ----------
    piece : Piece
        The piece, as written.
    selection : Selection
        Which findings are told.
    key : KeyFinding or None
        None where no key can be told: there are no pitched notes.
    keys, harmony : tuple
        Keys along the piece and its chords; empty where there are no pitched notes.
    form : Form
        Sections, as played.
    findings : tuple of Finding
        Those of the selection, in the order of the bars.
    """

    piece: Piece
    selection: Selection
    key: KeyFinding | None
    keys: tuple[KeySpan, ...] = field(repr=False)
    harmony: tuple[HarmonySpan, ...] = field(repr=False)
    form: Form
    findings: tuple[Finding, ...] = field(repr=False)

    @property
    def is_whole(self) -> bool:
        """Whether all findings are told."""
        chosen = self.selection
        return not chosen.parts and (chosen.first, chosen.last) == (0, len(self.piece.measures) - 1)

    def section_measures(self, section: Section) -> tuple[Measure, ...]:
        """Return the measures of a section as written, the pickup to its first bar among them."""
        played = self.piece.played().measures
        before = section.first - 1 if section.has_pickup and section.first else section.first
        if played[before].length >= played[before].full_length:
            before = section.first
        return tuple(self.piece.measures[played[at].written] for at in range(before, section.last + 1))

    def section_keys(self, section: Section) -> tuple[KeySpan, ...]:
        """Return the keys that sound in a section, in the order of the bars."""
        measures = self.section_measures(section)
        return tuple(
            span for span in self.keys if any(span.start < one.end and span.end > one.start for one in measures)
        )

    def section_chords(self, section: Section) -> Iterator[tuple[Measure, tuple[HarmonySpan, ...]]]:
        """Yield the measures of a section, each with the chords that begin in it.

        A chord that goes on from before comes first where the section begins, or goes on after a jump.
        """
        by_measure: dict[int, list[HarmonySpan]] = {}
        for span in self.harmony:
            by_measure.setdefault(span.measure, []).append(span)
        before = -2
        for measure in self.section_measures(section):
            own = by_measure.get(measure.index, [])
            if measure.index != before + 1 and (not own or own[0].start > measure.start):
                own = [span for span in self.harmony if span.start < measure.start < span.end] + own
            yield measure, tuple(own)
            before = measure.index

    def by_kind(self) -> dict[str, tuple[Finding, ...]]:
        """Return the findings by name, in the order in which the names first come."""
        found: dict[str, list[Finding]] = {}
        for one in self.findings:
            found.setdefault(one.name, []).append(one)
        return {name: tuple(of_kind) for name, of_kind in found.items()}


#: Called with what is done next.
Told = Callable[[str], None]


def analyse(
    piece: Piece,
    *,
    first: str | int | None = None,
    last: str | int | None = None,
    parts: Sequence[str | int] = (),
    each: Told | None = None,
) -> Analysis:
    r"""Return what is said of a piece.

    Parameters
    ----------
    piece : Piece
        What `load_score` returns.
    first, last : str or int, optional
        Numbers of measures as players count them, both included: findings outside are left out.
    parts : sequence of str or int
        Names or indices of parts: findings without them are left out.
    each : callable, optional
        Called with a word on what is done next.

    Raises
    ------
    ScoreError
        A measure or part that the piece does not have.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> piece = load_score(b"X:1\nM:4/4\nL:1/2\nK:C\n[CEGc]2|[DFGB]2|[CEGc]2|]\n", cache=False)
    >>> found = analyse(piece)
    >>> found.key.key.name, [span.numeral.figure for span in found.harmony]
    ('C major', ['I', 'V43', 'I'])
    >>> analyse(piece, first=9)
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: measure '9': this score has the measures 1 to 3
    """
    tell = each or (lambda text: None)
    selection = _selection(piece, first, last, parts)
    tell("Keys and harmony")
    try:
        key: KeyFinding | None = piece.key()
        keys = key_path(sounded_chart(piece))
    except ScoreError:
        key, keys = None, ()
    try:
        chords = piece.harmony()
    except ScoreError:
        chords = ()
    tell("Form")
    form = piece.form()
    tell("Texture and devices")
    findings = tuple(one for one in piece.devices() if selection.holds(one))
    return Analysis(piece, selection, key, keys, chords, form, findings)


def _selection(piece: Piece, first: str | int | None, last: str | int | None, parts: Sequence[str | int]) -> Selection:
    begin = 0 if first is None else piece.measure_index(first)
    end = len(piece.measures) - 1
    if last is not None:
        end = piece.measure_index(last)
        while end + 1 < len(piece.measures) and piece.measures[end + 1].number == str(last):
            end += 1
    if end < begin:
        raise ScoreError(f"measures {first} to {last}: the last one comes before the first")
    names = (piece.parts[piece.part_index(part)].name for part in parts)
    return Selection(begin, end, tuple(dict.fromkeys(names)))
