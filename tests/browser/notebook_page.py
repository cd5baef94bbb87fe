"""A notebook open in JupyterLab in Chromium, driven as a student would and asked as a test needs."""

import ast
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import nbformat
from lab_server import LabServer
from playwright.sync_api import Locator, Page

PANEL = ".jp-NotebookPanel:not(.lm-mod-hidden)"
WAIT_MS = 60_000

#: Listens to what the page sounds: `heard.contexts` counts audio contexts, `heard.peak()` is the level now (0 to 1),
#: `heard.hz()` the strongest frequency now.
LISTENER = """(() => {
  const heard = window.heard = { contexts: 0, taps: [], starts: 0 };
  const Real = window.AudioContext;
  window.AudioContext = class extends Real { constructor(...given) { super(...given); heard.contexts += 1; } };
  const connect = AudioNode.prototype.connect;
  AudioNode.prototype.connect = function (target, ...more) {
    if (target instanceof AudioDestinationNode) {
      const tap = this.context.createAnalyser();
      tap.fftSize = 16384; tap.smoothingTimeConstant = 0;
      connect.call(this, tap);
      heard.taps.push(tap);
    }
    return connect.call(this, target, ...more);
  };
  for (const Kind of [AudioBufferSourceNode, OscillatorNode]) {
    const start = Kind.prototype.start;
    Kind.prototype.start = function (...given) { heard.starts += 1; return start.apply(this, given); };
  }
  heard.peak = () => Math.max(0, ...heard.taps.map((tap) => {
    const wave = new Float32Array(2048); const all = new Float32Array(tap.fftSize);
    tap.getFloatTimeDomainData(all); wave.set(all.slice(-2048));
    return Math.max(...wave.map(Math.abs));
  }));
  heard.hz = () => {
    const tap = heard.taps[0]; if (!tap) return 0;
    const bins = new Float32Array(tap.frequencyBinCount); tap.getFloatFrequencyData(bins);
    const at = bins.indexOf(Math.max(...bins));
    return at * tap.context.sampleRate / tap.fftSize;
  };
})()"""


def write_notebook(path: Path, sources: Sequence[str]) -> None:
    """Write a notebook of code cells."""
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(source) for source in sources])
    notebook.metadata.kernelspec = {"name": "python3", "display_name": "Python 3", "language": "python"}
    nbformat.write(notebook, path)


class NotebookPage:
    """A notebook in the browser.

    Parameters
    ----------
    page : Page
        A page of Playwright.
    server : LabServer
        The JupyterLab that serves it.
    """

    def __init__(self, page: Page, server: LabServer) -> None:
        self.page = page
        self.server = server
        self.console: list[str] = []
        page.on("pageerror", lambda error: self.console.append(str(error)))
        page.add_init_script(LISTENER)

    def open(self, name: str) -> "NotebookPage":
        """Open the notebook of that name (relative to the server's folder) and wait for its kernel."""
        self.page.goto(f"{self.server.url}/{self.server.place}/{name}?reset", wait_until="domcontentloaded")
        self.page.locator(f"{PANEL} .jp-Notebook .jp-Cell").first.wait_for(timeout=WAIT_MS)
        self.page.wait_for_function("() => window.jupyterapp?.shell.currentWidget?.sessionContext", timeout=WAIT_MS)
        self.page.evaluate("""async () => {
            const context = window.jupyterapp.shell.currentWidget.sessionContext;
            await context.ready; await context.session.kernel.info;
        }""")
        return self

    def run_all(self) -> None:
        """Run all cells; a cell that fails fails the test, with its traceback."""
        done = self.page.evaluate("() => window.jupyterapp.commands.execute('notebook:run-all-cells')")
        errors = self.page.locator(f"{PANEL} .jp-OutputArea-output[data-mime-type$='jupyter.stderr']").all_inner_texts()
        assert done is not False, f"a cell failed: {errors}"

    def restart_kernel(self) -> None:
        """Start the kernel anew, as the menu does: what Python held is gone, the page is as it was."""
        self.page.evaluate("""async () => {
            const context = window.jupyterapp.shell.currentWidget.sessionContext;
            await context.restartKernel(); await context.session.kernel.info; }""")

    def run_cell(self, index: int) -> None:
        """Run one cell."""
        self.page.evaluate(
            """async (index) => { const panel = window.jupyterapp.shell.currentWidget;
            panel.content.activeCellIndex = index; panel.content.deselectAll();
            await window.jupyterapp.commands.execute('notebook:run-cell'); }""",
            index,
        )

    def cell(self, index: int) -> Locator:
        """Return a whole cell."""
        return self.page.locator(f"{PANEL} .jp-Notebook .jp-Cell").nth(index)

    def output(self, index: int) -> Locator:
        """Return the output area of a code cell."""
        return self.cell(index).locator(".jp-OutputArea").first

    @property
    def cell_count(self) -> int:
        """Number of cells: a key that JupyterLab took as a command may change it."""
        return self.page.evaluate("() => window.jupyterapp.shell.currentWidget.content.widgets.length")

    def python(self, expression: str) -> Any:
        """Return the value of a Python expression in the notebook's kernel (a literal)."""
        reply = self.page.evaluate(
            """async (code) => { const kernel = window.jupyterapp.shell.currentWidget.sessionContext.session.kernel;
            const reply = await kernel.requestExecute({ code: '', silent: true, store_history: false,
                user_expressions: { asked: code } }).done;
            return reply.content.user_expressions.asked; }""",
            f"({expression})",
        )
        assert reply["status"] == "ok", f"{expression}: {reply.get('ename')}: {reply.get('evalue')}"
        return ast.literal_eval(reply["data"]["text/plain"])

    def do(self, code: str) -> None:
        """Run statements in the notebook's kernel, outside any cell, and fail if they fail."""
        reply = self.page.evaluate(
            """async (code) => { const kernel = window.jupyterapp.shell.currentWidget.sessionContext.session.kernel;
            return (await kernel.requestExecute({ code, silent: true, store_history: false }).done).content; }""",
            code,
        )
        assert reply["status"] == "ok", f"{code}: {reply.get('ename')}: {reply.get('evalue')}"

    def until(self, expression: str, value: Any) -> None:
        """Wait until a Python expression in the kernel has that value."""
        last = None
        for _ in range(200):
            if (last := self.python(expression)) == value:
                return
            self.page.wait_for_timeout(50)
        raise AssertionError(f"{expression} is {last!r}, not {value!r}")

    def dark(self, on: bool = True) -> None:
        """Change JupyterLab's theme."""
        theme = "JupyterLab Dark" if on else "JupyterLab Light"
        self.page.evaluate("(theme) => window.jupyterapp.commands.execute('apputils:change-theme', { theme })", theme)
        self.page.locator(f"body[data-jp-theme-light='{json.dumps(not on)}']").wait_for(state="attached")

    def save(self) -> None:
        """Save the notebook."""
        self.page.evaluate("() => window.jupyterapp.commands.execute('docmanager:save')")

    def focused(self) -> str:
        """Return the accessible name (or text) of what has the keyboard focus."""
        return self.page.evaluate(
            "() => { const at = document.activeElement; return at.getAttribute('aria-label') || "
            "[...(at.labels ?? [])].map((label) => label.innerText.trim()).join(' ') || at.innerText?.trim() || at.tagName; }"
        ).replace("\n", " ")
