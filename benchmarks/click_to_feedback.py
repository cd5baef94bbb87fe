"""From the click on "Check my answer" to the verdict on the screen, in JupyterLab in Chromium, the record on the disk.

The peer does nothing but the round trip: a bare ipywidgets button whose callback sets a label, on the same page.
"""

import shutil
import statistics
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from benchmarks.comparison import Comparison

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "browser"))

from lab_server import lab_server
from notebook_page import NotebookPage, write_notebook

ROUNDS = 20
_ARGUMENTS = ("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking")

_LESSON = f"""import musictheory_nb as mt
lesson = mt.open_lesson("benchmark", student="bench", seed=1)
lesson.exercise("listen", "interval-by-ear", count={ROUNDS}, points=1)"""

_BARE = """import ipywidgets
label = ipywidgets.Label("0")
label.add_class("bench-label")
button = ipywidgets.Button(description="Bare button")
button.on_click(lambda _button: setattr(label, "value", str(int(label.value) + 1)))
ipywidgets.VBox([button, label])"""

#: Clicks the element and returns the milliseconds until the text of the watched one has changed.
_TIMED = """async ([clicked, watched]) => {
  const before = watched.textContent;
  const start = performance.now();
  const changed = new Promise((done) => {
    const look = () => { if (watched.textContent !== before && watched.textContent.trim()) { observer.disconnect(); done(); } };
    const observer = new MutationObserver(look);
    observer.observe(watched, { childList: true, subtree: true, characterData: true });
  });
  clicked.click();
  await Promise.race([changed, new Promise((_, fail) => setTimeout(() => fail(new Error("no change in 20 s")), 20000))]);
  return performance.now() - start;
}"""


def _timed(page: Page, clicked: str, watched: str) -> float:
    handles = [page.locator(clicked).first.element_handle(), page.locator(watched).first.element_handle()]
    return float(page.evaluate(_TIMED, handles))


def run() -> list[Comparison]:
    """Measure; medians of 20."""
    with tempfile.TemporaryDirectory() as folder, lab_server(Path(folder)) as server, sync_playwright() as playwright:
        write_notebook(Path(folder) / "benchmark.ipynb", [_LESSON, _BARE])
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=list(_ARGUMENTS))
        opened = NotebookPage(browser.new_page(), server).open("benchmark.ipynb")
        opened.run_all()
        page, ours, bare = opened.page, [], []
        for number in range(ROUNDS):
            exercise = page.locator(".mtnb-exercise")
            exercise.get_by_role("radio").first.click()
            page.wait_for_timeout(150)
            ours.append(_timed(page, ".mtnb-actions button:has-text('Check')", ".mtnb-exercise .mtnb-feedback"))
            bare.append(_timed(page, "button:has-text('Bare button')", ".bench-label"))
            if number + 1 < ROUNDS:
                exercise.get_by_role("button", name="Next question").click()
                exercise.get_by_text(f"Question {number + 2} of {ROUNDS}").first.wait_for()
        browser.close()
    return [
        Comparison(
            "click on Check to verdict, answer on disk",
            statistics.median(ours) / 1000,
            "a bare button's round trip",
            statistics.median(bare) / 1000,
            "under 150 ms",
        )
    ]
