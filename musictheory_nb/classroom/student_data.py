"""What the class file holds of one student: given out as a zip, or erased."""

import io
import json
import zipfile
from dataclasses import asdict
from pathlib import Path
from typing import Final

from musictheory_nb.classroom.class_file import ClassFile
from musictheory_nb.classroom.class_schema import TABLES
from musictheory_nb.classroom.class_tables import csv_bytes
from musictheory_nb.classroom.paper_answers import PAPER_FOLDER
from musictheory_nb.errors import ClassFileError, ClassroomError

#: Time in the zip, so that the same data is the same file (the earliest that a zip can write).
_MOMENT: Final = (1980, 1, 1, 0, 0, 0)


def _check_known(file: ClassFile, student: str) -> None:
    if file.row("student", id=student) is None:
        raise ClassFileError(f"student {student!r} is not in '{file.path.as_posix()}'")


def _paper(file: ClassFile, student: str) -> list[Path]:
    home = file.path.parent / PAPER_FOLDER
    return sorted(home.glob(f"*.{student}.answers.jsonl")) if home.is_dir() else []


def student_zip(file: ClassFile, student: str) -> bytes:
    """Return everything that the class file and the answers from paper hold of a student, as the bytes of a zip.

    In it are a CSV file for each table, ``everything.json`` with the same and the history, and the records from paper. What the
    student handed in is in the student's folder, and not in here.

    Raises
    ------
    ClassFileError
        Nobody of that id is in the class.
    """
    _check_known(file, student)
    whole = {}
    files: dict[str, bytes] = {}
    for name, table in TABLES.items():
        if table.student:
            rows = file.rows(name, **{table.student: student})
            whole[name] = rows
            files[f"{name}.csv"] = csv_bytes(list(table.columns), rows)
    history = [asdict(change) for change in file.history(student=student)]
    text = json.dumps({**whole, "history": history}, ensure_ascii=False, indent=1)
    files["everything.json"] = text.encode("utf-8")
    files.update({f"paper/{path.name}": path.read_bytes() for path in _paper(file, student)})
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            info = zipfile.ZipInfo(name, _MOMENT)
            info.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(info, content)
    return data.getvalue()


def erase_student(file: ClassFile, student: str) -> tuple[str, ...]:
    """Take everything of a student out of the class file, and return what remains and where, one line each.

    Rows are taken out of all tables; in the history stays that something was done and when, not to whom or what. The file is then
    written anew, so that nothing is left in unused places of it. Answers from paper are taken out too.

    Raises
    ------
    ClassFileError
        Nobody of that id is in the class, or the file cannot be written.
    ClassroomError
        A record from paper cannot be taken away.
    """
    _check_known(file, student)
    removed = 0
    with file.changing():
        for name in reversed(list(TABLES)):
            table = TABLES[name]
            if not table.student:
                continue
            for row in file.rows(name, **{table.student: student}):
                removed += file.remove(name, **{column: row[column] for column in table.key})
        blanked = file.blank_history(student)
    file.tidy()
    for path in _paper(file, student):
        try:
            path.unlink()
        except OSError as error:
            raise ClassroomError(f"'{path}' cannot be taken away: {error.strerror}") from None
    folder = file.path.parent / student
    remains = [f"{removed} rows were taken out of the class file, and {blanked} lines of its history were blanked"]
    if folder.exists():
        remains.append(f"the folder '{folder}' with what was handed out and in is still there; take it away yourself")
    remains.append(
        "marks, reports and exports that were written before still hold the student, and so do copies of the class file"
    )
    remains.append("a roster that still names the student adds them again at the next hand-out")
    return tuple(remains)
