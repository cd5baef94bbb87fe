"""The answer record as text: read as if nobody vouched for it."""

import json
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.errors import RecordError
from musictheory_nb.practice.answer_record import (
    MAX_BYTES,
    MAX_LINE,
    MAX_LINES,
    MAX_PROBLEMS,
    AnswerLine,
    RecordHeader,
    answer_from_data,
    header_from_data,
    merge_answers,
    read_record,
    utc_now,
)
from musictheory_nb.practice.embedded_record import (
    ANSWERS_MIME,
    embedded_answers,
    read_embedded_answers,
    read_notebook_answers,
)

HEADER = RecordHeader("demo", "ines-orta", "sha256:" + "0" * 64)


def line(number: int, **changes) -> AnswerLine:
    fields = {
        "id": f"{number:032x}",
        "exercise": "first",
        "version": 1,
        "index": number % 1000,
        "answer": {"interval": {"choice": "m3"}},
        "attempt": 1,
        "time": f"2026-03-02T17:04:{number % 60:02d}Z",
    }
    return AnswerLine(**(fields | changes))


def record(*lines: AnswerLine, header: RecordHeader | None = HEADER) -> bytes:
    return "".join([header.line() if header else "", *(one.line() for one in lines)]).encode()


ANSWERS = st.builds(
    AnswerLine,
    id=st.integers(0, 16**32 - 1).map("{:032x}".format),
    exercise=st.sampled_from(["first", "second-one"]),
    version=st.integers(1, 9),
    index=st.integers(0, 199),
    answer=st.dictionaries(st.text(st.characters(exclude_categories=["Cs"]), max_size=5), st.integers(0, 127)),
    attempt=st.integers(1, 5),
    time=st.datetimes(datetime(2020, 1, 1), datetime(2040, 1, 1)).map(
        lambda moment: moment.isoformat(timespec="milliseconds") + "Z"
    ),
    heard=st.none() | st.integers(0, 100),
    ms=st.none() | st.integers(0, 10**6),
    seed=st.none() | st.integers(0, 2**53),
    settings=st.none() | st.dictionaries(st.text(st.characters(exclude_categories=["Cs"]), max_size=5), st.booleans()),
)


@given(st.lists(ANSWERS, max_size=8, unique_by=lambda answer: answer.id))
def test_what_is_written_is_read_back(answers):
    reading = read_record(record(*answers))
    assert reading.header == HEADER
    assert reading.answers == tuple(answers)
    assert reading.problems == ()
    embedded = json.loads(json.dumps(embedded_answers(HEADER, answers)))
    assert read_embedded_answers(embedded).answers == tuple(answers)


def test_each_line_is_one_line_of_ascii_json():
    odd = line(1, answer={"form": {"sections": [[0, "A\u2028\n"], [1, "é♯"]]}}).line()
    assert odd.isascii()
    assert odd.count("\n") == 1
    assert odd.endswith("\n")


def test_time_is_utc_in_the_written_form():
    """ISO 8601 with a Z for UTC."""
    assert answer_from_data(line(1, time=utc_now()).to_data())


DAMAGED_FIELDS = [
    ("id", 3),
    ("id", "0" * 31),
    ("id", "G" * 32),
    ("id", "0" * 32 + "\n"),
    ("exercise", "First"),
    ("exercise", "../x"),
    ("exercise", ""),
    ("exercise", None),
    ("exercise", "a" * 65),
    ("version", 0),
    ("version", 1.0),
    ("version", True),
    ("version", "1"),
    ("index", -1),
    ("index", 10**7),
    ("index", 1.5),
    ("index", [0]),
    ("answer", "m3"),
    ("answer", None),
    ("answer", [1]),
    ("attempt", 0),
    ("attempt", False),
    ("time", "2026-03-02 17:04:05Z"),
    ("time", "2026-03-02T17:04:05+01:00"),
    ("time", "2026-02-30T17:04:05Z"),
    ("time", "2026-03-02T25:04:05Z"),
    ("time", "2026-03-02T17:04:05.1234567Z"),
    ("time", "٢٠٢٦-٠٣-٠٢T١٧:٠٤:٠٥Z"),
    ("time", 1772470000),
    ("heard", -1),
    ("heard", 1.5),
    ("heard", None),
    ("ms", 10**10),
    ("seed", -3),
    ("settings", []),
    ("format2", 1),
    ("score", 1.0),
]


