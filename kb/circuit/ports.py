"""The ports that each kind of part has, and the chains that join them: read from `kb/data/circuits.json`.

A new kind is one entry there: `kinds` for its ports, or `none` with the reason why it joins no circuit.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, NamedTuple


class Port(NamedTuple):
    """A place where something passes into or out of a part.

    way: 'in', 'out', 'both', or 'shut' for what must stay closed. end: features of the kind that describe it: thread,
    bore, flange, ring.
    """

    kind: str
    name: str
    circuit: str
    way: str
    passes: str
    end: tuple[str, ...]


@lru_cache(maxsize=1)
def data() -> Mapping[str, Any]:
    """The data file as it stands."""
    import json
    from os.path import dirname, join

    with open(join(dirname(dirname(__file__)), "data", "circuits.json"), encoding="utf-8") as file:
        found: Mapping[str, Any] = json.load(file)
    return found


@lru_cache(maxsize=1)
def ports() -> Mapping[str, tuple[Port, ...]]:
    """Kind -> its ports."""
    return {
        kind: tuple(
            Port(kind, each["name"], each["circuit"], each["way"], each["passes"], tuple(each.get("end", ())))
            for each in entries
        )
        for kind, entries in data()["kinds"].items()
    }


def without_ports() -> Mapping[str, str]:
    """Kind -> why it joins no circuit."""
    found: Mapping[str, str] = data()["none"]
    return found


def joint_kinds() -> Mapping[str, str]:
    """Sort of joint -> its short name. Base rates go by these."""
    found: Mapping[str, str] = data()["joint_kinds"]
    return found


def names() -> tuple[str, ...]:
    """The circuits, in the order in which an engine wants them."""
    return tuple(data()["circuits"])


@lru_cache(maxsize=1)
def breaking() -> Mapping[str, str]:
    """Rule -> the sort of break that it stands for when it says 'does not fit'."""
    found: Mapping[str, str] = data()["breaking"]
    return found


@lru_cache(maxsize=1)
def rules_of_joints() -> frozenset[str]:
    """Every rule that vouches for some joint."""
    found: set[str] = set()

    def walk(value: Any) -> None:
        if isinstance(value, Mapping):
            if "kind" in value:
                found.update(value.get("rules", ()))
            for each in value.values():
                walk(each)
        elif isinstance(value, list):
            for each in value:
                walk(each)

    walk(data()["circuits"])
    walk(data()["grounds"])
    return frozenset(found)


def ground_rule() -> str:
    """The rule that asks whether every place has a way back to the battery."""
    return str(data()["grounds"]["rule"])


@lru_cache(maxsize=1)
def node_of_gauge() -> Mapping[str, tuple[str, str]]:
    """Gauge place -> (circuit, node id): where in the graph a reading is taken; '' for one of the whole circuit."""
    return {id: (each[0], each[1]) for id, each in data()["gauge_places"].items()}
