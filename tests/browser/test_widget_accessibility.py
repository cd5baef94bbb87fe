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
from musictheory_nb.widgets.fingerboard import Fingerboard
from musictheory_nb.widgets.listening import Listening
from musictheory_nb.instrument.fingering import finger_line
from musictheory_nb.practice.response import *
from musictheory_nb.widgets.measure_range import MeasureRange
from musictheory_nb.widgets.microphone import Microphone
from musictheory_nb.widgets.notation_view import NotationView
from musictheory_nb.widgets.number_field import NumberField
from musictheory_nb.widgets.piano_keyboard import PianoKeyboard
from musictheory_nb.widgets.rhythm_tap import RhythmTap
from musictheory_nb.widgets.role_strip import RoleStrip
from musictheory_nb.widgets.section_strip import SectionStrip
from musictheory_nb.widgets.staff_entry import StaffEntry
from musictheory_nb.widgets.symbol_field import SymbolField
from musictheory_nb.widgets.text_field import TextField
o = lambda *names: [{"value": name, "label": name} for name in names]
bars = [str(n) for n in range(34)]
bass = ("E1", "A1", "D2", "G2")
roles = RolesInput(("C5", "D5"), (Option("ct", "chord tone"), Option("pt", "passing tone")))
tune = [[["D5"], "1", False], [["E5"], "3", True], [["E5"], "4", False]]
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
    "StaffEntry(StaffInput(fifths=2, measures=2), label='Write the melody.', value=tune)",
    "StaffEntry(StaffInput('alto', measures=2), label='Marked', value=tune, right=tune[1:], locked=True)",
    "RhythmTap(RhythmInput(measures=1), label='Tap the rhythm.', value=[3, 751])",
    "RhythmTap(RhythmInput(measures=1), label='Marked', value=[3, 751], right=[0, 750], locked=True)",
    "SymbolField(SymbolInput('chord'), label='Name the chord.', value=['Bb7'])",
    "SymbolField(SymbolInput('chord'), label='Marked', value=['Bb7'], right=['Bb9'], locked=True)",
    "RoleStrip.of(roles, label='What is each note?', value=['ct', ''])",
    "RoleStrip.of(roles, label='Marked', value=['ct', 'ct'], right=['ct', 'pt'], locked=True)",
    "span = MeasureRange(bars, spans=2, label='Where?', value=[[2, 4]]); span.on_hear(print); span",
    "MeasureRange(bars, label='Marked', value=[[2, 4]], right=[[2, 5]], locked=True)",
    "NumberField(NumberInput(0, 24, 'semitones'), label='How wide is it?', value=[7])",
    "NumberField(NumberInput(0, 24, 'semitones'), label='Marked', value=[7], right=[6], locked=True)",
    "Fingerboard(FingerboardInput(bass, count=3, given=((0, 1),)), label='Press it.', value=[[1, 3]])",
    "Fingerboard(FingerboardInput(bass), label='Marked', value=[[1, 3]], right=[[1, 4]], locked=True)",
    "Fingerboard.showing(finger_line('G1 A1 B1', 1, 'bass guitar'), label='A line')",
    "Microphone(SungInput(), label='Sing it.', value=[64.1], take=1, offers_keeping=True)",
    "Microphone(SungInput(), label='Marked', value=[64.1], right=[62.0], locked=True, kept='Kept as a.wav.')",
    "TextField(TextInput(most=60), label='Describe the form.', value=['AABA'])",
    "TextField(TextInput(most=60), label='Marked', value=['AABA'], right=['ABAC'], locked=True)",
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
        """() => [...document.querySelectorAll('.mtnb button, .mtnb select, .mtnb input, .mtnb textarea, .mtnb summary')].map((node) => {
        const box = (node.closest('label.mtnb-tick') ?? node).getBoundingClientRect();
        return [node.className + ' ' + (node.getAttribute('aria-label') ?? node.innerText), box.width, box.height]; })
        .filter(([, width]) => width > 0)"""
    )
    assert len(sizes) > 150
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
    for cell in (1, 2, 3, 4, 6, 8, 14, 16, 18, 20, 22, 24, 26, 29, 31):
        for control in (
            page.output(cell)
            .locator("button[tabindex='0'], button:not([tabindex]), select, input, textarea, [role='application']")
            .all()
        ):
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


