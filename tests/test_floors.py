"""Imports go one way: from the bottom of the layout in DEVELOPERS.md up to what stands above it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent
LAYOUT = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Layout")[2].partition("\n## ")[0]
ROWS = re.findall(r"^\| (`.+?) \|", LAYOUT, re.MULTILINE)
# A floor a row of the table; each names modules (`units.py`, `unit_table`) and packages (`standards/`).
FLOORS = [[name.removesuffix(".py").rstrip("/") for name in re.findall(r"`([^`]+)`", row)] for row in ROWS]
FLOOR = {name: number for number, names in enumerate(FLOORS) for name in names}
MODULES = sorted((TOP / "kb").rglob("*.py"))
# What the command line's hot path must not meet, and what only the store and the faces may touch.
GUARDED = {"sqlite3", "click", "datasette", "sqlite_utils"}


def named(path: Path) -> str:
    """kb/store/read.py -> kb.store.read"""
    parts = path.relative_to(TOP).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def floor_of(module: str) -> int | None:
    """The number of the module's floor, top down; None for `kb` itself, which only hands out names."""
    parts = module.split(".")
    return FLOOR[parts[1]] if len(parts) > 1 else None


def imports(path: Path) -> Iterator[tuple[str, int, bool]]:
    """(module, line, whether it counts at run time) of every import in a file, those inside functions too.

    `from kb import units` names the module kb.units.
    """
    tree = ast.parse(path.read_text(encoding="utf-8"))
    unreal = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and getattr(node.test, "id", "") == "TYPE_CHECKING"
        for inner in ast.walk(node)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for each in node.names:
                yield each.name, node.lineno, id(node) not in unreal
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: a relative import"
            assert node.module
            for each in node.names:
                inner = f"{node.module}.{each.name}"
                file = TOP / inner.replace(".", "/")
                yield (
                    inner if file.is_dir() or file.with_suffix(".py").is_file() else node.module,
                    node.lineno,
                    id(node) not in unreal,
                )


def test_the_table_names_every_module_and_nothing_else() -> None:
    there = {path.stem if path.is_file() else path.name for path in (TOP / "kb").iterdir() if path.name[0] not in "_."}
    there -= {"data", "py.typed", "py"}  # no code
    assert there == set(FLOOR)


def test_the_table_is_read() -> None:
    assert FLOORS[0] == ["errors"]
    assert FLOORS[-1][-1] == "web"
    assert floor_of("kb.units") == floor_of("kb.unit_show") == floor_of("kb.designations")
    assert floor_of("kb.store.read") < floor_of("kb.base") < floor_of("kb.cli")  # type: ignore[operator]


@pytest.mark.parametrize("path", MODULES, ids=[named(path) for path in MODULES])
def test_a_module_imports_only_from_its_own_floor_and_above(path: Path) -> None:
    here = floor_of(named(path))
    if here is None:
        return
    wrong = [
        f"{path.name}:{line} imports {module}"
        for module, line, _ in imports(path)
        if module.startswith("kb.") and (floor_of(module) or 0) > here
    ]
    assert not wrong


@pytest.mark.parametrize("path", MODULES, ids=[named(path) for path in MODULES])
def test_databases_and_the_web_stay_below_the_store(path: Path) -> None:
    here = floor_of(named(path))
    if here is not None and here >= FLOOR["store"]:
        return
    assert [f"{line}: {module}" for module, line, _ in imports(path) if module.split(".")[0] in GUARDED] == []


def test_no_module_imports_itself_in_a_ring() -> None:
    """Imports at the top of modules alone: a ring of them would hang on which module is asked for first."""
    edges: dict[str, set[str]] = {}
    names = {named(path) for path in MODULES}
    for path in MODULES:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        lines = {node.lineno for node in tree.body if isinstance(node, (ast.Import, ast.ImportFrom))}
        edges[named(path)] = {module for module, line, _ in imports(path) if line in lines and module in names}
    rings = [name for name in edges if name in reachable(edges, name)]
    assert rings == []


def reachable(edges: dict[str, set[str]], start: str) -> set[str]:
    found: set[str] = set()
    waiting = list(edges[start])
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting.extend(edges[name])
    return found
