"""A lesson notebook made from a piece (`lesson_notebook_of`, `write_lesson`).

Introduction, listening guide, exercises on its measures, a loop to practise, a line of one's own, a look back. Whatever is
asked rests on what stands in the notes, or on findings that the analysis or the teacher is sure of. The teacher edits the
notebook like any other; hand-out, marking and tests take it as it is.
"""

import base64
import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from typing import Final

from musictheory_nb.classroom.analysis_doubt import doubts
from musictheory_nb.classroom.analysis_words import counted, what_it_is
from musictheory_nb.classroom.atomic_file import write_whole
from musictheory_nb.classroom.frozen_excerpt import excerpt_cell
from musictheory_nb.classroom.lesson_choice import chosen, proposals
from musictheory_nb.classroom.lesson_options import SURE, LessonOptions
from musictheory_nb.classroom.lesson_proposal import Proposal
from musictheory_nb.classroom.piece_analysis import Analysis
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.practice_loop import PracticeLoop, practice_loop
from musictheory_nb.classroom.stored_outputs import store_outputs
from musictheory_nb.errors import LessonError
from musictheory_nb.media.form_picture import form_picture
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.score.piece import Piece

Cell = dict[str, object]
#: Minutes for reading, and for one item of an exercise.
_READING, _ITEM = 8, 1.2
_LINE_BARS: Final = 4
#: Bars of the beginning that are shown before anything is asked.
_GUIDE_BARS: Final = 8
#: The loop sounds at this part of the tempo, and no slower than so many quarters a minute.
_SLOWLY, _SLOWEST = Fraction(3, 5), 40
_HOW: Final = """**How to work.** Go from top to bottom and run each cell with Shift+Enter when you come to it. Every sound waits for
your click, and every button, key and field can be reached with the Tab key. Under each piece of notation, *In words* tells the
same to a screen reader. If you cannot listen, or cannot see the notation, ask your teacher for the copy that asks the same in
another way: it counts the same.

**Ears.** Start with the volume low, above all with headphones; the sound check before the first sound helps you set it. If
you notice ringing, dullness or pain, stop, and ask a health professional."""


@dataclass(frozen=True)
class MadeLesson:
    """A lesson made from a piece.

    Parameters
    ----------
    notebook : dict
        nbformat 4.5, without outputs.
    exercises : tuple of Proposal
        In order.
    doubts : tuple of (str, str)
        What the analysis is not sure of: the line of corrections that would confirm it, and why. Nothing is asked about it.
    """

    notebook: Mapping[str, object] = field(repr=False)
    exercises: tuple[Proposal, ...]
    doubts: tuple[tuple[str, str], ...]


def lesson_notebook_of(analysis: Analysis, lesson: str, options: LessonOptions | None = None) -> MadeLesson:
    """Return the lesson that a piece gives.

    Parameters
    ----------
    analysis : Analysis
        Of the piece, or of the piece with the teacher's corrections.
    lesson : str
        Slug of the lesson, such as ``'last-ferry'``.
    options : LessonOptions, optional
        Level, focus, instrument, length.

    Raises
    ------
    LessonError
        The piece offers nothing to ask.
    InstrumentError
        There is no such instrument.
    """
    options = options or LessonOptions()
    asked = chosen(proposals(analysis, options), options)
    loop = practice_loop(analysis.piece, options.instrument)
    music: dict[str, Excerpt] = {}
    for one in asked:
        music.update(one.exercise.excerpts)
    if loop is not None:
        music["loop"] = replace(loop.excerpt, tempo=Fraction(max(_SLOWEST, round(loop.excerpt.tempo * _SLOWLY))))
    cells = [
        _words(_opening(analysis, asked, options)),
        _words(_HOW),
        _code(
            f'LESSON = "{lesson}"\nSTUDENT = ""  # empty: a preview that writes nothing\nSEED = 1\nDIGEST = ""',
            "parameters",
        ),
        _code(
            "import musictheory_nb as mt\n\nlesson = mt.open_lesson(LESSON, student=STUDENT, seed=SEED, digest=DIGEST)",
            "setup",
            hidden=True,
        ),
        *(_code(excerpt_cell(name, excerpt), "excerpt", hidden=True) for name, excerpt in music.items()),
        *_guide(analysis, asked, music),
    ]
    for number, one in enumerate(asked, 1):
        cells.append(_words(f"## {number}. {one.heading}\n\n{one.before}"))
        if one.listen and one.exercise.excerpts:
            name = next(iter(one.exercise.excerpts))
            cells.append(_code(f'lesson.listen("{name}", "Bars {one.listen[0]} to {one.listen[1]}")'))
        cells.append(_code(_call(one), "exercise", hidden=True))
    cells += _practice(loop, options)
    cells += _own_line(analysis, len(asked))
    cells.append(_words(_look_back(asked)))
    cells.append(_code("lesson.hand_in()", "hand-in"))
    cells.append(_words(_sources(analysis.piece)))
    return MadeLesson(_notebook(cells), asked, doubts(analysis))


