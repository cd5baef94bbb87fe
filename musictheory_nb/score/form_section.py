"""The form of a piece: its sections in the order in which they are played, with letters and names (`find_form`).

Conventions: form is told of the score as it is played, in full bars; a section that begins with a pickup is named by its
first full bar. Sections with the same music share a letter, varied ones take primes (A, A', A''); an introduction has no
letter. Boundaries come from what is written (`form_boundary`) where the score has any signs, else from the notes alone
(`strain_search`); inside a long section, the return of an earlier opening begins a section of its own
(`form_return`), and a chorus of 32 bars falls into its four phrases.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from musictheory_nb.score.bar_unit import BarUnit, bar_units
from musictheory_nb.score.form_boundary import written_boundaries
from musictheory_nb.score.form_change import Difference, differences
from musictheory_nb.score.form_chord import BarChords, bar_chords
from musictheory_nb.score.form_ground import ground_bass
from musictheory_nb.score.form_label import Span, has_introduction, labelled
from musictheory_nb.score.form_name import FormName, form_name
from musictheory_nb.score.form_return import choruses, returns_inside, second_theme, song_phrases
from musictheory_nb.score.form_ritornello import ritornelli
from musictheory_nb.score.measure_likeness import MeasureLikeness, measure_likeness
from musictheory_nb.score.melodic_line import melodic_lines
from musictheory_nb.score.phrase_finding import Phrase, section_phrases
from musictheory_nb.score.score import Score
from musictheory_nb.score.strain_search import find_strains
from musictheory_nb.score.strain_shape import players_strains

#: Longest piece, in bars, whose strains are looked for in the notes alone.
MAX_SEARCHED: Final = 400
#: Least bars of a span inside which returns are looked for: between written boundaries, and between heard ones.
_SPAN: Final = 12
_LONG_SPAN: Final = 24


@dataclass(frozen=True, slots=True)
class Section:
    """One section as it is played.

    Parameters
    ----------
    label, letter : str
        ``"A'"`` and ``'A'``; both ``''`` for an introduction, and for a coda with music of its own.
    first, last : int
        Indices of its measures among those of `Score.played`, both included, from its first full bar on.
    first_measure, last_measure : str
        Their numbers, as players count.
    bars : int
        How many full bars it has.
    like : int or None
        Index of the first section with the same letter; None for the first of its letter.
    differences : tuple of Difference
        How it differs from that one: what kind of change, where, in which parts.
    role : str
        ``'introduction'``, ``'trio'``, ``'bridge'``, ``'return'``, ``'exposition'``, ``'coda'`` ... or ``''``.
    evidence : tuple of str
        Why it begins where it does.
    has_pickup : bool
        Notes lead to its first bar.
    phrases : tuple of Phrase
        Its phrases, by the line that has the melody.
    """

    label: str
    letter: str
    first: int
    last: int
    first_measure: str
    last_measure: str
    bars: int
    like: int | None
    differences: tuple[Difference, ...] = ()
    role: str = ""
    evidence: tuple[str, ...] = ()
    has_pickup: bool = False
    phrases: tuple[Phrase, ...] = ()

    @property
    def changes(self) -> tuple[str, ...]:
        """How it differs from the section that it is like, in words, a sentence for each change."""
        return tuple(one.sentence for one in self.differences)

    @property
    def name(self) -> str:
        """Its label, ``'Intro'`` or ``'Coda'`` where it has no letter."""
        return self.label or ("Coda" if self.role == "coda" else "Intro")


@dataclass(frozen=True, slots=True)
class Form:
    """The form of a piece.

    Parameters
    ----------
    plan : str
        The letters of its sections without primes: ``'AABA'``. A chorus that makes up the whole piece is given
        once, even if it is played several times (`times`).
    sections : tuple of Section
        In the order in which they are played.
    name : str
        Of the standard form that fits: ``'minuet and trio'``; ``''`` where none does.
    inner_names : tuple of str
        Of the forms of its halves: ``('rounded binary', 'binary')`` for minuet and trio.
    evidence : tuple of str
        What the name rests on.
    second_theme : str
        In sonata form, the number of the measure from which the recapitulation moves the exposition to another key;
        ``''`` where that cannot be told.
    times : int
        How often the chorus is played.
    """

    plan: str
    sections: tuple[Section, ...] = field(repr=False)
    name: str
    inner_names: tuple[str, ...] = ()
    evidence: tuple[str, ...] = ()
    second_theme: str = ""
    times: int = 1

    @property
    def labels(self) -> tuple[str, ...]:
        """Labels of the sections, with primes; what has no letter is ``'Intro'`` or ``'Coda'``."""
        return tuple(section.name for section in self.sections)


def find_form(score: Score, *, use_signs: bool = True) -> Form:
    r"""Return the form of a piece.

    Parameters
    ----------
    score : Score
        As written; it is unrolled here.
    use_signs : bool
        False to go by the notes alone, without a look at repeats, double bars, key signatures and words.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> strain, other = "CEGE|FAcA|GBdB|c2c2|" * 2, "cAFA|BGEG|AFDF|EDC2|" * 2
    >>> tune = load_score(f"X:1\nM:2/4\nL:1/8\nK:C\n|:{strain[:-1]}:|:{other[:-1]}:|\n".encode(), cache=False)
    >>> form = find_form(tune)
    >>> form.plan, form.name, [section.first_measure for section in form.sections]
    ('AABB', 'binary', ['1', '1', '9', '9'])
    """
    played = score.played()
    units = bar_units(played.measures)
    likeness = measure_likeness(played, units)
    spans = _written_spans(score, played, units) if use_signs else []
    heard = len(spans) < 2
    if heard:
        spans = _heard_spans(likeness, units)
    chords = bar_chords(played, units) if use_signs and played.chord_symbols else None
    spans = _subdivided(spans, likeness, heard, chords)
    spans, times = _one_chorus(_introduced(spans))
    spans = labelled(spans, likeness, chords)
    named = _with_ground(_with_ritornello(form_name(score, spans), ritornelli(played, units, spans), spans), played)
    spans = [replace(span, role=role) for span, role in zip(spans, named.roles, strict=True)]
    return _form(played, units, spans, named, times, likeness, chords)


def _with_ritornello(named: FormName, own: Sequence[int], spans: Sequence[Span]) -> FormName:
    """Return the name with the roles of a ritornello form, if the piece has a ritornello and no name but a rondo's."""
    if not own or named.name not in ("", "rondo", "ternary"):
        return named
    roles = tuple("ritornello" if at in own else role for at, role in enumerate(named.roles))
    why = f"all play {spans[own[0]].label}, which comes back {len(own) - 1} times between passages of fewer"
    return FormName("ritornello form", named.inner, roles, (why,))


