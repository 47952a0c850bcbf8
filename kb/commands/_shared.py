"""What several commands share: flags of an answer, words as name=value, a progress bar."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterable
from typing import Any

from kb.errors import Fault
from kb.terminal import say


def answer_options(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--json", action="store_true", help="print plain data for a script")
    sub.add_argument("--units", choices=("mm", "in", "in64"), default="mm", help="units of what is printed")


def print_json(found: Any) -> None:
    """Plain data as JSON."""
    import json

    say(json.dumps(found, indent=2, ensure_ascii=False))


def targets(words: Iterable[str]) -> tuple[str, dict[str, str], dict[str, str]]:
    """(build, roles, overrides) from the words of `check`."""
    build = ""
    roles: dict[str, str] = {}
    overrides: dict[str, str] = {}
    for word in words:
        if "=" not in word:
            if build:
                raise Fault(
                    f"two builds are named: {build[:40]} and {word[:40]}", step="name one build; parts are role=part"
                )
            build = word
            continue
        name, value = pair(word, "WHAT")
        once(overrides if "." in name else roles, name, value)
    return build, roles, overrides


def once(target: dict[str, str], name: str, value: str) -> None:
    if name in target:
        raise Fault(f"{name[:60]} is given twice", place=f"{name[:60]}={value[:40]}", step="give it once")
    target[name] = value


def pair(word: str, where: str) -> tuple[str, str]:
    name, sep, value = word.partition("=")
    if not sep or not name.strip() or not value.strip():
        raise Fault(f"{word[:60]!r} is no name=value", place=where, step="write for example pan=deep-pan")
    return name.strip(), value.strip()


class Progress:
    """A progress bar on a terminal, one a stage of the work; nothing where nobody watches."""

    def __init__(self) -> None:
        self._bar: Any = None
        self._stage = ""

    def __enter__(self) -> Callable[[str, int, int], None]:
        return self._tell

    def __exit__(self, *_: object) -> None:
        self._close()

    def _close(self) -> None:
        if self._bar is not None:
            self._bar.__exit__(None, None, None)
            self._bar = None

    def _tell(self, stage: str, done: int, total: int) -> None:
        if stage != self._stage:
            from click import progressbar

            self._close()
            self._stage = stage
            self._bar = progressbar(length=total, label=stage, file=sys.stderr, hidden=not sys.stderr.isatty())
            self._bar.__enter__()
        self._bar.update(done - self._bar.pos)
