"""WCAG 2.2 level AA of all widgets in JupyterLab, light and dark, at 100 % and at 200 %.

By axe-core's rules, and for what axe does not measure by checks of our own with the success criterion's number beside.
"""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

SET_UP = """
from musictheory_nb.widgets.choice_field import ChoiceField
from musictheory_nb.widgets.choice_row import ChoiceRow
from musictheory_nb.widgets.feedback import Feedback
from musictheory_nb.widgets.listening import Listening
from musictheory_nb.widgets.notation_view import NotationView
from musictheory_nb.widgets.piano_keyboard import PianoKeyboard
from musictheory_nb.widgets.section_strip import SectionStrip
o = lambda *names: [{"value": name, "label": name} for name in names]
bars = [str(n) for n in range(34)]
svg = '<svg xmlns="http://www.w3.org/2000/svg" width="300" height="60"><script>window.broken = 1</script>' \\
      '<path onclick="window.broken = 2" stroke="currentColor" d="M0 10H300"/></svg>'
"""
CELLS = [
    SET_UP,
    "listening = Listening(b'x', label='The interval'); listening",
    "Listening(sound=lambda a, b: b'x', measures=bars, choose_measures=True, label='The piece')",
    "one = ChoiceRow(o('m3', 'M3', 'P4'), label='Which interval?', value=['m3']); one",
    "ChoiceRow(o('C Lydian', 'C altered', 'C half-whole diminished'), many=True, label='Which scales fit?')",
    "ChoiceRow(o('m3', 'M3', 'P4'), label='Marked', value=['m3'], right=['M3'], locked=True)",
    "PianoKeyboard(55, 79, count=2, given=[60], label='Play two notes', value=[65], show_names=True)",
    "PianoKeyboard(60, 72, label='Marked', value=[65], right=[66], locked=True)",
    "strip = SectionStrip(bars, label='Sections', value=[[0, 'A'], [9, 'B']], selected=[2, 4]); strip.on_hear(print); strip",
    "SectionStrip(bars, label='Marked', value=[[0, 'A'], [9, 'B']], right=[[0, 'A'], [8, 'B']], locked=True)",
    "Feedback(verdict='partly', headline='Partly right.', lines=['A diminished fifth.'])",
    "NotationView(svg, 'B3, then F4', caption='B rises to F')",
    "wrong = ChoiceRow(o('a', 'b'), label='Problem', problem='This did not work: ValueError: no.'); wrong",
    "ChoiceField(['the chord', 'C Lydian over it'], label='Sound')",
]