def write_lesson(made: MadeLesson, path: Path, *, run: bool = True) -> None:
    """Write the notebook, and run it once so that outputs are stored for readers and for tests.

    Raises
    ------
    LessonError
        The ending is not ``.ipynb``, or a cell fails.
    """
    if path.suffix != ".ipynb":
        raise LessonError(f"lesson {str(path)!r}: write a name that ends in .ipynb")
    write_whole(path, json.dumps(made.notebook, ensure_ascii=False, indent=1).encode() + b"\n")
    if run:
        store_outputs(path)


def lesson_slug(text: str) -> str:
    """Return a slug for a lesson from the name of its notebook or piece.

    Examples
    --------
    >>> lesson_slug("05_Timetable for the Last Ferry!")
    'timetable-for-the-last-ferry'
    >>> lesson_slug("№ 1")
    'lesson-1'
    """
    words = re.findall(r"[a-z0-9]+", re.sub(r"^\d+[_-]", "", text.casefold()))
    slug = "-".join(words)[:40].strip("-")
    return slug if re.match(r"[a-z]", slug) else f"lesson-{slug}".rstrip("-")


# -- cells --------------------------------------------------------------------------------------------------------


def _words(text: str, attachments: Mapping[str, object] | None = None) -> Cell:
    cell: Cell = {"cell_type": "markdown", "metadata": {}, "source": text}
    if attachments:
        cell["attachments"] = attachments
    return cell


def _code(source: str, tag: str = "", *, hidden: bool = False) -> Cell:
    metadata: dict[str, object] = {"jupyter": {"source_hidden": True}} if hidden else {}
    if tag:
        metadata["tags"] = [tag]
    return {"cell_type": "code", "metadata": metadata, "source": source, "outputs": [], "execution_count": None}


