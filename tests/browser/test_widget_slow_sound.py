"""Play pressed while the sound is on its way: it is heard once, it is the sound that was picked, and the last press counts.

The kernel and the decoder are slowed down; frequencies are those written into the clips.
"""

import pytest
from playwright.sync_api import expect
from test_widget_listening import SET_UP, go_on, status, wait_for_hz, wait_for_silence

SLOW = """
import time, ipywidgets
from musictheory_nb.widgets.choice_field import ChoiceField
def slowly(first, last):
    asked.append((first, last)); time.sleep(1.2)
    return tone(700, 1.5)
"""
MADE = "made = Listening(sound=slowly, label='Made', lesson='one'); made"
THERE = "there = Listening(tone(440, 2), label='There', lesson='one'); there"
FIELD = """
field = ChoiceField(['one', 'two'], label='Sound')
picked = Listening(tone(500, 20), sound=lambda first, last: tone((500, 900)[field.value], 20), label='one', lesson='one')
def pick(change):
    time.sleep(0.6)
    picked.wav = b''
field.on_change(pick)
ipywidgets.VBox([field, picked])
"""
SLOW_DECODER = """() => {
  const decode = BaseAudioContext.prototype.decodeAudioData;
  BaseAudioContext.prototype.decodeAudioData = async function (data) {
    await new Promise((resolve) => setTimeout(resolve, 700));
    return decode.call(this, data);
  };
}"""


@pytest.fixture
def page(notebook):
    page = notebook([SET_UP + SLOW, MADE, THERE, FIELD])
    play(page, 2).click()
    go_on(page, 2)
    page.until("there.plays", 1)
    page.output(2).get_by_role("button", name="Stop").click()
    wait_for_silence(page)
    page.page.evaluate("() => { heard.starts = 0; }")
    return page


def play(page, cell):
    return page.output(cell).get_by_role("button", name="Play")


def test_many_presses_while_the_kernel_makes_it_are_heard_once(page):
    for _ in range(4):
        play(page, 1).click()
    expect(status(page, 1)).to_have_text("Making the sound …")
    wait_for_hz(page, 700)
    expect(status(page, 1)).to_have_text("Heard 1 time.")
    assert page.python("(made.plays, len(asked))") == (1, 1)
    assert page.page.evaluate("() => heard.starts") == 1


@pytest.mark.parametrize("presses", [2, 5])
def test_many_presses_while_it_is_decoded_are_heard_once(page, presses):
    page.page.evaluate(SLOW_DECODER)
    page.do("there.wav = tone(620, 1.5)")
    page.page.wait_for_timeout(300)
    for _ in range(presses):
        play(page, 2).click()
        page.page.wait_for_timeout(60)
    wait_for_hz(page, 620)
    expect(status(page, 2)).to_have_text("Heard 2 times.")
    assert page.page.evaluate("() => heard.starts") == 1


def test_a_sound_picked_and_played_at_once_is_the_one_that_is_heard(page):
    play(page, 3).click()
    wait_for_hz(page, 500)
    page.output(3).get_by_role("button", name="Stop").click()
    wait_for_silence(page)
    page.output(3).get_by_label("Sound", exact=True).select_option("two")
    play(page, 3).click()
    wait_for_hz(page, 900)
    page.page.wait_for_timeout(900)  # what came late has not stopped it
    wait_for_hz(page, 900)
    page.until("picked.plays", 2)


def test_stop_while_it_is_made_and_another_sound_meanwhile(page):
    play(page, 1).click()
    page.output(1).get_by_role("button", name="Stop").click()
    expect(status(page, 1)).to_have_text("Ready: press Play.")
    assert page.python("made.plays") == 0
    page.do("made.wav = b''")
    play(page, 1).click()
    play(page, 2).click()  # the last press counts
    wait_for_hz(page, 440)
    page.page.wait_for_timeout(1600)
    wait_for_hz(page, 440)
    assert page.python("(made.plays, there.plays)") == (0, 2)
    play(page, 1).click()
    page.until("made.plays", 1)
    assert page.console == []
