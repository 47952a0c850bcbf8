"""What the command line's parts share: printing that nothing can steer or break, the terminal's width, who is there."""

from __future__ import annotations

import os
import sys
from contextlib import suppress

from kb.errors import Fault, visible


def say(text: str, end: str = "\n") -> None:
    """Print for people and scripts: nothing in `text` steers a terminal. Fault if it cannot be written."""
    text = visible(text)
    if sys.stdout is None:
        return
    code = sys.stdout.encoding or "utf-8"
    if not code.lower().startswith("utf"):
        text = text.replace("±", "+/-").encode(code, "replace").decode(code)
    try:
        print(text, end=end, flush=True)
    except BrokenPipeError:
        # The reader of our output has gone (`| head`): nothing is wrong, and the exit status stands.
        _mute()
    except OSError as error:
        _mute()
        step = "make room, or send the output elsewhere"
        raise Fault(f"the output cannot be written: {error.strerror}", step=step) from None


def _mute() -> None:
    """Send what Python still holds for the output nowhere, so that it does not fail once more at the end."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def complain(text: str) -> None:
    """Print a fault where faults go; silent where even that is closed."""
    with suppress(OSError):
        print(visible(text), file=sys.stderr, flush=True)


def width() -> int:
    """Columns to lay text out in."""
    try:
        columns = os.get_terminal_size().columns
    except OSError:
        columns = 80
    return max(40, min(columns, 100))


def who() -> str:
    """The login name, for the history."""
    from getpass import getuser

    try:
        return getuser()
    except (OSError, KeyError, ImportError):
        return "unknown"
