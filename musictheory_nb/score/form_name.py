"""Names of standard forms and of the roles of sections, where they fit (`form_name`).

Conventions (common practice):

- binary: two strains, each repeated or not, the second one other than the first; rounded binary: the opening returns
  within the second strain.
- minuet (scherzo) and trio: in three-time, two groups of repeated strains, the second one in another key or with its own
  name. With other metres or names: ternary with trio.
- da capo: the first part comes back by D.C. or D.S. and ends at Fine.
- sonata form: a long first part, and a second part in which its opening returns, far from the beginning.
- rag: four strains, mostly of 16 bars and repeated, in two-time, a trio in the key of one flat more.
- 32-bar AABA and ABAC: four phrases of eight bars.
- twelve-bar blues: choruses of 12 bars whose chords are I, IV in bar 5 and V in bar 9.
- rondo: the first section at least three times, with others between; ternary: it comes back once.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from musictheory_nb.score.form_label import Span
from musictheory_nb.score.score import Score
from musictheory_nb.theory.pitch import Pitch

#: From so many bars on, a repeated first part is an exposition rather than a strain.
_EXPOSITION_BARS: Final = 32
#: Plans of a song of four phrases of eight bars.
_SONGS: Final = ("AABA", "ABAC", "AABC", "ABAB")


@dataclass(frozen=True, slots=True)
class FormName:
    """What a form is called.

    Parameters
    ----------
    name : str
        Of the whole; ``''`` where none fits.
    inner : tuple of str
        Of its halves, if it has any.
    roles : tuple of str
        Of its sections, one each.
    evidence : tuple of str
        What the name rests on.
    """

    name: str
    inner: tuple[str, ...]
    roles: tuple[str, ...]
    evidence: tuple[str, ...]


def form_name(score: Score, spans: Sequence[Span]) -> FormName:
    """Return the name of the form, and the roles of its sections."""
    roles = [span.role or _titled(span) for span in spans]
    for namer in (_rag, _variations, _trio, _da_capo, _sonata, _song, _blues, _small):
        found = namer(score, spans, roles)
        if found is not None:
            return found
    return FormName("", (), tuple(roles), ())


def _titled(span: Span) -> str:
    return span.title if span.title not in ("minuet", "scherzo") else ""


def _metre(score: Score) -> tuple[int, int]:
    match = re.fullmatch(r"(\d+)/(\d+)", score.measures[-1].metre)
    return (int(match[1]), int(match[2])) if match else (0, 0)


def _words(score: Score) -> str:
    texts = [score.title, score.source, *(mark.text for mark in score.words), *(mark.text for mark in score.tempos)]
    return " ".join(texts).casefold()


def _runs(spans: Sequence[Span]) -> str:
    """Letters of the sections, each run of the same passage as one."""
    found = ""
    for span in spans:
        if span.letter and not found.endswith(span.letter):
            found += span.letter
    return found


def _rag(score: Score, spans: Sequence[Span], roles: list[str]) -> FormName | None:
    plan = "".join(span.letter for span in spans)
    strains = [span for span in spans if span.letter]
    sixteen = sum(15 <= span.bars <= 18 for span in strains)
    if _metre(score) not in ((2, 4), (4, 4), (2, 2)) or len(set(plan)) < 4 or not re.match(r"AABB?A?A?CCDD", plan):
        return None
    if sixteen < 0.8 * len(strains):
        return None
    trio = next(at for at, span in enumerate(spans) if span.letter == "C")
    for at in range(trio, len(spans)):
        if spans[at].letter == "C":
            roles[at] = "trio"
    return FormName("rag", (), tuple(roles), (f"strains of 16 bars in the order {plan}",))


def _headings(score: Score) -> list[str]:
    return [word.text for word in score.words] + [mark.text for mark in score.rehearsal_marks]


def _variations(score: Score, spans: Sequence[Span], roles: list[str]) -> FormName | None:
    named = {text.strip() for text in _headings(score) if re.match(r"(?i)var(\.|iat)", text)}
    if len(named) < 2:
        return None
    return FormName("theme and variations", (), tuple(roles), (f"headings {', '.join(sorted(named)[:4])}",))


def _passage_order(spans: Sequence[Span]) -> list[int]:
    found: list[int] = []
    for span in spans:
        if span.passage not in found:
            found.append(span.passage)
    return found


def _halves(spans: Sequence[Span], trio: int) -> tuple[str, str]:
    first = [span for span in spans[:trio]]
    second = spans[trio:]
    back = next((at for at, span in enumerate(second) if span.passage < spans[trio].passage), len(second))
    return _inner(first), _inner(second[:back])


def _inner(spans: Sequence[Span]) -> str:
    """Return whether one half is binary or rounded binary; '' if it is neither."""
    passages = _passage_order([span for span in spans if span.letter])
    if not 2 <= len(passages) <= 3:
        return ""
    opening = spans[0].letter or (spans[1].letter if len(spans) > 1 else "")
    later = [span for span in spans if span.passage != passages[0]]
    if any(span.letter == opening and (span.part or span.passage == passages[-1]) for span in later):
        return "rounded binary"
    return "binary"


def _trio_start(score: Score, spans: Sequence[Span]) -> int | None:
    """Return the section with which the trio begins."""
    for at, span in enumerate(spans):
        if span.title == "trio":
            return at
    if _metre(score)[0] != 3:
        return None
    for at, span in enumerate(spans):
        if at and not span.part and "key signature" in span.reasons and "repeat" in span.reasons:
            return at
    passages = _passage_order(spans)
    for at, span in enumerate(spans):
        number = passages.index(span.passage)
        fresh = not span.part and span.letter and all(span.letter != other.letter for other in spans[:at])
        if number == 2 and fresh and "repeat" in span.reasons and _inner(spans[:at]) == "rounded binary":
            return at if len(passages) > 3 else None
    return None


def _trio(score: Score, spans: Sequence[Span], roles: list[str]) -> FormName | None:
    trio = _trio_start(score, spans)
    if trio is None or trio == 0:
        return None
    for at in range(trio, len(spans)):
        if spans[at].passage >= spans[trio].passage:
            roles[at] = roles[at] if roles[at] not in ("", "return") else "trio"
    words = _words(score)
    dance = "scherzo" if "scherz" in words else "minuet" if "enuet" in words or "inuet" in words else ""
    da_capo = any(measure.jump for measure in score.measures)
    other = re.search(r"polon|mazurka|valse|waltz|march|marcia|rag", words)
    if not dance and _metre(score) == (3, 4) and not other:
        dance = "scherzo" if _is_fast(score) else "minuet or scherzo"
    name = f"{dance} and trio" if dance else "da capo with trio" if da_capo else "ternary with trio"
    why = [f"a trio begins with section {trio + 1}: {', '.join(spans[trio].reasons)}"]
    if da_capo:
        why.append("the first part comes back da capo")
    return FormName(name, _halves(spans, trio), tuple(roles), tuple(why))


def _is_fast(score: Score) -> bool:
    return bool(re.search(r"\b(allegro molto|allegro vivace|presto|vivace|molto allegro|assai)\b", _words(score)))


def _da_capo(score: Score, spans: Sequence[Span], roles: list[str]) -> FormName | None:
    if not any(measure.jump and measure.jump_until == "fine" for measure in score.measures):
        return None
    jump = next(measure for measure in score.measures if measure.jump)
    name = "da capo (ABA)" if jump.jump == "D.C." else "dal segno (ABA)"
    if _runs(spans) not in ("ABA", "ABACA") and len(set(_runs(spans))) != 2:
        name = name.split(" (")[0]
    return FormName(name, (), tuple(roles), (f"{jump.jump} al Fine at bar {jump.number}",))


def _sonata(score: Score, spans: Sequence[Span], roles: list[str]) -> FormName | None:
    """Exposition, development and recapitulation; what returns once more behind that is a coda."""
    main = [at for at, span in enumerate(spans) if span.letter or span.part]
    passages = _passage_order([spans[at] for at in main])
    if not 2 <= len(passages) <= 3:
        return None
    head = [at for at in main if spans[at].passage == passages[0]]
    begin = spans[head[0]].start
    exposition = sum(spans[at].bars for at in head if spans[at].start - begin == spans[at].part)
    back = [
        at for at in main if spans[at].passage == passages[1] and spans[at].part >= 8 and spans[at].like in (0, head[0])
    ]
    if exposition < _EXPOSITION_BARS or not back:
        return None
    start = min(back, key=lambda at: spans[at].start)
    part = spans[start].part
    for at, span in enumerate(spans):
        if at in head:
            roles[at] = "exposition"
        elif span.passage == passages[1]:
            late = at in back and span.part - part >= exposition * 2 // 3
            roles[at] = "development" if span.part < part else "coda" if late else "recapitulation"
    why = f"a first part of {exposition} bars, whose opening returns {part} bars into the second part"
    return FormName("sonata form", (), tuple(roles), (why,))


def _song(score: Score, spans: Sequence[Span], roles: list[str]) -> FormName | None:
    """A song of 32 bars: the whole, or, in a piece with chord symbols, its first four sections; more choruses follow."""
    strains = [at for at, span in enumerate(spans) if span.letter]
    first = strains[:4]
    plan = "".join(spans[at].letter for at in first)
    if plan not in _SONGS or not all(7 <= spans[at].bars <= 10 for at in first):
        return None
    more = strains[4:]
    if more and not (score.chord_symbols and plan in ("AABA", "ABAC")):
        return None
    if plan == "AABA":
        roles[first[2]] = "bridge"
    why = ["four phrases of eight bars"]
    if more:
        why.append(f"what follows, {''.join(spans[at].letter for at in more)}, comes behind the first chorus")
    return FormName(f"32-bar {plan}", (), tuple(roles), tuple(why))


def _blues(score: Score, spans: Sequence[Span], roles: list[str]) -> FormName | None:
    """A twelve-bar blues by its chord symbols: I, IV in bar 5, V in bar 9 or 10."""
    symbols = [symbol for symbol in score.chord_symbols if not symbol.is_no_chord]
    measures = len(score.measures)
    if not symbols or measures % 12 > 2:
        return None
    roots: list[int | None] = [None] * measures
    for symbol in symbols:
        match = re.match(r"[A-G](?:#+|b+)?", symbol.text)
        if match and roots[symbol.measure] is None:
            roots[symbol.measure] = Pitch(match[0] + "4").midi % 12
    for at in range(1, measures):
        roots[at] = roots[at - 1] if roots[at] is None else roots[at]
    pickup = 1 if score.measures[0].is_pickup else 0
    if len(roots) < pickup + 12 or (tonic := roots[pickup]) is None:
        return None
    degrees = [(root - tonic) % 12 if root is not None else -1 for root in roots[pickup : pickup + 12]]
    if degrees[4] == 5 and degrees[0] == 0 and degrees[3] == 0 and 0 in degrees[6:8] and 7 in degrees[8:10]:
        return FormName(
            "twelve-bar blues", (), tuple(roles), ("chords I in bar 1, IV in bar 5, I in bar 7, V in bar 9",)
        )
    return None


def _is_new(spans: Sequence[Span], at: int) -> bool:
    """Whether a section's music comes nowhere before it, repeats aside."""
    return all(other.letter != spans[at].letter or other.passage == spans[at].passage for other in spans[:at])


