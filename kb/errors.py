"""Every fault a person can meet: a plain message, the place, and the next step.

Nothing else in the package words a fault for people. The command line prints `str(fault)`,
the browser pages show the same three parts.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

# Controls, line separators, marks that turn the direction of writing, halves of characters; not line break and tab.
_STEERING = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")


class Fault(Exception):
    """Something is wrong with what was given, and the giver can mend it.

    `message` says what, `place` says where (a file, line, field, flag), `step` says what to do next.
    """

    def __init__(self, message: str, *, place: str = "", step: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.place = place
        self.step = step

    def __str__(self) -> str:
        head = f"{self.place}: {self.message}" if self.place else self.message
        return f"{head}\n  next: {self.step}" if self.step else head

    def at(self, place: str) -> Fault:
        """The same fault with `place` in front of the place that it already names."""
        inner = f"{place}: {self.place}" if self.place else place
        return type(self)(self.message, place=inner, step=self.step)


class NotationFault(Fault):
    """Text that is not a value in workshop notation, or a value of another sort than is due."""


class RecordFault(Fault):
    """A record that breaks its kind's form."""


class UnknownName(Fault):
    """A part, kind, role, feature, rule or build that does not exist here."""


class StoreFault(Fault):
    """The database cannot be opened, read or written."""


class Faults(Fault):
    """Several faults found in one pass, told together."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        count = len(self.faults)
        super().__init__(f"{count} fault{'s' if count != 1 else ''} found, nothing was changed")

    def __str__(self) -> str:
        return "\n".join([*(str(fault) for fault in self.faults), self.message])


def visible(text: str) -> str:
    """`text` with what could steer a terminal, or cannot be shown, written out as `\\u001b`, which JSON reads back."""
    return _STEERING.sub(lambda found: f"\\u{ord(found.group()):04x}", text)


def near(name: str, known: Iterable[str], most: int = 3) -> str:
    """A "did you mean" phrase for `name` among `known`, or an empty string."""
    from difflib import get_close_matches

    names = list(known)
    close = get_close_matches(name[:80], names, n=most, cutoff=0.5)
    if not close:
        close = [other for other in names if name and name.lower()[:80] in other.lower()][:most]
    return f"did you mean {' or '.join(close)}?" if close else ""


def unknown(what: str, name: str, known: Iterable[str], *, place: str = "", list_with: str = "") -> UnknownName:
    """An UnknownName that shows what is near, else how to list what there is."""
    shown = name if len(name) <= 60 else name[:57] + "..."
    step = near(name, known) or (f"list them with: {list_with}" if list_with else "")
    return UnknownName(f"there is no {what} named {shown!r}", place=place, step=step)