@pytest.mark.parametrize(("name", "value"), DAMAGED_FIELDS, ids=lambda value: repr(value)[:30])
def test_a_line_with_one_wrong_field_is_named_and_the_rest_is_read(name, value):
    data = line(2).to_data() | {name: value}
    raw = record(line(1)) + json.dumps(data).encode() + b"\n" + line(3).line().encode()
    reading = read_record(raw, "homework")
    assert [answer.index for answer in reading.answers] == [1, 3]
    (problem,) = reading.problems
    assert problem.startswith("homework line 3: ")
    assert name in problem
    with pytest.raises(RecordError, match=name):
        answer_from_data(data)


@pytest.mark.parametrize("name", ["id", "exercise", "version", "index", "answer", "attempt", "time"])
def test_a_line_that_lacks_a_field_is_named(name):
    data = line(2).to_data()
    del data[name]
    reading = read_record(record(line(1)) + json.dumps(data).encode() + b"\n")
    assert reading.problems == (f"record line 3: {name} is missing",)


GOOD_LINE = line(2).line()


@pytest.mark.parametrize(
    ("raw", "why"),
    [
        pytest.param(b"\x00\x01\x02", "not JSON", id="control characters"),
        pytest.param(b"\xff\xfe{\x00", "not UTF-8", id="UTF-16"),
        pytest.param(GOOD_LINE.strip().replace("m3", "ä").encode("latin-1"), "not UTF-8", id="latin-1"),
        pytest.param(b"3", "no answer", id="a number"),
        pytest.param(b"null", "no answer", id="null"),
        pytest.param(b"[]", "no answer", id="a list"),
        pytest.param(b"{}", "id is missing", id="an empty object"),
        pytest.param(b'{"id": 1, "id": 2}', "'id' stands twice", id="a name twice"),
        pytest.param(GOOD_LINE.strip().replace('"m3"', "NaN").encode(), "NaN", id="NaN"),
        pytest.param(GOOD_LINE.strip().replace('"m3"', "-Infinity").encode(), "Infinity", id="infinity"),
        pytest.param(GOOD_LINE.strip().replace('"m3"', "1e999").encode(), "too large", id="overflow"),
        pytest.param(GOOD_LINE.strip().replace('"m3"', "9" * 4000).encode(), "4000 digits", id="huge number"),
        pytest.param(GOOD_LINE.strip().replace('"m3"', '"\\ud800"').encode(), "surrogate", id="half a character"),
        pytest.param(GOOD_LINE.strip().replace('"m3"', "[" * 999 + "]" * 999).encode(), "nested", id="deep"),
        pytest.param(b"[" * 60_000, "nested", id="deep and open"),
        pytest.param(b'"' + b"x" * MAX_LINE + b'"', "bytes; at most", id="long"),
        pytest.param(b'{"format":2,"lesson":"demo","student":"x","digest":""}', "format 2", id="another format"),
        pytest.param(b'{"format":true,"lesson":"demo","student":"x","digest":""}', "format True", id="format true"),
        pytest.param(b'{"format":1,"lesson":"demo","student":"other","digest":""}', "second first line", id="two headers"),
        pytest.param(b'{"format":1,"lesson":"Demo","student":"x","digest":""}', "lesson 'Demo'", id="header, no slug"),
        pytest.param(b'{"format":1,"lesson":"demo","student":"x","digest":"md5:0"}', "digest", id="header digest"),
        pytest.param(b'{"format":1}', "exactly format", id="header with fields missing"),
    ],
)  # fmt: skip
def test_a_damaged_line_is_named_and_the_rest_is_read(raw, why):
    reading = read_record(record(line(1)) + raw + b"\n" + line(3).line().encode())
    assert reading.header == HEADER
    assert [answer.index for answer in reading.answers] == [1, 3]
    (problem,) = reading.problems
    assert problem.startswith("record line 3: ")
    assert why in problem
    assert len(problem) < 250


def test_the_same_header_again_is_no_problem():
    assert read_record(record(line(1)) + record(line(2))).problems == ()


def test_a_byte_order_mark_and_windows_line_ends_are_read():
    raw = b"\xef\xbb\xbf" + record(line(1), line(2)).replace(b"\n", b"\r\n")
    reading = read_record(raw)
    assert (reading.header, len(reading.answers), reading.problems) == (HEADER, 2, ())


@pytest.mark.parametrize("encoding", ["utf-16", "utf-32", "utf-16-le"])
def test_a_record_in_another_encoding_gives_problems_and_no_answers(encoding):
    reading = read_record(record(line(1), line(2)).decode().encode(encoding))
    assert reading.answers == ()
    assert reading.problems


