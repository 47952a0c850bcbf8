"""docs/dependencies.md names every package that a run or a test needs, under the licence that the package states."""

from __future__ import annotations

import re
import tomllib
from importlib import metadata
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement

TOP = Path(__file__).parents[2]
PROJECT = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
PAGE = (TOP / "docs" / "dependencies.md").read_text(encoding="utf-8")
DIRECT = {"run": PROJECT["dependencies"], "tests": PROJECT["optional-dependencies"]["test"]}
# Families of licences, as their names are written in metadata; what is none of them is to be looked at by a person.
FAMILIES = {
    "0bsd": r"\b0BSD\b", "bsd": r"\bBSD\b", "mit": r"\bMIT\b", "apache": r"\bApache\b",
    "mpl": r"\bMPL\b|Mozilla Public", "psf": r"\bPSF\b|Python Software Foundation",
    "zlib": r"\bZlib\b", "cc0": r"\bCC0\b", "public": r"public domain",
}  # fmt: skip
FAR_REACHING = re.compile(r"GPL|General Public|SSPL|EUPL|proprietary|commercial", re.IGNORECASE)


def plain(name: str) -> str:
    """A package's name as indexes compare it (PEP 503)."""
    return re.sub(r"[-_.]+", "-", name).lower()


def rows(heading: str) -> dict[str, str]:
    """package -> licence of the table under this heading."""
    section = PAGE.partition(f"## {heading}\n")[2].partition("\n## ")[0]
    found = re.findall(r"^\| ([a-z0-9-]+) \| ([^|]+) \| [^|]+ \|$", section, re.MULTILINE)
    return {name: licence for name, licence in found if name != "package"}


RUN, TESTS = rows("Needed to run"), rows("Needed for the tests only")


def installed(needs: list[str]) -> dict[str, metadata.Distribution]:
    """Everything installed that these requirements come to on this machine, one through another."""
    found: dict[str, metadata.Distribution] = {}
    waiting = [(Requirement(each), "") for each in needs]
    seen: set[tuple[str, str]] = set()
    while waiting:
        need, extra = waiting.pop()
        if need.marker and not need.marker.evaluate({"extra": extra}):
            continue
        try:
            package = metadata.distribution(need.name)
        except metadata.PackageNotFoundError:
            continue
        found[plain(need.name)] = package
        for each in {"", *need.extras} - {extra for name, extra in seen if name == plain(need.name)}:
            seen.add((plain(need.name), each))
            waiting += [(Requirement(inner), each) for inner in package.requires or []]
    return found


def stated(package: metadata.Distribution) -> str:
    """The licence that a package states: its expression, else its classifiers, else the first line of the old field."""
    said: Any = package.metadata
    classifiers = [text for text in said.get_all("Classifier") or [] if text.startswith("License ::")]
    return said.get("License-Expression") or " ".join(classifiers) or (said.get("License") or "").partition("\n")[0]


def families(licence: str) -> set[str]:
    return {name for name, pattern in FAMILIES.items() if re.search(pattern, licence, re.IGNORECASE)}


@pytest.mark.parametrize(("sort", "told"), [("run", RUN), ("tests", {**RUN, **TESTS})])
def test_every_package_is_listed(sort: str, told: dict[str, str]) -> None:
    direct = {plain(Requirement(each).name) for each in DIRECT[sort]}
    assert direct <= told.keys()
    found = installed(DIRECT[sort])
    assert direct & found.keys(), "none of the packages is installed: nothing was compared"
    assert not found.keys() - told.keys(), "look at the licence of these, then list them in docs/dependencies.md"


@pytest.mark.parametrize("name", [*RUN, *TESTS])
def test_the_licence_is_the_one_that_the_package_states(name: str) -> None:
    told = {**RUN, **TESTS}[name]
    assert families(told)
    assert not FAR_REACHING.search(told)
    try:
        package = metadata.distribution(name)
    except metadata.PackageNotFoundError:
        pytest.skip(f"{name} is not installed")
    licence = stated(package)
    if not licence:  # stated in a file only
        files = [each for each in package.files or () if each.name.upper().startswith("LICEN")]
        licence = " ".join(each.read_text(encoding="utf-8") for each in files)[:300]
    assert not FAR_REACHING.search(licence), licence
    assert families(licence) == families(told), licence


def test_families_are_told_apart() -> None:
    assert families("BSD-3-Clause AND 0BSD") == {"bsd", "0bsd"}
    assert families("0BSD") == {"0bsd"}
    assert families("GPL-3.0-only") == set()
    assert FAR_REACHING.search("GNU Affero General Public License v3")
