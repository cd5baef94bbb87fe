"""Whether the kernel's widget libraries can talk to the JupyterLab that is open."""

from importlib.metadata import version

from musictheory_nb.errors import SetupError

#: Library -> the first major version that this package's widgets need. JupyterLab 4 speaks to ipywidgets 8 only.
NEEDED = (("ipywidgets", 8), ("anywidget", 0))


def check_environment() -> None:
    """Raise where a widget would stay blank, with what to do about it.

    Raises
    ------
    SetupError
        A library is older than the widgets need. (A missing one cannot be imported and says so itself.)

    Notes
    -----
    ipywidgets 7 in the kernel's environment shows nothing in a JupyterLab with its third generation of widgets, and gives
    no error.

    Examples
    --------
    >>> check_environment()
    """
    for name, least in NEEDED:
        found = version(name)
        if int(found.split(".")[0]) < least:
            raise SetupError(
                f"{name} {found!r} is installed where this notebook runs; version {least} or newer is needed. In that "
                f"environment run: python -m pip install --upgrade {name}, then restart the kernel"
            )
