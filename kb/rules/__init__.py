"""The rule catalogue: one question a file, in folders by subsystem.

A new file is found by itself. `_index.py` (written by `python -m kb.publish`) only says which roles each rule reads, so
that a check imports the rules that it can ask and no others.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable
from importlib import import_module
from typing import NamedTuple

from kb.errors import unknown
from kb.rules._index import DERIVED, INDEXED
from kb.rules._rule import DERIVATIONS, RULES, Derivation, Rule


class Entry(NamedTuple):
    """A rule by name, not yet imported."""

    id: str
    subsystem: str
    module: str
    roles: tuple[str, ...]


def _modules(package: str) -> list[str]:
    """Names of the rule modules below `package`, sorted; read off the folder, which is all that start-up can afford."""
    found: list[str] = []
    for folder in import_module(package).__path__:
        for entry in os.scandir(folder):
            if entry.name.startswith(("_", ".")):
                continue
            if entry.is_dir():
                found.extend(_modules(f"{package}.{entry.name}"))
            elif entry.name.endswith(".py"):
                found.append(f"{package}.{entry.name[:-3]}")
    return sorted(found)


def entries() -> list[Entry]:
    """Every rule there is, by subsystem and file name; a file that the index does not know yet is imported."""
    if not _ENTRIES:
        known = {row[2]: Entry(*row) for row in INDEXED}
        for module in _modules("kb.rules"):
            if module in known:
                _ENTRIES.append(known[module])
            else:
                import_module(module)
                _ENTRIES.extend(
                    Entry(rule.id, rule.subsystem, module, rule.roles)
                    for rule in RULES.values()
                    if rule.module == module
                )
    return _ENTRIES


def loaded(entry: Entry) -> Rule:
    """The rule itself; a rule with a qualifier in its file name is found under its own id."""
    if entry.id not in RULES:
        import_module(entry.module)
    return RULES[entry.id]


def load_rules() -> dict[str, Rule]:
    """All rules by id, in a stable order (subsystem folder, then file name)."""
    return {entry.id: loaded(entry) for entry in entries()}


def askable(filled: Collection[str]) -> tuple[list[Rule], list[tuple[Entry, str]]]:
    """The rules whose roles are all filled, and the others with what they lack: ("no pickup")."""
    ask, lacking = [], []
    for entry in entries():
        empty = [role for role in entry.roles if role not in filled]
        if empty:
            lacking.append((entry, "no " + ", no ".join(empty)))
        else:
            ask.append(loaded(entry))
    return ask, lacking


def rule_named(name: str, *, place: str = "") -> Rule:
    """One rule; UnknownName says what is near."""
    for entry in entries():
        if entry.id == name:
            return loaded(entry)
    raise unknown("rule", name, [entry.id for entry in entries()], place=place, list_with="matchmark rules")


def chosen_rules(names: Iterable[str] = (), subsystem: str = "") -> list[Rule]:
    """The rules with these names, each once, else those of the subsystem, else all."""
    named = [rule_named(name) for name in dict.fromkeys(names)]
    if named:
        return named
    rules = list(load_rules().values())
    if subsystem:
        subsystems = list(dict.fromkeys(rule.subsystem for rule in rules))
        if subsystem not in subsystems:
            fault = unknown("subsystem", subsystem, subsystems)
            fault.step = fault.step or f"it is one of: {', '.join(subsystems)}"
            raise fault
        rules = [rule for rule in rules if rule.subsystem == subsystem]
    return rules


def derivations(feature: str) -> list[Derivation]:
    """The ways in which `role.feature` follows from others."""
    if not _DERIVED:
        known = {module for modules in DERIVED.values() for module in modules}
        for module in _modules("kb.derive"):
            if module not in known:
                import_module(module)
        _DERIVED.append(True)
    for module in DERIVED.get(feature, ()):
        import_module(module)
    return DERIVATIONS.get(feature, [])


def load_derivations() -> None:
    """Import every derivation there is."""
    for module in _modules("kb.derive"):
        import_module(module)


_ENTRIES: list[Entry] = []
_DERIVED: list[bool] = []

__all__ = [
    "RULES",
    "Entry",
    "Rule",
    "askable",
    "chosen_rules",
    "derivations",
    "entries",
    "load_derivations",
    "load_rules",
    "loaded",
    "rule_named",
]
