"""What to type about a blocker: the command that finds a part, records a feature or takes the reading that decides."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from kb.build import Build
from kb.finding import Driver, Finding
from kb.measure import instruments
from kb.ready import needs as _needs
from kb.roles import base_role, role
from kb.rules._rule import MILESTONES


def get(wanted: str, build: Build) -> str:
    """How one comes by the part in a role: it is found, or begun by a first reading where it holds only readings."""
    if base_role(wanted) in _needs.read_only():
        return record(f"{wanted}.{_first_read(base_role(wanted))}", build)
    return f"matchmark find {wanted} {build.id}"


@lru_cache(maxsize=8)
def _first_read(name: str) -> str:
    """The dimension of a role that is asked for at the earliest milestone: what is read first at the engine."""
    from kb.rules import entries, loaded

    features = role(name).kind.features
    found: dict[str, int] = {}
    for entry in entries():
        if name in entry.roles:
            rule = loaded(entry)
            first = min(MILESTONES.index(limit.milestone) for limit in rule.limits)
            for each in rule.inputs:
                if each.of.role == name and each.of.feature.sort == "dimension":
                    found[each.of.feature.name] = min(first, found.get(each.of.feature.name, first))
    order = list(features)
    return min(found, key=lambda each: (found[each], order.index(each)))


def record(path: str, build: Build) -> str:
    """The command that records one feature, with the quickest of its instruments."""
    name, _, rest = path.partition(".")
    feature = _feature(name, rest)
    tools = [tool for tool in (feature.tools if feature else ()) if tool in instruments()]
    return f"matchmark reading {build.id} {path}=... --with {tools[0] if tools else 'eye'}"


def _feature(name: str, path: str) -> Any:
    return role(name).kind.features.get(path.partition(".")[0])


def mend(finding: Finding, build: Build) -> str:
    """Other parts where parts can be changed; else what the record must say anew, once the fix is made."""
    roles = [name for name in finding.rule.roles if base_role(name) not in _needs.described()]
    if roles:
        return f"matchmark plan {build.id} --change"
    question = finding.question
    paths = [*(leaf.name for leaf in question.leaves), *(name for name, _ in question.used)]
    single = [path for path in paths if path.count(".") == 1 and _sort(path) != "list"]
    return record(_qualified(single[0], finding, build), build) if single else _check(finding, build)


def settle(finding: Finding, build: Build) -> str:
    """The one reading that settles it, else the list of measurements."""
    if finding.because not in ("missing", "spread"):
        return _check(finding, build)
    if finding.because == "missing":
        paths = {f"{each.leaf.role}.{each.leaf.path}" for each in finding.drivers}
        seen = all(each.leaf.feature.sort != "dimension" for each in finding.drivers)
        if len(paths) == 1 or seen:  # what is only looked at is written down one by one, without a list
            return _reading(finding.drivers[0], finding, build) or f"matchmark measure {build.id}"
    else:
        for driver in finding.drivers:
            step = _reading(driver, finding, build) if driver.needed is not None else ""
            if step:
                return step
    return f"matchmark measure {build.id}"


def settling_step(finding: Finding, build: Build) -> str:
    """The command that takes the reading which this finding waits for, on a part that is in the build; else empty."""
    here = [each for each in finding.drivers if finding.because in ("missing", "spread")]
    for driver in here:
        path = _qualified(driver.leaf.name, finding, build)
        part = build.parts.get(path.partition(".")[0])
        if part is not None and part.id == driver.leaf.part:
            step = _reading(driver, finding, build)
            if step:
                return step
    return ""


def _reading(driver: Driver, finding: Finding, build: Build) -> str:
    """The command for a reading of this input; empty where none of its tools is good enough.

    The quickest tool of those that settle it; the finest where nobody can say beforehand how good it must be.
    """
    leaf, table = driver.leaf, instruments()
    value = leaf.dimension.value if leaf.dimension is not None else 0.0
    good = [
        table[name]
        for name in leaf.feature.tools
        if name in table and (driver.needed is None or name == "eye" or table[name].u_at(value) <= driver.needed)
    ]
    if not good:
        return ""
    tool = min(good, key=lambda each: (each.u_at(value) if driver.needed is None else 0.0, each.minutes, each.id))
    again = " --supersedes" if leaf.dimension is not None and leaf.dimension.contradiction else ""
    return f"matchmark reading {build.id} {_qualified(leaf.name, finding, build)}=... --with {tool.id}{again}"


def _check(finding: Finding, build: Build) -> str:
    return f"matchmark check {build.id} --rule {finding.rule.id} --full"


def whole_again(fault: Any, build: Build) -> str:
    """What to type for a break: find what is missing or ends wrongly; else look at the circuit."""
    buyable = [name for name in fault.roles if base_role(name) not in _needs.described()]
    empty = [name for name in buyable if name not in build.parts]
    if empty or (fault.sort == "differs" and len(buyable) == 1):
        return f"matchmark find {(empty or buyable)[0]} {build.id}"
    return f"matchmark circuits {build.id} {fault.circuit}"


def _qualified(path: str, finding: Finding, build: Build) -> str:
    """The path with the role as the build names it: a finding of `hose:return` read the plain role."""
    name, _, rest = path.partition(".")
    own = f"{name}:{finding.qualifier}"
    return f"{own}.{rest}" if own in build.parts else path


def _sort(path: str) -> str:
    name, _, feature = path.partition(".")
    return str(_feature(name, feature).sort)
