"""The command line again, each case a process of its own as a shell would start it."""

from __future__ import annotations

import os
import random
import subprocess
import sys
from collections.abc import Iterable

from tests.cli.running import environment
from tests.hostile.campaign import Outcome
from tests.hostile.command_campaign import Command, judged

PATIENCE = 60.0


def make(name: str) -> Processes:
    return Processes()


class Processes:
    """The lines of `command_campaign`, without what no shell can pass on (NUL)."""

    def __init__(self) -> None:
        self.inner = Command()

    def case(self, rnd: random.Random) -> Outcome:
        line = [word.replace("\x00", "") for word in self.inner.line(rnd)]
        words = [os.fsencode(word.encode("utf-8", "surrogateescape")) for word in line]
        done = subprocess.run(
            [sys.executable, "-m", "kb.cli", *words],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            env=environment(),
            timeout=PATIENCE,
            check=False,
        )
        return judged(line, done.returncode, done.stdout.decode(errors="replace"), done.stderr.decode(errors="replace"))

    def close(self) -> Iterable[str]:
        return self.inner.close()