@pytest.mark.parametrize("cell", [6, 8, 14, 16, 18, 20, 22, 24, 26, 29, 31])
def test_the_keyboard_is_never_caught(page, cell):
    """Success criterion 2.1.2, no keyboard trap: Tab goes through all controls of a widget and out of it."""
    area = page.output(cell)
    area.locator("button, input, select, textarea").first.focus()
    inside = area.evaluate(
        "(area) => area.querySelectorAll('button, input, select, textarea, summary, [tabindex]').length"
    )
    for _ in range(inside + 2):
        page.page.keyboard.press("Tab")
        if not area.evaluate("(area) => area.contains(document.activeElement)"):
            return
    raise AssertionError(f"Tab does not leave cell {cell}")


def test_chosen_and_marked_are_seen_in_forced_colours(page):
    """Success criterion 1.4.1, with the few colours of a student's own: what is chosen differs in its shape or words.

    Backgrounds and shadows are gone there, and all text and lines have one colour.
    """
    page.page.emulate_media(forced_colors="active")
    try:
        alike, seen = page.page.evaluate(
            """() => {
            const lines = (node) => { const style = getComputedStyle(node); return [style.visibility, ...['Top', 'Right', 'Bottom', 'Left'].map(
                (side) => [style[`border${side}Width`], style[`border${side}Style`], style[`border${side}Color`]])]; };
            const signs = (node) => node.innerText.replace(/[\\p{L}\\p{N}]/gu, '');
            const look = (node) => { const style = getComputedStyle(node); return JSON.stringify([style.textDecorationLine,
                style.fontWeight, signs(node), getComputedStyle(node, '::before').content, [node, ...node.querySelectorAll('*')].map(lines)]); };
            const kind = (node) => node.className.split(' ')[0];
            const alike = []; let seen = 0;
            for (const name of ['aria-pressed', 'aria-checked']) {
                for (const on of document.querySelectorAll(`.mtnb [${name}="true"]`)) {
                    const group = on.parentElement.parentElement.querySelectorAll(`[${name}="false"]`);
                    const off = [...group].find((each) => kind(each) === kind(on));
                    if (!off || on.getBoundingClientRect().width === 0) continue;
                    seen += 1;
                    if (look(on) === look(off)) alike.push(`${kind(on)} ${on.getAttribute('aria-label') ?? on.innerText}`); } }
            return [alike, seen]; }"""
        )
        unseen = page.page.evaluate(
            """() => { const probe = document.createElement('span'); probe.style.color = 'Canvas'; document.body.append(probe);
            const ground = getComputedStyle(probe).color; probe.remove();
            return [...document.querySelectorAll('.mtnb svg path, .mtnb svg text, .mtnb svg ellipse, .mtnb svg use')].filter((node) => {
                const style = getComputedStyle(node); const off = (paint) => paint === 'none' || paint === ground;
                return !node.closest('defs') && off(style.fill) && off(style.stroke); }).map((node) => node.outerHTML.slice(0, 80)); }"""
        )
    finally:
        page.page.emulate_media(forced_colors="none")
    assert seen > 8
    assert alike == []
    assert unseen == []


def test_nothing_moves_by_itself_where_less_motion_is_asked(page):
    """Success criterion 2.3.3, animation from interactions."""
    page.page.emulate_media(reduced_motion="reduce")
    try:
        moving = page.page.evaluate(
            """() => [...document.querySelectorAll('.mtnb, .mtnb *')].filter((node) => { const style = getComputedStyle(node);
            return style.animationName !== 'none' || style.scrollBehavior === 'smooth'
                || style.transitionDuration.split(',').some((each) => parseFloat(each) > 0); }).map((node) => node.className)"""
        )
    finally:
        page.page.emulate_media(reduced_motion="no-preference")
    assert moving == []


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