def _with_ground(named: FormName, played: Score) -> FormName:
    """Return the name of a piece over a ground bass, if it has no other name than that it repeats itself."""
    if named.name not in ("", "strophic") or (ground := ground_bass(played)) is None:
        return named
    bars = f"{ground.period} bars"
    why = f"{played.parts[ground.parts[0]].name} plays the same {bars} from bar {ground.first_measure} to bar {ground.last_measure}"
    return FormName("ground bass", named.inner, named.roles, (why,))


def _form(
    played: Score,
    units: Sequence[BarUnit],
    spans: Sequence[Span],
    named: FormName,
    times: int,
    likeness: MeasureLikeness,
    chords: BarChords | None,
) -> Form:
    sections = []
    lines = melodic_lines(played)
    for at, span in enumerate(spans):
        first, last = units[span.start].bar, _last_measure(played, units, span)
        lead = units[span.start].pickup if units[span.start].pickup >= 0 else first
        told: tuple[Difference, ...] = ()
        if span.like is not None and span.label != spans[span.like].label:
            told = differences(played, units, likeness, chords, spans[span.like], span)
        sections.append(
            Section(
                span.label,
                span.letter,
                first,
                last,
                played.measures[first].number,
                played.measures[last].number,
                span.end - span.start,
                span.like if span.like != at else None,
                told,
                span.role,
                span.reasons,
                units[span.start].pickup >= 0,
                section_phrases(played, lines, played.measures[lead].start, played.measures[last].end),
            )
        )
    theme = ""
    if named.name == "sonata form" and (bar := second_theme(spans, likeness)) is not None:
        theme = played.measures[units[bar].bar].number
    plan = "".join(span.letter for span in spans)
    return Form(plan, tuple(sections), named.name, named.inner, named.evidence, theme, times)


def _last_measure(played: Score, units: Sequence[BarUnit], span: Span) -> int:
    """Return the measure in which a span ends: not the pickup of the next one."""
    unit = units[span.end - 1]
    if span.end < len(units) and unit.first < units[span.end].pickup <= unit.last:
        return units[span.end].pickup - 1
    return unit.last


