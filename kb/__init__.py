"""Matchmark: will these parts fit together?

    from kb import Base
    with Base("matchmark.db") as base:
        for finding in base.check("drover").findings:
            print(finding.rule.id, finding.verdict, finding.margin)

Names are loaded when they are first used, so that importing the package costs next to nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kb.base import Base
    from kb.build import Build
    from kb.chance import Settings
    from kb.errors import Fault
    from kb.judge import Answer, Finding
    from kb.report import as_json, as_text
    from kb.rules import load_rules, rule_named
    from kb.store.dump import dump
    from kb.store.load import init, load

__version__ = "0.1.0"

_HOME = {
    "Answer": "kb.judge",
    "Base": "kb.base",
    "Build": "kb.build",
    "Fault": "kb.errors",
    "Finding": "kb.judge",
    "Settings": "kb.chance",
    "as_json": "kb.report",
    "as_text": "kb.report",
    "dump": "kb.store.dump",
    "init": "kb.store.load",
    "load": "kb.store.load",
    "load_rules": "kb.rules",
    "rule_named": "kb.rules",
}

__all__ = [
    "Answer",
    "Base",
    "Build",
    "Fault",
    "Finding",
    "Settings",
    "as_json",
    "as_text",
    "dump",
    "init",
    "load",
    "load_rules",
    "rule_named",
]


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module 'kb' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOME[name]), name)