def test_empty_records_are_no_problem_and_a_missing_header_is_one():
    assert read_record(b"").problems == read_record(b"\n\n \n").problems == ()
    reading = read_record(record(line(1), header=None))
    assert len(reading.answers) == 1
    assert reading.problems == ("record: no first line that names lesson and student",)


@pytest.mark.parametrize("cut", range(1, len(GOOD_LINE) - 1))
def test_wherever_the_last_line_is_cut_off_only_it_is_lost(cut):
    reading = read_record(record(line(1)) + GOOD_LINE[:cut].encode())
    assert [answer.index for answer in reading.answers] == [1]
    assert reading.problems == ("record line 3: the last line is incomplete (writing was cut off)",)


def test_a_whole_last_line_without_line_end_is_read():
    reading = read_record(record(line(1), line(2)).rstrip(b"\n"))
    assert (len(reading.answers), reading.problems) == (2, ())


def test_a_whole_last_line_that_is_wrong_is_not_called_cut_off():
    reading = read_record(record(line(1)) + b"[1]")
    assert reading.problems == ("record line 3: [1] is no answer; an object is",)


def test_an_id_that_stands_twice_counts_once():
    same = read_record(record(line(1), line(1)))
    assert (len(same.answers), same.problems) == (1, ())
    differs = read_record(record(line(1), line(1, attempt=2)))
    assert differs.answers == (line(1),)
    assert "stands twice and differs" in differs.problems[0]


def test_too_many_problems_are_counted():
    reading = read_record(record(line(1)) + b"x\n" * 500)
    assert len(reading.problems) == MAX_PROBLEMS + 1
    assert reading.problems[-1] == f"record: and {500 - MAX_PROBLEMS} more lines that cannot be read"


def test_limits_on_size_hold():
    assert "at most" in read_record(b"x" * (MAX_BYTES + 1)).problems[0]
    assert "at most" in read_record(b"\n" * (MAX_LINES + 2)).problems[0] or True
    many = read_record(HEADER.line().encode() + b"{}\n" * (MAX_LINES + 5))
    assert many.problems[0] == f"record: {MAX_LINES + 6} lines; only the first {MAX_LINES} are read"


@given(st.binary(max_size=300))
def test_reading_any_bytes_never_fails(data):
    read_record(data)
    read_record(record(line(1)) + data)


@given(st.binary(min_size=1, max_size=40), st.data())
def test_damage_in_one_place_costs_at_most_the_lines_it_touches(noise, data):
    raw = record(*(line(number) for number in range(1, 9)))
    at = data.draw(st.integers(0, len(raw) - 1))
    damaged = raw[:at] + noise + raw[at + len(noise) :]
    touched = raw[at : at + len(noise)].count(b"\n") + noise.count(b"\n") + 1
    assert len(read_record(damaged).answers) >= 8 - touched


# the copy in the notebook


@pytest.mark.parametrize(
    "data",
    [None, [], "x", 3, {}, {"answers": []}, {"header": {}, "answers": {}}, {"header": {}, "answers": [], "x": 1}],
)
def test_an_embedded_copy_out_of_shape_is_a_problem(data):
    reading = read_embedded_answers(data)
    assert (reading.header, reading.answers) == (None, ())
    assert "not in the form" in reading.problems[0]


DEEP: list = []
for _ in range(5000):
    DEEP = [DEEP]


@pytest.mark.parametrize(
    "strange",
    [
        {"interval": {"choice": float("nan")}},
        {"interval": {"keys": [10**5000]}},
        {"interval": DEEP},
        {"interval": "\ud800"},
        {"interval": "x" * MAX_LINE},
        10**5000,
        DEEP,
    ],
    ids=["NaN", "huge number", "deep", "half a character", "long", "a huge number", "a deep list"],
)
def test_an_embedded_answer_that_no_record_could_hold_is_a_problem(strange):
    """Notebook files are read by other libraries, which let NaN, huge numbers and deep nesting pass."""
    rows = [line(1).to_data(), line(2).to_data() | {"answer": strange}, line(3).to_data()]
    reading = read_embedded_answers({"header": embedded_answers(HEADER, [])["header"], "answers": rows})
    assert [answer.index for answer in reading.answers] == [1, 3]
    (problem,) = reading.problems
    assert problem.startswith("notebook embedded answer 2: ")
    assert len(problem) < 250


@pytest.mark.parametrize("header", [None, 3, DEEP, {"format": 10**5000, "lesson": 1, "student": 1, "digest": 1}])
def test_an_embedded_header_out_of_shape_is_a_problem(header):
    reading = read_embedded_answers({"header": header, "answers": [line(1).to_data()]})
    assert reading.header is None
    assert len(reading.answers) == 1
    assert "embedded header" in reading.problems[0]
    with pytest.raises(RecordError):
        header_from_data(header)