def _written_spans(score: Score, played: Score, units: tuple[BarUnit, ...]) -> list[Span]:
    """Return the spans between written boundaries; what is shorter than two bars belongs to the one before.

    A first bar alone belongs to what follows, unless a repeat goes back to there.
    """
    edges = list(written_boundaries(score, played, units))
    ends = [edge.unit for edge in edges[1:]] + [len(units)]
    found: list[Span] = []
    for edge, end in zip(edges, ends, strict=True):
        if found and end - edge.unit < 2 and len(found) > (found[0].end - found[0].start < 2):
            found[-1] = replace(found[-1], end=end)
            continue
        found.append(Span(edge.unit, end, passage=edge.passage, reasons=edge.reasons, title=edge.name))
    alone = len(found) > 1 and found[0].bars < 2 and not found[0].title and not found[1].title
    if alone and not any(span.passage in (found[0].passage, found[1].passage) for span in found[2:]):
        found[:2] = [replace(found[0], end=found[1].end)]
    return found


def _heard_spans(likeness: MeasureLikeness, units: Sequence[BarUnit]) -> list[Span]:
    """Return the strains that the notes alone tell."""
    count = len(units)
    if count > MAX_SEARCHED:
        return [Span(0, count, passage=0, reasons=("beginning",))]
    strains = players_strains(find_strains(likeness.overall, [unit.worth for unit in units]), likeness.overall)
    uses = {strain.like: sum(other.like == strain.like for other in strains) for strain in strains}
    found: list[Span] = []
    for strain in strains:
        once = uses[strain.like] == 1
        if once and found and found[-1].once:
            found[-1] = replace(found[-1], end=strain.end)
            continue
        again = strains[strain.like] is not strain
        reason = "the same music again" if again else "new music" if found else "beginning"
        found.append(Span(strain.start, strain.end, strains[strain.like].start, (reason,), once=once))
    return found


def _subdivided(spans: Sequence[Span], likeness: MeasureLikeness, heard: bool, chords: BarChords | None) -> list[Span]:
    """Return the spans with returns of openings, the phrases of a chorus, and choruses, as spans of their own."""
    found: list[Span] = []
    openings: list[tuple[int, int]] = []
    whole: list[tuple[int, int]] = []
    known: dict[tuple[int, int], list[tuple[int, int, str]]] = {}  # cuts of each passage, relative to its start
    for span in spans:
        length = span.end - span.start
        key = (span.passage, length // 4)
        if key not in known:
            cuts: list[tuple[int, int, str]] = []
            if (song := song_phrases(likeness, span.start, span.end)) and (span.once or not heard):
                cuts = [(start, like, reason) for start, like, reason in song]
            elif chords is not None and (rounds := choruses(chords, whole, span.start, span.end)):
                cuts = rounds
            elif length >= (_LONG_SPAN if heard else _SPAN) and (span.once or not heard):
                cuts = returns_inside(likeness, openings, span.start, span.end)
            known[key] = cuts
            openings.append((span.start, min(length, 8)))
            whole.append((span.start, length))
        edges = [(0, -1, ""), *known[key]] if not known[key] or known[key][0][0] else known[key]
        ends = [edge[0] for edge in edges[1:]] + [length]
        for (start, like, reason), end in zip(edges, ends, strict=True):
            part = replace(span, start=span.start + start, end=span.start + end, part=start, force=like)
            found.append(replace(part, reasons=(reason,), title="") if start else part)
    return found


def _introduced(spans: list[Span]) -> list[Span]:
    """Return the spans with the first one marked if it is an introduction."""
    return [replace(spans[0], role="introduction"), *spans[1:]] if has_introduction(spans) else spans


def _one_chorus(spans: list[Span]) -> tuple[list[Span], int]:
    """Return the spans of one chorus if the whole piece, but for its introduction, is one chorus several times."""
    starts = [at for at, span in enumerate(spans) if span.part == 0]
    parted = [span for span in spans if span.part]
    if not parted or not any(span.reasons == ("eight bars",) for span in parted):
        return spans, 1
    lead = starts[1:] if spans[0].role == "introduction" else starts
    passages = {spans[at].passage for at in lead}
    if len(lead) < 2 or len(passages) > 1:
        return spans, 1
    return spans[: lead[1]], len(lead)
