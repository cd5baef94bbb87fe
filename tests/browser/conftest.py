"""JupyterLab and Chromium for tests. Without a browser they skip with the reason, unless one is required (CI)."""

import os
import shutil
import sys
import uuid
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Error, sync_playwright

# The two modules beside this file are for tests only, in no package; pytest's importlib mode adds no path by itself.
sys.path.insert(0, str(Path(__file__).parent))

from lab_server import LabServer, lab_server
from notebook_page import NotebookPage, write_notebook

#: Set to "1" (``.ci/run`` does), a missing browser is an error and not a skip.
BROWSER_SETTING = "MUSICTHEORY_NB_NEED_BROWSER"
_ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
_NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what drives a browser."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LabServer]:
    """A JupyterLab on an empty folder."""
    with lab_server(tmp_path_factory.mktemp("notebooks")) as server:
        yield server


@pytest.fixture(scope="module")
def browser_arguments() -> tuple[str, ...]:
    """What a module's browser is started with beside the usual; a module may have its own."""
    return ()


# One browser a module, not a session: while Playwright is open, its event loop would be in the way of other tests.
@pytest.fixture(scope="module")
def chromium(browser_arguments: tuple[str, ...]) -> Iterator[Browser]:
    """Chromium, or a skip with the reason."""
    found = next(filter(None, map(shutil.which, _NAMES)), None)
    with sync_playwright() as playwright:
        try:
            browser = playwright.chromium.launch(executable_path=found, args=[*_ARGUMENTS, *browser_arguments])
        except Error as error:
            reason = f"no Chromium could be started ({str(error).splitlines()[0]})"
            if os.environ.get(BROWSER_SETTING) == "1":
                pytest.fail(reason)
            pytest.skip(reason)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def new_page(chromium: Browser, lab: LabServer) -> Iterator[Callable[..., NotebookPage]]:
    """Return a function that opens a fresh page in JupyterLab (keywords go to the browser context)."""
    contexts = []

    def make(**settings: object) -> NotebookPage:
        context = chromium.new_context(**{"viewport": {"width": 1300, "height": 900}, **settings})
        context.set_default_timeout(20_000)
        contexts.append(context)
        return NotebookPage(context.new_page(), lab)

    yield make
    for context in contexts:
        context.close()
    lab.end_sessions()


@pytest.fixture(scope="module")
def notebook(new_page: Callable[..., NotebookPage], lab: LabServer) -> Callable[..., NotebookPage]:
    """Return a function that writes code cells to a notebook, opens it in JupyterLab and runs all cells."""

    def make(sources: Sequence[str], **settings: object) -> NotebookPage:
        name = f"test-{uuid.uuid4().hex[:8]}.ipynb"
        write_notebook(lab.folder / name, sources)
        opened = new_page(**settings).open(name)
        opened.run_all()
        return opened

    return make
