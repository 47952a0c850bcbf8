"""What `matchmark check` imports before it answers: the spine, the rules that it can ask, and nothing heavy."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from kb.rules import entries
from tests.cli.running import TOP, environment

HEAVY = {
    "numpy", "scipy", "pint", "pydantic", "pydantic_core", "sqlite_utils", "datasette", "click", "yaml", "dataclasses",
    "inspect", "importlib.metadata", "hashlib", "pathlib", "asyncio", "logging", "shutil", "tempfile", "subprocess",
    "decimal", "fractions", "statistics", "random", "ast", "tokenize", "urllib.parse",
}  # fmt: skip
# Everything of ours that any check needs; what is added here costs every check.
SPINE = {
    "kb", "kb.base", "kb.build", "kb.chance", "kb.cli", "kb.commands", "kb.commands._shared", "kb.commands.check",
    "kb.derive", "kb.designations", "kb.draws", "kb.errors", "kb.explain", "kb.finding", "kb.judge", "kb.known",
    "kb.measure", "kb.measuring_words", "kb.missing", "kb.odds", "kb.opened", "kb.records", "kb.records._index",
    "kb.records._kind", "kb.records.builds", "kb.records.kinds", "kb.records.part", "kb.records.values",
    "kb.report", "kb.roles", "kb.rules", "kb.rules._index", "kb.rules._rule", "kb.smooth", "kb.sources",
    "kb.stations", "kb.store", "kb.store.opening", "kb.store.read", "kb.sums", "kb.terminal", "kb.typed_values",
    "kb.unit_show", "kb.unit_table", "kb.units",
}  # fmt: skip
LOADED = """
import json, sys
from kb.cli import main
status = main(sys.argv[1:])
print("\\nLOADED", json.dumps([status, sorted(sys.modules)]))
"""


def loaded(*words: str) -> tuple[int, set[str]]:
    """(exit status, modules in memory) of a run of the command."""
    done = subprocess.run(
        [sys.executable, "-c", LOADED, *words], capture_output=True, text=True, env=environment(), timeout=60
    )
    assert done.stderr == ""
    status, modules = json.loads(done.stdout.rpartition("LOADED")[2])
    return status, set(modules)


def heavy(modules: set[str]) -> set[str]:
    return modules & HEAVY


@pytest.fixture(scope="module")
def pair(sample: str) -> tuple[int, set[str]]:
    parts = ("block=calder-38", "pan=calder-38-pan", "pickup=calder-38-pickup", "pan_gasket=calder-38-gasket")
    return loaded("check", "--db", sample, *parts)


def test_a_check_of_one_combination_imports_nothing_heavy(pair: tuple[int, set[str]]) -> None:
    status, modules = pair
    assert status == 3  # the pump's side of the joint is not named, so something cannot be told
    assert heavy(modules) == set()


def test_a_check_imports_the_spine_and_the_rules_that_it_can_ask(pair: tuple[int, set[str]]) -> None:
    ours = {name for name in pair[1] if name.split(".")[0] == "kb"}
    rules = {name for name in ours if name.count(".") == 3 and name.startswith("kb.rules.")}
    asked = {name for name in rules if not name.rpartition(".")[2].startswith("_")}
    filled = {"block", "pan", "pickup", "pan_gasket"}
    assert asked == {each.module for each in entries() if set(each.roles) <= filled}
    # Helpers of a subsystem only beside a rule of it.
    assert {name.split(".")[2] for name in rules} == {name.split(".")[2] for name in asked}
    tables = {name for name in ours if name.startswith(("kb.standards", "kb.derive.", "kb.maths"))}
    folders = {name for name in ours if name.startswith("kb.rules.") and name.count(".") == 2 and "._" not in name}
    kinds = {name for name in ours if name.startswith("kb.records.kinds.")}
    assert ours - rules - tables - folders - kinds == SPINE
    assert kinds == {"kb.records.kinds.engine", "kb.records.kinds.sump"}  # the files of the four kinds


def test_a_whole_build_that_needs_no_drawing_imports_nothing_heavy(sample: str) -> None:
    status, modules = loaded("check", "--db", sample, "pair-fits", "--json")
    assert status == 0
    assert heavy(modules) == set()


def test_faults_are_told_without_anything_heavy(sample: str) -> None:
    for words in (("drovr",), ("drover", "pan.sump_depth=3 bar"), ("drover", "--rule", "nope")):
        done = subprocess.run(
            [sys.executable, "-c", LOADED, "check", "--db", sample, *words], capture_output=True, text=True,
            env=environment(), timeout=60,
        )  # fmt: skip
        status, modules = json.loads(done.stdout.rpartition("LOADED")[2])
        assert status == 2
        assert heavy(set(modules)) == set()


def test_importing_the_package_imports_nothing_of_it() -> None:
    code = "import sys, kb; print([name for name in sys.modules if name.startswith('kb.')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=environment(), timeout=60)
    assert done.stdout.strip() == "[]"


def test_the_names_of_the_package_are_there() -> None:
    import kb

    assert sorted(kb.__all__) == list(kb.__all__)
    assert all(callable(getattr(kb, name)) for name in kb.__all__)
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = kb.nothing


def test_the_version_is_that_of_the_distribution() -> None:
    import tomllib

    import kb

    project = tomllib.loads(Path(TOP, "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert kb.__version__ == project["version"]
