"""The plan of a build: constraints as a form, what to get, the next best, what each constraint costs, or why not."""

from __future__ import annotations

import threading
from collections import OrderedDict
from typing import Any

from kb.errors import Fault
from kb.rules._rule import MILESTONES
from kb.say import plan as saying
from kb.say import why_not as telling
from kb.search.plan import Plan, Wish
from kb.search.solver import IMPOSSIBLE
from kb.search.why_not import WhyNot
from kb.web import queries
from kb.web.addresses import address, query
from kb.web.asking import Ask, Go, Page
from kb.web.pages.part import units_of

LIMIT_S = 5.0  # of each search behind one page; what it ends early is said to be bounded
MOST_KEPT = 16  # plans that are kept
MOST = 400  # characters of a list in the form


def show(ask: Ask) -> Page:
    """The plan that the query asks for; `?milestone=fire&change=fewest&budget=300&keep=pan,pickup&avoid=...`."""
    id, system = ask.vars["id"], units_of(ask)
    wish = _wish(ask)
    found, conflict = _planned(ask, id, wish)
    told = saying.told(found)
    why = None
    data = saying.as_json(found)
    if conflict is not None:
        why = telling.told(conflict, system)
        data["why_not"] = telling.as_json(conflict, system)
    values: dict[str, Any] = {
        "told": told,
        "why": why,
        "milestones": MILESTONES,
        "asked": {name: ask.arg(name) for name in ("change", "budget", "keep", "avoid", "unknown_price")},
        "milestone": wish.milestone,
        "allow_unknown": wish.allow_unknown,
        "considered": wish.considered,
        "take": [f"{role}={part}" for role, part in found.planned.items()],
        "may_write": ask.may_write,
        "here": address("build", id, "plan"),
        "build": address("build", id),
        "id": id,
        "found": found,
        "to_read": _to_read(found.build.id, told.step, *told.more),
        "units": system,
    }
    return Page("matchmark/plan.html", f"Plan: {found.build.name}", values, data)


_KEPT: OrderedDict[tuple[str, int, str, Wish], tuple[Plan, WhyNot | None]] = OrderedDict()
_LOCK = threading.Lock()


def _planned(ask: Ask, id: str, wish: Wish) -> tuple[Plan, WhyNot | None]:
    """The plan, with why there is none, kept until the base changes: planning takes its time."""
    key = (ask.site.path, queries.stamp(ask.con), id, wish)
    with _LOCK:
        if key in _KEPT:
            _KEPT.move_to_end(key)
            return _KEPT[key]
    found = ask.base.plan(id, wish)
    lacking = found.status == IMPOSSIBLE and not found.over_budget
    made = (found, ask.base.why_not(id, wish=wish) if lacking else None)
    with _LOCK:
        _KEPT[key] = made
        while len(_KEPT) > MOST_KEPT:
            _KEPT.popitem(last=False)
    return made


def take(ask: Ask) -> Page | Go:
    """Write the plan that was shown into the build."""
    from kb.store.change import fill

    id = ask.vars["id"]
    roles: dict[str, str | None] = {}
    for word in ask.form.get("take", ()):
        role, sep, part = word.partition("=")
        if not sep or not role:
            raise Fault(f"{word[:60]!r} is no role=part", place="take", step="make the plan again and take that")
        roles[role] = part or None
    if not roles:
        raise Fault("the plan changes nothing", place="take", step="make a plan that does, then take it")
    fill(ask.site.path, id, roles, by=ask.user, origin="page")
    return Go(address("build", id))


def _to_read(id: str, *steps: str) -> list[tuple[str, str]]:
    """(what, address of a form) of the readings that the plan waits for."""
    words = [each.split() for each in steps]
    names = [each[3].partition("=")[0] for each in words if each[1] == "reading" and len(each) > 3]
    return [(each, f"{address('build', id)}?{query({'read': each})}#read") for each in names]


def _wish(ask: Ask) -> Wish:
    change = ask.arg("change")
    if change not in ("", "fewest", "cheapest"):
        raise Fault(f"{change[:40]!r} is no sort of change", place="change", step="write fewest or cheapest")
    return Wish(
        ask.arg("milestone") or MILESTONES[-1],
        change,
        _amount(ask, "budget"),
        _names(ask, "keep"),
        _names(ask, "avoid"),
        bool(ask.arg("allow_unknown")),
        bool(ask.arg("considered")),
        _amount(ask, "unknown_price"),
        limit_s=LIMIT_S,
    )


def _amount(ask: Ask, name: str) -> float | None:
    text = ask.arg(name).replace(",", ".")
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        raise Fault(
            f"{text[:40]!r} is no amount of money", place=name, step="write it in digits: 250 or 49.90"
        ) from None


def _names(ask: Ask, name: str) -> frozenset[str]:
    text = ask.arg(name)[:MOST]
    return frozenset(word for word in text.replace(",", " ").split() if word)
