"""What is said of a piece as plain data, in the shape of ``analysis.schema.json`` beside this file.

Conventions: every name of a number ends in its unit (``_quarters``, ``_count``, ``_index``, ``_midi``, ``_ratio``, a
share from 0 to 1). Measures are told by index, from 0 as written, and by number, as players count. Quarters and beats
are exact: a whole number, or a text such as ``"3/2"``.
"""

import json
from collections.abc import Sequence
from fractions import Fraction
from importlib.metadata import version
from importlib.resources import files
from typing import Any, Final

from musictheory_nb.classroom.piece_analysis import Analysis
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.score.finding import FINDING_KINDS, Finding
from musictheory_nb.score.form_section import Section
from musictheory_nb.score.harmony_span import HarmonySpan, KeySpan
from musictheory_nb.score.part_summary import PartSummary, part_summaries
from musictheory_nb.score.piece import Piece

#: Name and version of the format; a change that older readers cannot read raises the version.
FORMAT, FORMAT_VERSION = "musictheory-nb analysis", 1
SCHEMA_FILE: Final = "analysis.schema.json"


def analysis_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of the data.

    Examples
    --------
    >>> analysis_schema()["title"]
    'What musictheory-nb analyse says of a piece'
    """
    text = files("musictheory_nb.classroom").joinpath(SCHEMA_FILE).read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


def exact(value: Fraction) -> JSON:
    """Return a number of quarters or beats: a whole number, or a text such as ``'3/2'``."""
    return value.numerator if value.denominator == 1 else str(value)


def analysis_data(analysis: Analysis) -> dict[str, JSON]:
    r"""Return what is said of a piece as JSON values.

    Examples
    --------
    >>> from musictheory_nb.classroom.piece_analysis import analyse
    >>> from musictheory_nb.score.load import load_score
    >>> piece = load_score(b"X:1\nM:4/4\nL:1/2\nK:C\n[CEGc]2|[DFGB]2|[CEGc]2|]\n", cache=False)
    >>> data = analysis_data(analyse(piece))
    >>> data["key"]["name"], [span["numeral"] for span in data["harmony"]]
    ('C major', ['I', 'V43', 'I'])
    """
    piece, chosen = analysis.piece, analysis.selection
    return {
        "format": FORMAT,
        "format_version": FORMAT_VERSION,
        "made_by": f"musictheory-nb {version('musictheory-nb')}",
        "piece": _piece(piece),
        "selection": {
            "first_measure_index": chosen.first,
            "last_measure_index": chosen.last,
            "parts": list(chosen.parts),
        },
        "parts": [_part(one) for one in part_summaries(piece)],
        "key": _key(analysis),
        "key_path": [_key_span(piece, span) for span in analysis.keys],
        "form": {
            "plan": analysis.form.plan,
            "name": analysis.form.name,
            "inner_names": list(analysis.form.inner_names),
            "evidence": list(analysis.form.evidence),
            "second_theme_measure_number": analysis.form.second_theme,
            "times_played_count": analysis.form.times,
            "sections": [_section(analysis, section) for section in analysis.form.sections],
        },
        "harmony": [_chord(piece, span) for span in analysis.harmony],
        "findings": [_finding(piece, one) for one in analysis.findings],
        "notices": list(piece.notices),
    }


def analysis_json(analysis: Analysis) -> str:
    """Return the data as text: UTF-8 letters, two blanks a level, a line's end at the end."""
    return json.dumps(analysis_data(analysis), ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _piece(piece: Piece) -> JSON:
    return {
        "title": piece.title,
        "composer": piece.composer,
        "source": piece.source,
        "digest": piece.digest,
        "measures_count": len(piece.measures),
        "played_measures_count": len(piece.played().measures),
        "notes_count": len(piece.joined_notes),
        "length_quarters": exact(piece.length),
        "metres": list(dict.fromkeys(measure.metre for measure in piece.measures)),
        "first_measure_number": piece.measures[0].number,
        "last_measure_number": piece.measures[-1].number,
        "tempos": [
            {
                "measure_index": mark.measure,
                "quarters_per_minute": float(mark.quarters_per_minute),
                "text": mark.text,
            }
            for mark in piece.tempos
        ],
    }


def _part(one: PartSummary) -> JSON:
    return {
        "index": one.part.index,
        "name": one.part.name,
        "notes_count": one.notes,
        "lowest_pitch": one.lowest,
        "lowest_midi": one.lowest_midi,
        "highest_pitch": one.highest,
        "highest_midi": one.highest_midi,
        "measures_played_count": one.measures,
        "measures_played_ratio": round(one.share, 4),
        "transposition_semitones": one.part.chromatic,
    }


def _key(analysis: Analysis) -> JSON:
    found = analysis.key
    if found is None:
        return None
    return {
        "name": found.key.name,
        "tonic": found.key.tonic.name,
        "mode": found.key.mode,
        "confidence_ratio": round(found.confidence, 4),
        "method": found.method,
        "reason": found.reason,
        "next_best": [
            {"name": one.key.name, "score": round(one.score, 4), "reason": one.reason} for one in found.candidates[1:4]
        ],
    }


def _key_span(piece: Piece, span: KeySpan) -> JSON:
    return {
        "key": span.key.name,
        "first_measure_index": span.measure,
        "first_measure_number": piece.measures[span.measure].number,
        "last_measure_index": span.last_measure,
        "last_measure_number": piece.measures[span.last_measure].number,
        "first_beat": exact(span.beat),
        "start_quarters": exact(span.start),
        "duration_quarters": exact(span.duration),
        "cadences_count": span.cadences,
        "confidence_ratio": round(span.confidence, 4),
    }


def _section(analysis: Analysis, section: Section) -> JSON:
    played = analysis.piece.played().measures
    return {
        "label": section.label,
        "letter": section.letter,
        "role": section.role,
        "first_played_index": section.first,
        "last_played_index": section.last,
        "first_measure_index": played[section.first].written,
        "last_measure_index": played[section.last].written,
        "first_measure_number": section.first_measure,
        "last_measure_number": section.last_measure,
        "bars_count": section.bars,
        "has_pickup": section.has_pickup,
        "like_section_index": section.like,
        "changes": list(section.changes),
        "phrases": [
            {
                "label": phrase.label,
                "start_quarters": exact(phrase.start),
                "end_quarters": exact(phrase.end),
                "first_measure_number": phrase.first_measure,
                "last_measure_number": phrase.last_measure,
            }
            for phrase in section.phrases
        ],
        "evidence": list(section.evidence),
        "keys": list(dict.fromkeys(span.key.name for span in analysis.section_keys(section))),
    }


def _chord(piece: Piece, span: HarmonySpan) -> JSON:
    return {
        "measure_index": span.measure,
        "measure_number": piece.measures[span.measure].number,
        "beat": exact(span.beat),
        "start_quarters": exact(span.start),
        "duration_quarters": exact(span.duration),
        "chord": span.chord.symbol,
        "key": span.key.name,
        "numeral": span.numeral.figure if span.numeral is not None else None,
        "origin": span.origin,
        "confidence_ratio": round(span.confidence, 4),
        "carrying_notes_count": len(span.carried_by),
        "carrying_notes": _rows(piece, span.evidence.notes),
        "evidence": span.evidence.words,
        "foreign_notes": [
            {
                "part": piece.parts[one.note.part].name,
                "pitch": one.note.sounding.name if one.note.sounding is not None else None,
                "measure_number": piece.measures[one.note.measure].number,
                "beat": exact(one.note.beat),
                "role": one.role,
            }
            for one in span.foreign
        ],
        "missing_degrees": list(span.missing),
    }


def _finding(piece: Piece, one: Finding) -> JSON:
    return {
        "name": one.name,
        "group": one.group,
        "definition": FINDING_KINDS[one.name].definition,
        "first_measure_index": one.first,
        "last_measure_index": one.last,
        "first_measure_number": one.first_number,
        "last_measure_number": one.last_number,
        "parts": list(one.parts),
        "sentence": one.sentence,
        "confidence_ratio": one.confidence,
        "details": dict(one.details),
        "notes": _rows(piece, one.notes),
    }


def _rows(piece: Piece, rows: Sequence[int]) -> list[JSON]:
    """Return notes of the table."""
    return [
        {
            "row_index": row,
            "part": piece.parts[note.part].name,
            "pitch": note.sounding.name if note.sounding is not None else None,
            "measure_number": piece.measures[note.measure].number,
            "beat": exact(note.beat),
            "duration_quarters": exact(note.duration),
        }
        for row, note in ((row, piece.notes[row]) for row in rows)
    ]
