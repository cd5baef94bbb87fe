"""From points that a teacher has written into the class file to marks: each against the rubric of its exercise."""

from collections import defaultdict
from collections.abc import Mapping
from typing import Final

from musictheory_nb.classroom.class_file import ClassFile
from musictheory_nb.classroom.teacher_remark import RubricMark, RubricRow
from musictheory_nb.errors import ClassFileError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.rubric import rubric_of

#: What a mark for the whole item is called, which has no criterion.
IN_ALL: Final = "in all"


def criteria_of(exercise: Exercise) -> Mapping[str, float]:
    """Return the criteria of an exercise with their points; none where it has no rubric.

    Examples
    --------
    >>> asked = {"questions": ["Why?"], "rubric": [["argument", 4], ["terms", 2]]}
    >>> criteria_of(Exercise("essay", "free-response", asked, count=1, lesson="demo"))
    {'argument': 4.0, 'terms': 2.0}
    """
    return {one.name: one.points for one in rubric_of(exercise.settings.get("rubric", ()))}


def rubric_marks_of(file: ClassFile, assignment: str, student: str, plan: LessonPlan) -> tuple[RubricMark, ...]:
    """Return a student's marks by the teacher; an item is marked when every criterion of its rubric has points.

    Points for an item without a criterion are points for the whole of it, of those that the rubric gives, or without a
    rubric of the item's share of the exercise's points. They stand until every criterion has points. What is of no
    exercise of `plan` is left out.

    Parameters
    ----------
    file : ClassFile
        Where the points are.
    assignment, student : str
        Ids.
    plan : LessonPlan
        The lesson that the student got.

    Raises
    ------
    ClassFileError
        Points for a criterion that the rubric has not.
    ReportError
        More points than a criterion gives.
    """
    exercises = {one.id: one for one in plan.exercises}
    found: defaultdict[tuple[str, int], dict[str, tuple[float, str, str]]] = defaultdict(dict)
    for row in file.rows("rubric_mark", assignment=assignment, student=student):
        exercise = exercises.get(str(row["exercise"]))
        if exercise is not None and int(row["item"]) <= exercise.count:
            given = float(row["points"]), str(row["who"]), str(row["at"])
            found[exercise.id, int(row["item"]) - 1][str(row["criterion"])] = given
    marks = []
    for (id, index), points in sorted(found.items()):
        possible = criteria_of(exercises[id])
        if unknown := [name for name in points if name and name not in possible]:
            allowed = ", ".join(map(repr, possible)) or "none; write the points without one"
            raise ClassFileError(f"criterion {unknown[0]!r} of exercise {id!r}; its rubric has {allowed}")
        if possible and all(name in points for name in possible):
            rows = tuple(RubricRow(name, points[name][0], most) for name, most in possible.items())
        elif "" in points:
            most = sum(possible.values()) or exercises[id].points / exercises[id].count
            rows = (RubricRow(IN_ALL, points[""][0], most),)
        else:
            continue
        _, who, at = max((points[row.criterion if row.criterion in points else ""] for row in rows), key=lambda p: p[2])
        marks.append(RubricMark(id, index, rows, who, at))
    return tuple(marks)