def _notebook(cells: Sequence[Cell]) -> dict[str, object]:
    for at, cell in enumerate(cells):
        cell["id"] = hashlib.sha256(f"{at}\n{cell['source']}".encode()).hexdigest()[:8]
    return {
        "cells": list(cells),
        "metadata": {
            "kernelspec": {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"},
            "language_info": {"name": "python"},
        },
        "nbformat": 4,
        "nbformat_minor": 5,
    }


def _call(one: Proposal) -> str:
    exercise = one.exercise
    points = int(exercise.points) if exercise.points == int(exercise.points) else exercise.points
    settings = ",\n        ".join(f"{json.dumps(key)}: {_literal(value)}" for key, value in exercise.settings.items())
    return (
        f'lesson.exercise(\n    "{exercise.id}", "{exercise.kind}", count={exercise.count}, points={points},\n'
        f"    settings={{\n        {settings},\n    }},\n)"
    )


def _literal(value: object) -> str:
    """A setting as Python writes it, rows of a table one a line."""
    if isinstance(value, list | tuple) and value and all(isinstance(row, list | tuple) for row in value):
        return "[\n" + "".join(f"            {_literal(list(row))},\n" for row in value) + "        ]"
    return repr(value)


# -- texts --------------------------------------------------------------------------------------------------------


def _title(piece: Piece) -> str:
    return plain_line(piece.title, 80) or "A piece"


def _opening(analysis: Analysis, asked: Sequence[Proposal], options: LessonOptions) -> str:
    goals: dict[str, list[str]] = {}
    for one in asked:
        goals.setdefault(one.objective, []).append(one.exercise.id)
    lines = [
        f"{number}. {goal} ({', '.join(f'`{id}`' for id in ids)})"
        for number, (goal, ids) in enumerate(goals.items(), 1)
    ]
    minutes = _READING + round(sum(one.exercise.count for one in asked) * _ITEM) + 5
    need = {
        "first": "note names, and the names of small intervals",
        "middle": "intervals, seventh chords and the common scales by name",
        "advanced": "chords with tensions, modes, and the terms of form",
    }[options.level]
    return (
        f"# Take apart: {_title(analysis.piece)}\n\nBy the end you can\n\n"
        + ";\n".join(lines)
        + f".\n\n**Time:** {5 * -(-minutes // 5)} minutes. **You need:** {need}."
    )


def _guide(analysis: Analysis, asked: Sequence[Proposal], music: Mapping[str, Excerpt]) -> list[Cell]:
    """What the piece is and what to listen for; the form chart where nothing asks about form, chords or keys."""
    text = f"## The piece\n\n{what_it_is(analysis)}"
    cells = []
    if all(one.group in ("intervals", "scales") for one in asked):
        picture = form_picture(analysis.piece)
        data = base64.b64encode(picture.svg.encode()).decode()
        alt = plain_line(picture.alt.replace("[", "(").replace("]", ")"), 2000)
        cells.append(
            _words(
                f"{text}\n\n![{alt}](attachment:form.svg)\n\n*In words:* {alt}", {"form.svg": {"image/svg+xml": data}}
            )
        )
    else:
        cells.append(
            _words(
                f"{text}\n\nThis is how it begins. Listen once without the score and once with it, and say to yourself, bar by bar: who has "
                "the tune, what does the bass do, where does the music breathe?"
            )
        )
    name = next((name for name in ("piece", "tune") if name in music), None)
    if name is not None:
        numbers = [measure.number for measure in music[name].measures[:_GUIDE_BARS]]
        cells.append(
            _code(
                f'lesson.listen("{name}", "Bars {numbers[0]} to {numbers[-1]}", first="{numbers[0]}", last="{numbers[-1]}")'
            )
        )
    return cells


def _practice(loop: PracticeLoop | None, options: LessonOptions) -> list[Cell]:
    if loop is None:
        return [
            _words(
                f"## A line to practise\n\nNo line of this piece lies on the {options.instrument}. Sing the tune instead, slowly, with "
                "the sound of the first exercise."
            )
        ]
    moved = ""
    if loop.octaves:
        up = "higher" if loop.octaves > 0 else "lower"
        moved = f" Play it {counted(abs(loop.octaves), 'octave')} {up} than it is written."
    text = (
        f"## A line to practise\n\nThe hardest bars for the {options.instrument}: {loop.first} to {loop.last} of the part "
        f"*{plain_line(loop.part, 60)}*.{moved} Loop them with *Repeat*, slowly at first."
    )
    cells = [_words(text), _code(f'lesson.listen("loop", "Bars {loop.first} to {loop.last}, slowly")')]
    told = "\n".join(line if line.startswith("- ") else f"\n{line}\n" for line in loop.plan.splitlines())
    if loop.fingering is not None:
        fingers = "\n".join(
            f"{number}. {line}" for number, line in enumerate(loop.fingering.describe().splitlines(), 1)
        )
        told += f"\n\n**A fingering,** note by note:\n\n{fingers}"
    cells.append(_words(told.strip()))
    return cells


def _own_line(analysis: Analysis, number: int) -> list[Cell]:
    """A line of one's own over the changes of the first bars that have some."""
    spans = [span for span in analysis.harmony if not span.chord.is_no_chord and span.confidence >= SURE]
    if not spans:
        return []
    first = spans[0].measure
    changes = " | ".join(
        " ".join(span.chord.symbol for span in spans if span.measure == at) or "%"
        for at in range(first, min(first + _LINE_BARS, len(analysis.piece.measures)))
    )
    return [
        _words(
            f"## A line of your own\n\nOver these changes, bar by bar:\n\n| {changes} |\n\nWrite a line for your instrument: chord tones on the "
            "strong beats, steps in between, and one approach by a half step that you can name. Play it to somebody."
        )
    ]


def _look_back(asked: Sequence[Proposal]) -> str:
    ids = ", ".join(f"`{one.exercise.id}`" for one in asked)
    return (
        "## Look back\n\nWrite two sentences for yourself: what did you hear in this piece at the end that you had not heard at the "
        f"beginning? Which question was hardest, and what would make it easier?\n\nYou have worked on {ids}. To practise more, take "
        "another piece by the same composer and ask it the same questions."
    )


def _sources(piece: Piece) -> str:
    by = f"{plain_line(piece.composer, 80)}, " if piece.composer else ""
    return (
        f"## Sources\n\n- {by}*{_title(piece)}*: the score `{plain_line(piece.source, 80)}`. Check that it may be copied for a class.\n"
        "- The questions were made from an analysis of this score by `musictheory-nb lesson`; whatever it was not sure of is left out."
    )
