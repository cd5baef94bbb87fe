"""Signs of the road placed at their measures: segno, coda, To Coda, Fine, D.C. and D.S.

Conventions (common practice): a segno or coda is obeyed at the start of its measure, the others at the end of theirs.
A sign at the very end of a measure that opens something belongs to the next one. Of two coda signs before and after
the jump, the first means To Coda. Words such as "Menuetto da capo" are often printed a bar or two before the double
bar that they stand for, and are taken to that bar.
"""

from dataclasses import dataclass, field
from typing import Final

from musictheory_nb.score.draft import Draft, DraftSign
from musictheory_nb.score.road_words import jump_until, names_section, takes_repeats, until_sign


@dataclass(slots=True)
class MeasureSigns:
    """The signs at one measure; see `Measure` for what each means."""

    segno: str = ""
    coda: str = ""
    to_coda: str = ""
    fine: str = ""
    jump: str = ""
    jump_sign: str = ""
    jump_until: str = ""
    jump_repeats: bool = False
    text: str = field(default="")


#: How many bars before a double bar the words of a D.C. may stand.
_REACH_MEASURES = 3
#: What the notice of an implied Fine says.
NO_FINE: Final = "names no Fine"


def place_signs(draft: Draft, lengths: list[int]) -> list[MeasureSigns]:
    """Return the signs of each measure; `lengths` are the measures' lengths in ticks."""
    placed = [MeasureSigns() for _ in lengths]
    signs = _settle_codas(draft.signs)
    for sign in signs:
        at = sign.measure
        at_end = sign.onset >= lengths[at]
        if sign.kind in ("segno", "coda"):
            at += at_end and at + 1 < len(lengths)
            setattr(placed[at], sign.kind, getattr(placed[at], sign.kind) or sign.name)
        elif sign.kind in ("tocoda", "fine"):
            attribute = "to_coda" if sign.kind == "tocoda" else "fine"
            setattr(placed[at], attribute, getattr(placed[at], attribute) or sign.name)
        else:
            at = at if sign.certain else _closing(draft, at)
            where = placed[at]
            where.jump = "D.C." if sign.kind == "dacapo" else "D.S."
            where.jump_sign = sign.name if sign.kind == "dalsegno" else ""
            where.jump_until = jump_until(sign.text) or where.jump_until
            where.jump_repeats = where.jump_repeats or takes_repeats(sign.text)
            where.text = where.text or sign.text
    _name_targets(placed)
    _leave_at_sign(placed)
    _close_sections(draft, placed)
    if any(where.fine for where in placed) and not any(where.to_coda for where in placed):
        for where in placed:
            where.jump_until = where.jump_until or ("fine" if where.jump else "")
    return placed


def _settle_codas(signs: list[DraftSign]) -> list[DraftSign]:
    """Give every sign once, and tell To Coda from the coda where only the sign is there."""
    seen: set[tuple[int, str]] = set()
    unique: list[DraftSign] = []
    for sign in sorted(signs, key=lambda sign: (sign.measure, sign.onset, not sign.certain)):
        if (sign.measure, sign.kind) not in seen:
            seen.add((sign.measure, sign.kind))
            unique.append(sign)
    if any(sign.kind == "tocoda" for sign in unique):
        return unique
    codas = [sign for sign in unique if sign.kind == "coda"]
    jumps = [sign for sign in unique if sign.kind in ("dacapo", "dalsegno")]
    if len(codas) >= 2 and jumps and codas[0].measure <= jumps[-1].measure:
        first = codas[0]
        unique[unique.index(first)] = first._replace(kind="tocoda")
    return unique


