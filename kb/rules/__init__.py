"""The rule catalogue: one question a file, in folders by subsystem.

`load_rules()` imports every module below this package and `kb.derive`; a new file is found by itself.
"""

from __future__ import annotations

import os
from importlib import import_module

from kb.errors import unknown
from kb.rules._rule import DERIVATIONS, RULES, Rule


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


def load_rules() -> dict[str, Rule]:
    """All rules by id, in a stable order (subsystem folder, then file name)."""
    if not _LOADED:
        for name in [*_modules("kb.derive"), *_modules("kb.rules")]:
            import_module(name)
        _LOADED.append(True)
    return RULES


_LOADED: list[bool] = []


def rule_named(name: str, *, place: str = "") -> Rule:
    """One rule; UnknownName says what is near."""
    rules = load_rules()
    if name not in rules:
        raise unknown("rule", name, rules, place=place, list_with="matchmark rules")
    return rules[name]


__all__ = ["DERIVATIONS", "RULES", "Rule", "load_rules", "rule_named"]
