"""A page as PDF, printed by a browser of this computer without a window. Nothing is fetched: our pages hold all they show."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from musictheory_nb.errors import ClassroomError

#: Names under which browsers that print from the command line are found.
_NAMES: Final = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
#: Where they lie on systems that do not put them on the path.
_PLACES: Final = (
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    "C:/Program Files/Google/Chrome/Application/chrome.exe",
    "C:/Program Files (x86)/Microsoft/Edge/Application/msedge.exe",
)
#: Says what to do without one.
NO_BROWSER: Final = (
    "no PDF: no Chromium, Chrome or Edge is found on this computer. Open the HTML files in any browser and print them, or "
    "install Chromium and run this again"
)
PATIENCE_S: Final = 120


def find_browser() -> str:
    """Return the path of a browser that can print; empty when there is none."""
    found = next(filter(None, map(shutil.which, _NAMES)), None)
    return found or next((place for place in _PLACES if os.path.isfile(place)), "")


def print_pdf(browser: str, page: Path, to: Path) -> None:
    """Print an HTML file to a PDF file.

    Parameters
    ----------
    browser : str
        As `find_browser` returns it.
    page, to : Path
        The HTML file, and where the PDF goes.

    Raises
    ------
    ClassroomError
        The browser fails; says what it said.
    """
    with tempfile.TemporaryDirectory(prefix="print-", ignore_cleanup_errors=True) as home:
        command: Sequence[str] = (
            browser, "--headless", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-sync",
            "--disable-component-update", "--no-pdf-header-footer", f"--user-data-dir={home}", f"--print-to-pdf={to.absolute()}",
            *(("--no-sandbox",) if hasattr(os, "geteuid") and os.geteuid() == 0 else ()),
            page.absolute().as_uri(),
        )  # fmt: skip
        try:
            done = subprocess.run(command, capture_output=True, timeout=PATIENCE_S, check=False)
        except (OSError, subprocess.TimeoutExpired) as error:
            raise ClassroomError(f"'{browser}' could not print '{page.name}': {error}") from None
        if done.returncode or not to.is_file() or not to.read_bytes().startswith(b"%PDF"):
            said = done.stderr.decode("utf-8", "replace").strip().splitlines()
            raise ClassroomError(
                f"'{browser}' could not print '{page.name}': {said[-1] if said else 'it said nothing'}"
            )
