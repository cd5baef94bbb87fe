"""Old widget libraries are named, with what to do, instead of a blank page.

That ipywidgets 7 shows nothing in JupyterLab 4 (widgets of the third generation) is stated in ipywidgets' migration
guide for version 8 (from memory).
"""

import pytest

from musictheory_nb.errors import SetupError
from musictheory_nb.widgets import environment_check
from musictheory_nb.widgets.lesson_session import open_lesson


def test_ipywidgets_7_is_refused_with_advice(monkeypatch):
    monkeypatch.setattr(environment_check, "version", lambda name: {"ipywidgets": "7.8.5"}.get(name, "0.9.13"))
    with pytest.raises(SetupError, match=r"ipywidgets '7\.8\.5'.*pip install --upgrade ipywidgets"):
        open_lesson("demo")


def test_what_is_installed_here_is_new_enough():
    environment_check.check_environment()
