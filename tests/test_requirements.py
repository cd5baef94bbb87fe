"""pyproject.toml, environment.yml and what is installed agree, and every spec is read strictly."""

import importlib.metadata
import re
import tomllib
from pathlib import Path

import pytest
import yaml
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet
from packaging.utils import canonicalize_name
from rattler import MatchSpec

import musictheory_nb

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
ENVIRONMENT = yaml.safe_load((ROOT / "environment.yml").read_text(encoding="utf-8"))

PIP_REQUIREMENTS = [Requirement(text) for text in PROJECT["dependencies"] + PROJECT["optional-dependencies"]["test"]]
CONDA_SPECS = [text for text in ENVIRONMENT["dependencies"] if isinstance(text, str)]
CONDA_PIP = next(entry["pip"] for entry in ENVIRONMENT["dependencies"] if isinstance(entry, dict))
#: What conda itself needs beside the project's requirements.
CONDA_ONLY = {"python", "pip"}


def _bounds(text: str) -> SpecifierSet:
    return SpecifierSet(text.replace(" ", ""))


def test_environment_has_its_name_and_one_channel_with_no_mixture():
    assert ENVIRONMENT["name"] == "musictheory-nb"
    assert ENVIRONMENT["channels"] == ["conda-forge", "nodefaults"]


@pytest.mark.parametrize("text", CONDA_SPECS)
def test_conda_spec_is_read_strictly(text):
    spec = MatchSpec(text, strict=True)  # the conda specification's own reader (rattler)
    assert spec.name is not None
    assert spec.version, f"{text!r} has no version bound"


def test_conda_and_pip_ask_for_the_same():
    from_conda = {}
    for text in CONDA_SPECS:
        spec = MatchSpec(text, strict=True)
        name = canonicalize_name(re.split(r"[ <>=!]", text, maxsplit=1)[0])
        if name not in CONDA_ONLY:
            from_conda[name] = _bounds(str(spec.version))
    for text in CONDA_PIP:
        if text != "--editable .":
            requirement = Requirement(text)
            assert canonicalize_name(requirement.name) not in from_conda, f"{text!r} is asked for twice"
            from_conda[canonicalize_name(requirement.name)] = requirement.specifier
    assert from_conda == {canonicalize_name(r.name): r.specifier for r in PIP_REQUIREMENTS}
    assert "--editable ." in CONDA_PIP


def test_conda_and_pip_ask_for_the_same_python():
    spec = next(text for text in CONDA_SPECS if text.startswith("python "))
    assert _bounds(spec.removeprefix("python")) == SpecifierSet(PROJECT["requires-python"])


@pytest.mark.parametrize("requirement", PIP_REQUIREMENTS, ids=str)
def test_what_is_installed_satisfies_what_is_asked_for(requirement):
    assert requirement.specifier.contains(importlib.metadata.version(requirement.name), prereleases=True)


def test_one_version():
    assert importlib.metadata.version("musictheory-nb") == PROJECT["version"] == musictheory_nb.__version__
