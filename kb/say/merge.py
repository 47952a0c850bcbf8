"""What a merge came to, in words."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import Any, NamedTuple

Name = tuple[str, str]


class Difference(NamedTuple):
    """What two records say of one field (`field` empty: of the whole), as shown to people. step: how to settle it."""

    kind: str
    id: str
    field: str
    ours: str
    theirs: str
    step: str


class Joined(NamedTuple):
    """A reading of theirs that joined ours. contradiction: what the part says when they disagree."""

    kind: str
    id: str
    path: str
    text: str
    contradiction: str = ""


class Merged(NamedTuple):
    """What a merge came to. Names are (kind, id).

    added; same: nothing new; ours_newer, theirs_newer: one is an earlier state of the other by the history; joined:
    readings; filled: what ours lacked; reports: voices on a clash; left: what differs; twins: (kind, theirs, ours) of
    what is one thing under two ids and was joined; alike: of what may be one, and was added; renamed: of readings that
    got a new id, since ours has another under theirs; pictures: how many came along; tried: nothing was written.
    """

    added: tuple[Name, ...] = ()
    same: tuple[Name, ...] = ()
    ours_newer: tuple[Name, ...] = ()
    theirs_newer: tuple[Name, ...] = ()
    joined: tuple[Joined, ...] = ()
    filled: tuple[tuple[str, str, str], ...] = ()
    reports: tuple[tuple[str, str], ...] = ()
    left: tuple[Difference, ...] = ()
    twins: tuple[tuple[str, str, str], ...] = ()
    alike: tuple[tuple[str, str, str], ...] = ()
    renamed: tuple[tuple[str, str, str], ...] = ()
    pictures: int = 0
    tried: bool = False

    @property
    def contradictions(self) -> tuple[Joined, ...]:
        """Joined readings after which the part's readings disagree."""
        return tuple(each for each in self.joined if each.contradiction)


def as_json(found: Merged, system: str = "mm") -> dict[str, Any]:
    """Plain data: every list of the merge, records as kind/id."""
    names = ("added", "same", "ours_newer", "theirs_newer")
    told: dict[str, Any] = {name: ["/".join(each) for each in getattr(found, name)] for name in names}
    told["joined"] = [each._asdict() for each in found.joined]
    told["filled"] = [{"record": f"{kind}/{id}", "field": field} for kind, id, field in found.filled]
    told["reports"] = [{"incompatibility": id, "by": by} for id, by in found.reports]
    told["left"] = [each._asdict() for each in found.left]
    for name in ("twins", "alike", "renamed"):
        told[name] = [{"kind": kind, "theirs": theirs, "ours": ours} for kind, theirs, ours in getattr(found, name)]
    told["pictures"] = found.pictures
    told["written"] = not found.tried
    return told


def as_text(found: Merged, *, width: int = 80, system: str = "mm") -> str:
    """What was added, what agreed, what joined, and what differs and was left, each with the step that settles it."""
    agreeing = [each for each in found.joined if not each.contradiction]
    sections: list[tuple[int, str, Iterable[str]]] = [
        (len(found.added), "added", (f"{kind} {id}" for kind, id in found.added)),
        (len(found.same), "the same in both", ()),
        (len(found.theirs_newer), "taken from them: yours is an earlier state of theirs",
         (f"{kind} {id}" for kind, id in found.theirs_newer)),
        (len(found.ours_newer), "kept: theirs is an earlier state of yours",
         (f"{kind} {id}" for kind, id in found.ours_newer)),
        (len(agreeing), "readings joined yours", (f"{one.kind} {one.id}, {one.path}: {one.text}" for one in agreeing)),
        (len(found.contradictions), "readings joined yours and contradict them; both are kept",
         (f"{one.kind} {one.id}, {one.path}: {one.contradiction}" for one in found.contradictions)),
        (len(found.filled), "fields filled in that you had not recorded",
         (f"{kind} {id}: {field}" for kind, id, field in found.filled)),
        (len(found.reports), "voices joined your incompatibilities", (f"{id}: {by}" for id, by in found.reports)),
        (len(found.twins), "are one thing under two ids, and joined",
         (f"{kind}: their {theirs} is your {ours}" for kind, theirs, ours in found.twins)),
        (len(found.alike), "look like one thing under two ids", (_alike(*each) for each in found.alike)),
        (len(found.renamed), "got another id, since yours has one of that id",
         (f"{kind}: their {theirs} is now {ours}" for kind, theirs, ours in found.renamed)),
        (found.pictures, "pictures came along", ()),
    ]  # fmt: skip
    out: list[str] = []
    for count, words, lines in sections:
        if count or words in ("added", "the same in both"):
            out.append(f"{count} {words}")
            out += _rows(lines, width)
    if found.left:
        out.append(f"{len(found.left)} differ and were left as yours say")
        for one in found.left:
            where = f"{one.kind} {one.id}" + (f", {one.field}" if one.field else "")
            out += _rows([f"{where}: yours {one.ours}; theirs {one.theirs}"], width)
            out += _rows([f"  next: {one.step}"], width)
    if found.tried:
        out.append("nothing was written: this was a try")
    return "\n".join(out) + "\n"


def _rows(lines: Iterable[str], width: int, most: int = 12) -> list[str]:
    every = list(lines)
    out = [
        textwrap.fill(line, width, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)
        for line in every[:most]
    ]
    return [*out, f"  ... and {len(every) - most} more (all of them with --json)"] if len(every) > most else out


def _alike(kind: str, theirs: str, ours: str) -> str:
    if kind == "incompatibility":
        return (
            f"{kind}: their {theirs} names the parts of your {ours}, with another harm; refute one if they are the same"
        )
    return f"{kind}: their {theirs} has maker and number of your {ours}; base one on the other, or keep one"
