"""What could fill a role: parts with what they cost here, and the empty place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple, Protocol

from kb.errors import Fault, unknown
from kb.records.part import Part
from kb.roles import base_role, role


class Recorded(Protocol):
    """What is read of a recorded build (`kb.store.read.BuildRecord`): entries with part, owned and price."""

    @property
    def roles(self) -> Mapping[str, Any]: ...

    @property
    def alternatives(self) -> Mapping[str, Sequence[Any]]: ...


class Candidate(NamedTuple):
    """One way to fill a role. part: None leaves it empty. price: in the build's currency, 0.0 owned, None unknown.

    considered: the build names it as under consideration. now: it fills the role at present.
    """

    part: Part | None
    price: float | None
    owned: bool = False
    considered: bool = False
    now: bool = False

    @property
    def id(self) -> str:
        """Id of the part; empty for the empty place."""
        return self.part.id if self.part else ""


def candidates_for(name: str, parts: Sequence[Part], record: Recorded | None = None) -> list[Candidate]:
    """The parts as candidates for the role (with or without a qualifier): by price, unknown last, then by id.

    A build's own word on a part in this role (owned, price) goes before the part's.
    """
    entries: dict[str, Any] = {}
    now = ""
    considered: set[str] = set()
    if record is not None:
        for entry in record.alternatives.get(name, ()):
            entries[entry.part] = entry
            considered.add(entry.part)
        if name in record.roles:
            now = record.roles[name].part
            entries[now] = record.roles[name]
    made = []
    for part in parts:
        said = entries.get(part.id)
        owned = bool(said and said.owned)
        price = part.price if said is None or said.price is None else said.price
        made.append(Candidate(part, 0.0 if owned else price, owned, part.id in considered, part.id == now))
    return sorted(made, key=_order)


def searched(
    asked: Sequence[str],
    recorded: Mapping[str, Sequence[Part]],
    filled: Sequence[str],
    record: Recorded | None = None,
    *,
    makers: Sequence[str] = (),
    owned: bool = False,
) -> dict[str, list[Candidate]]:
    """The candidates of every role asked.

    recorded: the parts there are, by kind. filled: roles that are fixed. makers: only these makers' parts; owned: only
    what the build has at hand. Fault where nothing is left to choose among, or a role is filled more than once.
    """
    made: dict[str, list[Candidate]] = {}
    for name in asked:
        kind = role(name).kind.kind
        several = [each for each in filled if each.startswith(f"{name}:")]
        if several and ":" not in name:
            raise Fault(
                f"the role {name} is filled {len(several)} time{'s' if len(several) != 1 else ''} here",
                place=name, step=f"say which one is searched: {', '.join(several[:6])}",
            )  # fmt: skip
        parts = recorded.get(kind, ())
        words = kind.replace("_", " ")
        if not parts:
            step = f"record some: matchmark blank {kind} prints the sheet, matchmark load reads it"
            raise Fault(f"no part of kind {words} is recorded, so nothing can fill the role {name}", step=step)
        for maker in makers:
            known = sorted({part.maker for each in recorded.values() for part in each if part.maker})
            if maker not in known:
                fault = unknown("maker", maker, known)
                fault.step = fault.step or f"there are: {', '.join(known[:20])}"
                raise fault
        some = [each for each in parts if not makers or each.maker in makers]
        found = [each for each in candidates_for(name, some, record) if not owned or each.owned]
        if not found:
            left = "that this build has at hand" if owned else f"of {' or '.join(makers)}"
            raise Fault(f"no {words} {left} is recorded", place=name, step="ask for fewer things at once")
        made[name] = found
    return made


def refuse_contradictions(asked: Sequence[str], given: Sequence[str]) -> None:
    """Fault where a role is searched twice, or searched and given at once (as a part, or by a value of it)."""
    for at, name in enumerate(asked):
        if name in asked[:at]:
            raise Fault(f"the role {name} is searched twice", place=name, step="name each role once")
        for each in given:
            if each.partition(".")[0] == name:
                raise Fault(
                    f"the role {name} is searched and given at the same time", place=each,
                    step=f"leave out {each}, or do not search {name}",
                )  # fmt: skip
        if ":" in name and base_role(name) in asked:
            raise Fault(
                f"{base_role(name)} and {name} are searched together", step="name both with what tells them apart"
            )


def _order(each: Candidate) -> tuple[bool, float, str]:
    return each.price is None, each.price or 0.0, each.id
