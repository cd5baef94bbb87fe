"""A JupyterLab or Notebook 7 of our own: empty settings, no news, no network, ended by its own process id."""

import json
import os
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from socket import create_server

START_LIMIT_S = 90
_QUIET = {
    "apputils-extension/notification": {"fetchNews": "false", "checkForUpdates": False, "doNotDisturbMode": True},
    "docmanager-extension/plugin": {"autosaveInterval": 3600},
}


@dataclass(frozen=True)
class LabServer:
    """A running server: its address, the folder whose notebooks it opens, and under which path it opens them."""

    url: str
    folder: Path
    place: str = "lab/tree"

    def sessions(self) -> list[dict]:
        with urllib.request.urlopen(f"{self.url}/api/sessions", timeout=10) as answer:
            return json.load(answer)

    def end_sessions(self) -> None:
        """Shut down every kernel, as a restarted server would have."""
        for session in self.sessions():
            urllib.request.urlopen(
                urllib.request.Request(f"{self.url}/api/sessions/{session['id']}", method="DELETE"), timeout=30
            ).close()


def _free_port() -> int:
    with create_server(("127.0.0.1", 0)) as listener:
        return listener.getsockname()[1]


def _environment(home: Path) -> dict[str, str]:
    names = ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR", "JUPYTERLAB_SETTINGS_DIR")
    names += ("JUPYTERLAB_WORKSPACES_DIR", "IPYTHONDIR", "MPLCONFIGDIR")
    folders = {name: home / name.lower() for name in names}
    for folder in folders.values():
        folder.mkdir(parents=True)
    for place, settings in _QUIET.items():
        file = folders["JUPYTERLAB_SETTINGS_DIR"] / "@jupyterlab" / f"{place}.jupyterlab-settings"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(json.dumps(settings), encoding="utf-8")
    return {**os.environ, **{name: str(folder) for name, folder in folders.items()}}


#: Program -> its own options, and the path under which it opens notebooks.
_PROGRAMS = {
    "jupyterlab": (
        (
            "--LabApp.news_url=None",
            "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
            "--LabApp.extension_manager=readonly",
            "--LabApp.expose_app_in_browser=True",
        ),
        "lab/tree",
    ),
    "notebook": (("--JupyterNotebookApp.expose_app_in_browser=True",), "notebooks"),
}


@contextmanager
def lab_server(folder: Path, program: str = "jupyterlab") -> Iterator[LabServer]:
    """Start JupyterLab, or Notebook 7 (``notebook``), on `folder` and end it afterwards."""
    options, place = _PROGRAMS[program]
    with tempfile.TemporaryDirectory(prefix="lab-home-", ignore_cleanup_errors=True) as home:
        port = _free_port()
        log = Path(home) / "server.log"
        command = [
            sys.executable,
            "-m",
            program,
            "--no-browser",
            "--ip=127.0.0.1",
            f"--port={port}",
            "--allow-root",
        ]
        command += ["--IdentityProvider.token=", "--ServerApp.port_retries=0", f"--ServerApp.root_dir={folder}"]
        command += options
        command += ["--ServerApp.disable_check_xsrf=True"]  # so that a test may end kernels
        with log.open("w", encoding="utf-8") as out:
            process = subprocess.Popen(
                command, cwd=folder, env=_environment(Path(home)), stdout=out, stderr=subprocess.STDOUT
            )
            server = LabServer(f"http://127.0.0.1:{port}", folder, place)
            try:
                _wait_until_up(server, process, log)
                yield server
                server.end_sessions()
            finally:
                process.terminate()
                try:
                    process.wait(15)
                except subprocess.TimeoutExpired:
                    process.kill()
                    process.wait(15)


def _wait_until_up(server: LabServer, process: subprocess.Popen, log: Path) -> None:
    end = time.monotonic() + START_LIMIT_S
    while True:
        try:
            urllib.request.urlopen(f"{server.url}/api/status", timeout=2).close()
            return
        except OSError:
            if process.poll() is not None or time.monotonic() > end:
                raise RuntimeError(f"JupyterLab did not start:\n{log.read_text(encoding='utf-8')}") from None
            time.sleep(0.1)
