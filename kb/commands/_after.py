"""What the commands that change a build print afterwards: what was written, which verdicts moved, what comes next."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING

from kb.commands._shared import print_json
from kb.terminal import say, width

if TYPE_CHECKING:
    from kb.ready.board import Board


def board_of(given: argparse.Namespace, build: str) -> Board:
    """The build's board as it stands now."""
    from kb.base import Base

    with Base(given.db) as base:
        return base.ready(build)


def changed(given: argparse.Namespace, before: Board | None, build: str, done: Sequence[str]) -> int:
    """Say what was written and what it changed; `before` is None for a build that there was not."""
    from kb.say.ready import as_json, change_lines, next_lines, overall, verdict_changes

    after = board_of(given, build)
    moved = verdict_changes(before.answer, after.answer) if before is not None else []
    if given.json:
        print_json(
            {
                "done": list(done),
                "changed": [{"name": name, "before": old, "after": new} for name, old, new in moved],
                "board": as_json(after, system=given.units),
            }
        )
        return 0
    for line in done:
        say(line)
    if before is not None:
        say("\n".join(change_lines(before.answer, after.answer, width())))
        if overall(before) != overall(after):
            say(f"  {overall(after)}")
    say("")
    say("\n".join(next_lines(after, width(), given.units)))
    return 0
