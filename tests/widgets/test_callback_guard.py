"""A callback that fails: the caller sees it, the student reads it, a test finds it.

The two-sided demand (a test or CI must see the failure, the student must see a message) is common practice, no source.
"""

import nbformat
import pytest
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError

from musictheory_nb.widgets.callback_guard import STUDENT_MESSAGE, guarded, student_message
from musictheory_nb.widgets.choice_row import ChoiceRow
from musictheory_nb.widgets.listening import Listening
from musictheory_nb.widgets.section_strip import SectionStrip

OPTIONS = [{"value": "m3", "label": "m3"}, {"value": "M3", "label": "M3"}]


def failing(*_given):
    raise RuntimeError("the ledger is full")


def test_failing_callback_is_raised_told_and_recorded():
    row = ChoiceRow(OPTIONS)
    row.on_change(failing)
    with pytest.raises(RuntimeError, match="the ledger is full"):
        row.value = ["m3"]
    assert "RuntimeError: the ledger is full." in row.problem
    assert [(failure.doing, type(failure.error)) for failure in row.failures] == [("failing", RuntimeError)]


def test_message_goes_when_the_callback_next_succeeds():
    row = ChoiceRow(OPTIONS)
    row.on_change(lambda change: failing() if change["new"] == ["m3"] else None)
    with pytest.raises(RuntimeError):
        row.value = ["m3"]
    row.value = ["M3"]
    assert row.problem == ""
    assert len(row.failures) == 1


def test_each_widget_keeps_its_own_failures():
    one, other = ChoiceRow(OPTIONS), ChoiceRow(OPTIONS)
    one.on_change(failing)
    with pytest.raises(RuntimeError):
        one.value = ["m3"]
    assert other.failures == []
    assert other.problem == ""


def test_guard_hands_over_arguments_and_result():
    row = ChoiceRow(OPTIONS)
    assert guarded(lambda *given, **named: (given, named), row)(1, 2, at=3) == ((1, 2), {"at": 3})


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (ValueError("no such measure"), "ValueError: no such measure."),
        (ValueError("is that all?"), "ValueError: is that all? "),
        (KeyError(), "KeyError: no further words."),
        (OSError("two\nlines\tof it"), "OSError: two lines of it."),
        (ValueError("{braces}"), "ValueError: {braces}."),
    ],
)
def test_student_reads_kind_and_words_in_one_line(error, told):
    message = student_message(error)
    assert told in message
    assert "\n" not in message
    assert message.endswith(STUDENT_MESSAGE.rpartition("}")[2])


def test_every_callback_of_the_widgets_is_guarded():
    strip = SectionStrip(["1", "2"])
    strip.on_hear(failing)
    with pytest.raises(RuntimeError):
        strip.hear += 1
    controls = Listening(sound=failing, measures=["1", "2"])
    with pytest.raises(RuntimeError):
        controls.request += 1
    for widget in (strip, controls):
        assert "the ledger is full" in widget.problem
        assert len(widget.failures) == 1


def test_a_failing_callback_fails_the_notebook_cell(tmp_path):
    source = (
        "from musictheory_nb.widgets.choice_row import ChoiceRow\n"
        "row = ChoiceRow([{'value': 'a', 'label': 'a'}])\n"
        "row.on_change(lambda change: 1 / 0)\n"
        "row.value = ['a']"
    )
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(source)])
    client = NotebookClient(notebook, timeout=120, kernel_name="python3", resources={"metadata": {"path": tmp_path}})
    with pytest.raises(CellExecutionError, match="ZeroDivisionError"):
        client.execute()
