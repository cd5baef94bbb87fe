"""Lint, format and types, as ``ruff`` and ``mypy`` see them with the project's own settings."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.mark.parametrize(
    "command",
    [("ruff", "check", "."), ("ruff", "format", "--check", "."), ("mypy",)],
    ids=["lint", "format", "types"],
)
def test_clean(command, tmp_path):
    module, *rest = command
    cache = ["--cache-dir", str(tmp_path)]
    done = subprocess.run(
        [sys.executable, "-m", module, *rest, *cache], cwd=ROOT, capture_output=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