@pytest.fixture(scope="module", params=["100 %", "200 %"])
def page(notebook, request):
    zoomed = request.param == "200 %"  # 1300 by 900 pixels at 200 % are 650 by 450 CSS pixels
    size = {"width": 650, "height": 450} if zoomed else {"width": 1300, "height": 900}
    page = notebook(CELLS, viewport=size, device_scale_factor=2 if zoomed else 1)
    if zoomed:
        page.page.evaluate("() => window.jupyterapp.shell.collapseLeft()")
    page.output(1).get_by_role("button", name="Play").click()  # the sound check is open
    return page


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_axe_finds_nothing(page, dark):
    page.dark(dark)
    result = Axe().run(
        page.page,
        context={"include": [[".mtnb"]]},
        options={"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}},
    )
    assert result.response["passes"], "axe looked at nothing"
    found = [f"{one['id']}: {node['html'][:160]}" for one in result.response["violations"] for node in one["nodes"]]
    assert found == []


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_borders_focus_and_marks_stand_out_three_to_one(page, dark):
    """Success criterion 1.4.11, non-text contrast: 3 to 1 against what lies beside."""
    page.dark(dark)
    ratios = page.page.evaluate(
        """() => {
        const parse = (text) => { const [r, g, b, a] = text.match(/[\\d.]+/g).map(Number); return [r, g, b, a ?? 1]; };
        const over = (top, under) => top.slice(0, 3).map((v, at) => v * top[3] + under[at] * (1 - top[3]));
        const light = (rgb) => { const [r, g, b] = rgb.map((v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; });
            return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
        const ratio = (one, two) => { const [a, b] = [light(one), light(two)].sort((x, y) => y - x); return (a + 0.05) / (b + 0.05); };
        const ground = (node) => { for (; node; node = node.parentElement) { const c = parse(getComputedStyle(node).backgroundColor);
            if (c[3] === 1) return c.slice(0, 3); } return [255, 255, 255]; };
        const out = {};
        for (const node of document.querySelectorAll('.mtnb-button:not([aria-disabled="true"]), .mtnb-field, .mtnb-choice-dot, .mtnb-choice-box')) {
            const edge = over(parse(getComputedStyle(node).borderTopColor), ground(node));
            out[node.className] = Math.min(out[node.className] ?? 99, ratio(edge, ground(node.parentElement))); }
        const root = document.querySelector('.mtnb'); const probe = document.createElement('span'); root.append(probe);
        const colour = (name) => { probe.style.color = `var(${name})`; return parse(getComputedStyle(probe).color).slice(0, 3); };
        const accent = colour('--mtnb-accent');
        out.accentOnGround = ratio(accent, ground(root));
        const keys = document.querySelector('.mtnb-key-white'), black = document.querySelector('.mtnb-key-black');
        out.accentOnWhiteKey = ratio(accent, ground(keys)); out.accentOnBlackKey = ratio(accent, ground(black));
        out.whiteKeyIsLight = light(ground(keys)) > 0.8 ? 99 : 0; out.blackKeyIsDark = light(ground(black)) < 0.05 ? 99 : 0;
        probe.remove(); return out; }"""
    )
    assert len(ratios) > 8
    assert {name: round(ratio, 2) for name, ratio in ratios.items() if ratio < 3} == {}


def test_targets_are_at_least_24_pixels(page):
    """Success criterion 2.5.8, target size (minimum): 24 by 24 CSS pixels; a label counts with its box."""
    sizes = page.page.evaluate(
        """() => [...document.querySelectorAll('.mtnb button, .mtnb select, .mtnb input, .mtnb summary')].map((node) => {
        const box = (node.closest('label.mtnb-tick') ?? node).getBoundingClientRect();
        return [node.className + ' ' + (node.getAttribute('aria-label') ?? node.innerText), box.width, box.height]; })
        .filter(([, width]) => width > 0)"""
    )
    assert len(sizes) > 60
    assert [one for one in sizes if min(one[1:]) < 24] == []


def test_nothing_runs_off_the_page(page):
    """Success criterion 1.4.10, reflow: only the piano, which needs its width, may scroll, inside itself."""
    wide = page.page.evaluate(
        """() => [...document.querySelectorAll('.mtnb')].filter((root) => root.scrollWidth > root.clientWidth + 1
        || root.getBoundingClientRect().right > root.closest('.jp-OutputArea').getBoundingClientRect().right + 1)
        .map((root) => root.className)"""
    )
    assert wide == []


def test_focus_is_seen_on_every_kind_of_control(page):
    """Success criterion 2.4.7 and 2.4.13: an outline of 3 pixels on what has the keyboard focus."""
    missing = []
    for cell in (1, 2, 3, 4, 6, 8):
        for control in page.output(cell).locator("button[tabindex='0'], button:not([tabindex]), select, input").all():
            if not control.is_visible() or not control.is_enabled():
                continue
            control.focus()
            page.page.keyboard.press("Shift")  # a key press: from here on the focus is one of the keyboard
            style = control.evaluate(
                "(node) => { const s = getComputedStyle(node); return [s.outlineStyle, s.outlineWidth]; }"
            )
            if style != ["solid", "3px"]:
                missing.append((control.get_attribute("aria-label"), style))
    assert missing == []


def test_the_keyboard_is_never_caught(page):
    """Success criterion 2.1.2, no keyboard trap: Tab goes through all controls of a widget and out of it."""
    page.output(6).locator("button").first.focus()
    inside = page.output(6).evaluate("(area) => area.querySelectorAll('button, input, summary').length")
    for _ in range(inside + 2):
        page.page.keyboard.press("Tab")
        if not page.output(6).evaluate("(area) => area.contains(document.activeElement)"):
            return
    raise AssertionError("Tab does not leave the piano")


def test_a_picture_has_its_words_and_brings_no_script(page):
    """Success criterion 1.1.1, and what a lesson's text may not do."""
    picture = page.output(11).get_by_role("img", name="B rises to F. The same is told in words below.")
    assert picture.count() == 1
    page.output(11).locator("summary").press("Enter")
    assert page.output(11).get_by_text("B3, then F4").is_visible()
    picture.locator("path").dispatch_event("click")
    assert page.page.evaluate("() => window.broken") is None


def test_a_verdict_is_put_into_a_live_region_that_stood_there_before(page):
    """Success criterion 4.1.3, status messages."""
    region = page.output(10).get_by_role("status")
    region.evaluate("(node) => { node.dataset.stood = 'yes'; }")
    heading = page.output(10).locator(".mtnb-verdict-headline")
    expect(heading).to_have_text("◐Partly right.")
    page.do(
        "from IPython import get_ipython; verdict = get_ipython().user_ns['Out'][max(k for k, v in "
        "get_ipython().user_ns['Out'].items() if type(v).__name__ == 'Feedback')]; verdict.show('Right.', 'A tritone.', right=True)"
    )
    page.output(10).get_by_text("A tritone.").wait_for()
    assert region.get_attribute("data-stood") == "yes"
    expect(heading).to_have_text("✓Right.")
    page.do("verdict.show('Partly right.', 'A diminished fifth.', right=False)")
    page.output(10).get_by_text("A diminished fifth.").wait_for()