def _small(score: Score, spans: Sequence[Span], roles: list[str]) -> FormName | None:
    runs = _runs(spans)
    titles = {span.title for span in spans}
    if {"verse", "chorus"} <= titles:
        return FormName("verse and chorus", (), tuple(roles), ("the score names verse and chorus",))
    for at, span in enumerate(spans):
        if span.role == "return of the introduction" and at >= 2 and _is_new(spans, at - 1):
            why = f"the opening, introduction and all, returns after section {spans[at - 1].label}"
            return FormName("ternary", (), tuple(roles), (why,))
    if len(runs) >= 5 and all(letter == "A" for letter in runs[::2]) and len(set(runs)) >= 3 and len(runs) % 2:
        return FormName("rondo", (), tuple(roles), (f"the first section comes back between others: {runs}",))
    lettered = [span for span in spans if span.letter]
    inner = _inner(lettered)
    passages = _passage_order(lettered)
    if len(passages) == 2 and inner == "rounded binary":
        for at, span in enumerate(spans):
            if span.part and span.letter == lettered[0].letter:
                roles[at] = "return"
        return FormName("rounded binary", (), tuple(roles), ("the opening returns within the second strain",))
    if runs in ("AB", "ABAB") and len(passages) == 2:
        return FormName("binary", (), tuple(roles), ("two strains",))
    if re.fullmatch(r"A(.+)A", runs) and "A" not in runs[1:-1]:
        return FormName("ternary", (), tuple(roles), (f"the first section returns at the end: {runs}",))
    if runs and set(runs) == {"A"} and len(lettered) > 1:
        return FormName("strophic", (), tuple(roles), ("the same section again and again",))
    return None