def _closing(draft: Draft, at: int) -> int:
    """Return the measure whose closing barline the words at measure `at` stand for."""
    last = len(draft.measures) - 1
    signs = {sign.measure for sign in draft.signs if sign.kind in ("coda", "segno", "tocoda", "fine")}
    for ahead in range(at, min(at + _REACH_MEASURES, last) + 1):
        measure = draft.measures[ahead]
        if ahead > at and (ahead in signs or measure.ending_start or measure.repeat_start):
            break
        if measure.repeat_end or measure.barline in ("double", "final") or ahead == last:
            return ahead
        if measure.ending_stop:
            break
    return at


def _name_targets(placed: list[MeasureSigns]) -> None:
    """Make jumps lead to signs that are there: a D.S. to the only segno, a To Coda to the only coda.

    Words in the first of several measures lead nowhere: they are no jump, but letters of a song's text.
    """
    if len(placed) > 1:
        placed[0].jump = ""
    for origin, target in (("jump_sign", "segno"), ("to_coda", "coda")):
        names = [getattr(signs, target) for signs in placed if getattr(signs, target)]
        for signs in placed:
            if getattr(signs, origin) and getattr(signs, origin) not in names and names:
                setattr(signs, origin, names[0])
    for signs in placed:
        if signs.jump == "D.S." and not any(other.segno == signs.jump_sign for other in placed):
            signs.jump, signs.jump_sign = "D.C.", ""


def _leave_at_sign(placed: list[MeasureSigns]) -> None:
    """Set where a "D.C. al Segno" leaves the music: before the sign, for good or ("e poi la Coda") for the coda."""
    sign = next((at for at, signs in enumerate(placed) if signs.segno), 0)
    coda = next((signs.coda for signs in placed if signs.coda), "")
    jumps = [signs for signs in placed if signs.jump == "D.C." and until_sign(signs.text)]
    if not sign or not jumps or any(signs.fine or signs.to_coda for signs in placed):
        return
    if jumps[0].jump_until == "coda":
        placed[sign - 1].to_coda = coda
    else:
        placed[sign - 1].fine = "1"


def _close_sections(draft: Draft, placed: list[MeasureSigns]) -> None:
    """Set the Fine that a "Menuetto da capo" implies: the end of the section before the trio.

    A "D.C. al Fine" without a Fine ends there too, or else at a final barline or a fermata over a closing barline.
    """
    for at, signs in enumerate(placed):
        if signs.jump != "D.C." or signs.jump_until == "coda" or any(other.fine or other.to_coda for other in placed):
            continue
        starts = sorted(
            {text.measure for text in draft.words + draft.rehearsals if text.text.strip().lower().startswith("trio")}
        )
        if not starts and names_section(signs.text):
            keys = sorted({key.measure for key in draft.keys if key.measure and key.onset == 0})
            starts = [
                measure
                for measure in keys
                if draft.measures[measure - 1].repeat_end or draft.measures[measure - 1].barline in ("double", "final")
            ]
        if not starts and signs.jump_until == "fine":
            starts = [ends + 1 for ends in _ends_of_sections(draft)]
        starts = [start for start in starts if 0 < start <= at]
        if starts:
            placed[starts[0] - 1].fine = "1"
            signs.jump_until = "fine"
            draft.notices.append(
                f"{signs.text!r} {NO_FINE}; it was taken to end before measure "
                f"{draft.measures[starts[0]].printed or starts[0] + 1}, where the next section begins"
            )


def _ends_of_sections(draft: Draft) -> list[int]:
    """Return the measures that look like the end of a piece: a final barline, else a fermata at a closing one."""
    final = [at for at, measure in enumerate(draft.measures) if measure.barline == "final"]
    last: dict[int, tuple[int, int]] = {}  # for each measure the latest onset, and whether a fermata stands over it
    for note in draft.notes:
        last[note.measure] = max(last.get(note.measure, (0, 0)), (note.onset, note.fermata))
    closing = [
        at
        for at, measure in enumerate(draft.measures)
        if (measure.barline == "double" or measure.repeat_end) and last.get(at, (0, 0))[1]
    ]
    return [at for at in final if at + 1 < len(draft.measures)] or closing
