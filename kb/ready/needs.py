"""What a milestone needs of a build: roles that must be filled, items that must be ticked, circuits that must be whole.

The needs are data (`kb/data/needs.json`) with the conditions under which each applies: a converter for an automatic
gearbox, a regulator for an electric pump. A condition that hangs on a part that nobody has chosen yet makes that part
the need; one that hangs on a feature that nobody recorded makes the record the need.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, NamedTuple

from kb.build import Build
from kb.circuit.conditions import settled
from kb.errors import unknown
from kb.records.part import Part
from kb.roles import base_role, role
from kb.rules._rule import MILESTONES
from kb.sources import Source, source

SORTS = ("role", "any_of", "item", "circuit", "choose", "record")
LISTS = ("first_start", "small_parts")  # roles whose features are the items that are ticked

MET, LACKING, UNDECIDED, BY_CIRCUIT = "met", "lacking", "undecided", "by circuit"


class Need(NamedTuple):
    """One need of a milestone.

    sort: one of SORTS; `choose` is a role that decides whether another need applies, `record` a feature that does.
    roles: the role, or for any_of those of which one must be filled. item: what is ticked, or the feature to record as
    `role.feature`. such: what the part in a role must be. state: 'met', 'lacking', 'undecided' (its part is there, and
    its record does not say whether it will do), 'by circuit' (the circuit itself says). decides: ids of the needs that
    hang on a `choose` or `record`.
    """

    id: str
    milestone: str
    sort: str
    roles: tuple[str, ...]
    item: str
    circuit: str
    harm: str
    why: str
    source: Source
    such: Mapping[str, Mapping[str, tuple[Any, ...]]]
    state: str
    decides: tuple[str, ...] = ()


class _Row(NamedTuple):
    need: Need
    when: Mapping[str, Any]


@lru_cache(maxsize=1)
def _data() -> Mapping[str, Any]:
    import json
    from os.path import dirname, join

    with open(join(dirname(dirname(__file__)), "data", "needs.json"), encoding="utf-8") as file:
        found: Mapping[str, Any] = json.load(file)
    return found


@lru_cache(maxsize=1)
def _rows() -> tuple[_Row, ...]:
    """The declared needs, in the order of the milestones and then of the data file."""
    made = []
    for each in _data()["needs"]:
        such = {on: {name: tuple(codes) for name, codes in what.items()} for on, what in each.get("such", {}).items()}
        roles = (each["role"],) if "role" in each else tuple(each.get("roles", ()))
        need = Need(
            each["id"], each["milestone"], each["sort"], roles, each.get("item", ""), each.get("circuit", ""),
            each["harm"], each["why"], source(each["source"]), such, "",
        )  # fmt: skip
        made.append(_Row(need, each.get("when", {})))
    return tuple(sorted(made, key=lambda row: MILESTONES.index(row.need.milestone)))


def never_needed() -> Mapping[str, str]:
    """Roles that no milestone asks for on their own, and why."""
    found: Mapping[str, str] = _data()["never"]
    return found


@lru_cache(maxsize=1)
def described() -> frozenset[str]:
    """Roles whose record says how something is put together, or what was read there: filled by a sheet, not bought."""
    return frozenset(_data()["described"])


@lru_cache(maxsize=1)
def read_only() -> frozenset[str]:
    """Roles whose record holds only what was read at the engine: the first reading begins it."""
    return frozenset(_data()["read"])


def unsuited_words(name: str, part: Part) -> str:
    """What a part in this role must be and this one is not, as `serves supply`; empty if it may do.

    Only what the role asks for whatever else is in the build counts.
    """
    for need, when in declared():
        if need.sort != "role" or need.roles != (name,) or (when and ":" not in name):
            continue
        for feature, codes in need.such.get(name, {}).items():
            if part.facts.get(feature) not in (None, *codes):
                return f"{feature} {' or '.join(map(str, codes))}".replace("_", " ")
    return ""


def declared() -> list[tuple[Need, Mapping[str, Any]]]:
    """Every need of the data file with its condition, for tests and documentation; `state` is empty."""
    return [(row.need, row.when) for row in _rows()]


def up_to(milestone: str) -> tuple[str, ...]:
    """The milestone and those before it. UnknownName for a word that is none."""
    if milestone not in MILESTONES:
        raise unknown("milestone", milestone, MILESTONES)
    return MILESTONES[: MILESTONES.index(milestone) + 1]


def needs(build: Build, milestone: str) -> list[Need]:
    """Every need of the milestone, and of those before it, that applies to this build, with its state.

    Those whose condition cannot be known are left out; in their place stands what decides: `choose` a role that is
    empty, `record` a feature that is not known.
    """
    reached = up_to(milestone)
    found: list[Need] = []
    deciding: dict[tuple[str, str], list[Need]] = {}
    for need, when in _rows():
        if need.milestone not in reached:
            continue
        holds = settled(when, build)
        if holds is True:
            state, record = _state(need, build)
            found.append(need._replace(state=state))
            if record:
                deciding.setdefault(("record", record), []).append(need)
        elif not isinstance(holds, bool):
            deciding.setdefault(holds, []).append(need)
    wanted = {each.roles[0] for each in found if each.sort == "role" and each.state == LACKING}
    for (sort, what), hanging in deciding.items():
        if sort == "choose" and what in wanted:
            continue
        first = hanging[0]
        roles = (what,) if sort == "choose" else (what.partition(".")[0],)
        found.append(
            first._replace(
                id=f"{sort}-{what.replace('_', '-').replace('.', '-')}", sort=sort, roles=roles,
                item="" if sort == "choose" else what, circuit="", such={}, state=LACKING,
                decides=tuple(each.id for each in hanging),
            )
        )  # fmt: skip
    return sorted(found, key=lambda each: MILESTONES.index(each.milestone))


def alternatives(build: Build, milestone: str) -> list[tuple[str, ...]]:
    """Groups of roles, one of each of which must be filled for the milestone; most groups hold one role.

    A role that is filled already stands alone in its group, under the name that the build gives it.
    """
    groups: dict[tuple[str, ...], None] = {}
    for need in needs(build, milestone):
        if need.sort not in ("role", "any_of", "choose"):
            continue
        filled = [name for each in need.roles for name in _fills(each, need, build)]
        groups[(filled[0],) if filled else need.roles] = None
    taken = {group[0] for group in groups if len(group) == 1}
    return [group for group in groups if len(group) == 1 or not taken & set(group)]


def needed_roles(build: Build, milestone: str) -> list[str]:
    """Roles that must be filled for the milestone, filled or not, each once; of alternatives the first.

    A role that decides whether others are needed is among them while it is empty. Ask again once it is filled.
    """
    return list(dict.fromkeys(group[0] for group in alternatives(build, milestone)))


def list_of(item: str) -> str:
    """The role whose record carries the item: `first_start` for a flag, `small_parts` for a part on the bill."""
    first = role("first_start").kind.features
    if item in first and first[item].sort == "flag":
        return "first_start"
    if item in role("small_parts").kind.features["have"].options:
        return "small_parts"
    fault = unknown("item", item, items())
    fault.step = fault.step or f"list them with: matchmark done BUILD; the first are {', '.join(items()[:5])}"
    raise fault


def items() -> list[str]:
    """Everything that can be ticked: the list of the first start, then the small parts."""
    first = role("first_start").kind.features
    ticks = [name for name, feature in first.items() if feature.sort == "flag"]
    return [*ticks, *role("small_parts").kind.features["have"].options]


def small_parts_lacking(build: Build, milestone: str) -> list[str]:
    """Small parts that the milestone needs and that nobody ticked as at hand."""
    wanted = needs(build, milestone)
    items = [each.item for each in wanted if each.sort == "item" and each.state == LACKING]
    return [each for each in items if list_of(each) == "small_parts"]


def ticked(item: str, build: Build) -> bool | None:
    """Whether the item is ticked; None where nobody said."""
    part = build.parts.get(list_of(item))
    if part is None:
        return None
    if list_of(item) == "small_parts":
        have = part.facts.get("have")
        return None if have is None else item in have
    found: bool | None = part.facts.get(item)
    return found


def _suits(name: str, need: Need, build: Build) -> bool | str:
    """Whether the part in a filled role is what the need wants there; else the feature that would say so."""
    wanted = next((what for on, what in need.such.items() if base_role(on) == base_role(name)), {})
    for feature, codes in wanted.items():
        value = build.parts[name].facts.get(feature)
        if value is None:
            return f"{name}.{feature}"
        if value not in codes:
            return False
    return True


def _fills(wanted: str, need: Need, build: Build) -> list[str]:
    """The filled roles that stand for the wanted one: its own name, else one of its kind that surely is what is asked.

    `fuel_line:supply` is also met by `fuel_line:rail` if that line's record says that it serves the supply.
    """
    own = [wanted] if wanted in build.parts and _suits(wanted, need, build) is not False else []
    others = [name for name in build.parts if base_role(name) == base_role(wanted) and name != wanted]
    if ":" not in wanted:
        return own + [name for name in others if _suits(name, need, build) is not False]
    return own + [name for name in others if need.such and _suits(name, need, build) is True]


def _state(need: Need, build: Build) -> tuple[str, str]:
    """(state, the feature that would settle it)."""
    if need.sort == "circuit":
        return BY_CIRCUIT, ""
    if need.sort == "item":
        return (MET if ticked(need.item, build) else LACKING), ""
    open_ = ""
    for wanted in need.roles:
        for name in _fills(wanted, need, build):
            suits = _suits(name, need, build)
            if suits is True:
                return MET, ""
            open_ = open_ or str(suits)
    return (UNDECIDED, open_) if open_ else (LACKING, "")