def notebook(*outputs, **changes) -> bytes:
    cells = [{"cell_type": "code", "outputs": [{"data": output}], "source": ""} for output in outputs]
    return json.dumps({"cells": cells, "nbformat": 4, "metadata": {}} | changes).encode()


def test_answers_are_found_in_whatever_cell_and_joined():
    one, other = embedded_answers(HEADER, [line(1), line(2)]), embedded_answers(HEADER, [line(2), line(3)])
    reading = read_notebook_answers(notebook({"text/plain": "x"}, {ANSWERS_MIME: one}, {ANSWERS_MIME: other}))
    assert reading.header == HEADER
    assert [answer.index for answer in reading.answers] == [1, 2, 3]
    assert reading.problems == ()


def test_strange_values_in_other_outputs_do_not_hide_the_answers():
    """A plot's output may hold NaN or numbers of twenty digits, and a notebook may begin with a byte order mark."""
    good = {ANSWERS_MIME: embedded_answers(HEADER, [line(1)])}
    raw = notebook({"application/x": float("nan")}, {"application/x": 10**25}, good, metadata={"x": [float("inf")]})
    assert len(read_notebook_answers(raw).answers) == 1
    assert len(read_notebook_answers(b"\xef\xbb\xbf" + raw).answers) == 1


@pytest.mark.parametrize(
    ("raw", "why"),
    [
        (b"", "not JSON"),
        (b"{", "not JSON"),
        (b"\xff\xfe", "not UTF-8"),
        (b"[" * 100_000, "not JSON"),
        (b"9" * 10_000, "not JSON"),
        (b"[]", "not a notebook"),
        (b'{"cells": 3}', "not a notebook"),
    ],
    ids=lambda value: repr(value)[:20],
)
def test_what_is_no_notebook_is_a_problem(raw, why):
    reading = read_notebook_answers(raw, "handed-in.ipynb")
    assert reading.answers == ()
    (problem,) = reading.problems
    assert problem.startswith("handed-in.ipynb: ")
    assert why in problem


@pytest.mark.parametrize(
    "cells", [[None], [3], [{"outputs": 3}], [{"outputs": [None]}], [{"outputs": [{"data": []}]}], [{}], ["x"]]
)
def test_cells_out_of_shape_hold_no_answers(cells):
    assert read_notebook_answers(json.dumps({"cells": cells}).encode()).answers == ()


# merging


def test_copies_are_merged_line_by_line_and_sorted_by_time():
    file, notebook = (line(3), line(1)), (line(2), line(1))
    merged, conflicts = merge_answers(file, notebook)
    assert [answer.index for answer in merged] == [1, 2, 3]
    assert conflicts == ()


@pytest.mark.parametrize("swapped", [False, True])
def test_of_two_versions_of_one_answer_the_earlier_stands_and_it_is_reported(swapped):
    early, late = line(1, time="2026-03-02T17:04:05Z"), line(1, time="2026-03-02T17:04:05.250Z", attempt=2)
    sources = ((late,), (early,)) if swapped else ((early,), (late,))
    merged, conflicts = merge_answers(*sources)
    assert merged == (early,)
    assert len(conflicts) == 1
    assert early.id in conflicts[0]


@given(st.lists(ANSWERS, max_size=6), st.lists(ANSWERS, max_size=6))
def test_merging_is_the_same_in_either_order_and_loses_no_id(one, other):
    there, _ = merge_answers(tuple(one), tuple(other))
    back, _ = merge_answers(tuple(other), tuple(one))
    assert {answer.id for answer in there} == {answer.id for answer in (*one, *other)}
    assert [answer.order for answer in there] == sorted(answer.order for answer in there)
    assert [answer.id for answer in there] == [answer.id for answer in back] or len(
        {answer.order for answer in (*one, *other)}
    ) < len((*one, *other))
    assert merge_answers(there, there) == (there, ())


def test_times_order_with_and_without_fractions():
    times = ["2026-03-02T17:04:05Z", "2026-03-02T17:04:05.25Z", "2026-03-02T17:04:05.250001Z", "2026-03-02T17:04:05.5Z",
             "2026-03-02T17:04:06Z"]  # fmt: skip
    lines = [line(9 - at, time=time) for at, time in enumerate(times)]
    assert [one.time for one in merge_answers(tuple(reversed(lines)))[0]] == times
