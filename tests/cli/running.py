"""The command run as a process of its own, and talked to through a terminal of its own."""

from __future__ import annotations

import os
import pty
import select
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

TOP = Path(__file__).parent.parent.parent
COMMAND = [sys.executable, "-m", "kb.cli"]
PATIENCE = 60.0  # seconds that an answer may take on a slow machine


class Ran(NamedTuple):
    """What a run of the command came to; every one is looked through for tracebacks."""

    status: int
    out: str
    err: str

    @property
    def step(self) -> str:
        """The next step that a fault names, else nothing."""
        return self.err.partition("\n  next: ")[2].partition("\n")[0]

    def clean(self) -> Ran:
        """Itself, once it holds no traceback and owns up to no fault of the program."""
        for text in (self.out, self.err):
            assert "Traceback" not in text, text
            assert "fault in Matchmark itself" not in text, text
            assert "Exception ignored" not in text, text
        return self


def environment(**more: str) -> dict[str, str]:
    """This process's environment without what would steer the command, and with `more`."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("MATCHMARK")}
    return {**kept, "PYTHONPATH": str(TOP), **more}


def process(*words: str, cwd: Path | None = None, stdin: str = "", **env: str) -> Ran:
    """Run the command to its end."""
    done = subprocess.run(
        [*COMMAND, *words], input=stdin.encode(), capture_output=True, cwd=cwd, env=environment(**env), timeout=PATIENCE
    )
    return Ran(done.returncode, done.stdout.decode("utf-8", "replace"), done.stderr.decode("utf-8", "replace")).clean()


def talk(words: Sequence[str], answers: Sequence[tuple[str, str]], cwd: Path) -> Ran:
    """Run the command on a terminal, and type each answer once its prompt (a piece of it) has been shown."""
    pid, terminal = pty.fork()
    if pid == 0:  # the child: it becomes the command
        signal.signal(signal.SIGINT, signal.SIG_DFL)
        os.chdir(cwd)
        os.execve(sys.executable, [*COMMAND, *words], environment(TERM="dumb", COLUMNS="80"))
    shown, mark = "", 0
    deadline = time.monotonic() + PATIENCE
    waiting = list(answers)
    while time.monotonic() < deadline:
        if waiting and waiting[0][0] in shown[mark:]:
            mark = len(shown)
            if waiting[0][1].isprintable() is False and len(waiting[0][1]) == 1:
                # A signal between the prompt and the read behind it would wait for the next key, as with any Python.
                time.sleep(0.5)
            os.write(terminal, waiting.pop(0)[1].encode())
        if not select.select([terminal], [], [], 0.1)[0]:
            continue
        try:
            piece = os.read(terminal, 4096)
        except OSError:  # how a terminal says that its program has ended
            break
        if not piece:
            break
        shown += piece.decode("utf-8", "replace")
    else:
        os.kill(pid, signal.SIGKILL)
    os.close(terminal)
    status = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    assert not waiting, f"never asked {waiting[0][0]!r}: {shown}"
    return Ran(status, shown.replace("\r\n", "\n"), "").clean()
