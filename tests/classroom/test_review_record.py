"""A record of review beside the handed-in work: it changes no mark and is no problem."""

from musictheory_nb.practice.answer_record import RecordHeader
from musictheory_nb.practice.record_file import RecordFile
from musictheory_nb.widgets.review_session import review_name


def test_a_review_beside_the_work_is_passed_over(classroom):
    lines = classroom.lines("ada-quill", [True] * 4)
    RecordFile(classroom.folder / "ada-quill", RecordHeader("read-intervals", "ada-quill")).append(lines[0])
    before = classroom.marks()["ada-quill"]
    record = RecordFile(classroom.folder / "ada-quill", RecordHeader(review_name("read-intervals"), "ada-quill"))
    for line in lines[1:]:
        record.append(line)
    after = classroom.marks()["ada-quill"]
    assert (after.points, after.answered, after.problems) == (before.points, 1, ())
