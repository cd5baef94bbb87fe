"""Names of the places on a class report to which links lead. Ids have no two hyphens in a row, so that these never meet."""

from musictheory_nb.classroom.class_marks import ClassMarks


def student_anchor(lesson: ClassMarks, student: str) -> str:
    """Return the place of a student in a lesson."""
    return f"{lesson.lesson}--{student}"


def part_anchor(lesson: ClassMarks, part: str) -> str:
    """Return the place of a part of a lesson."""
    return f"{lesson.lesson}---{part}"
