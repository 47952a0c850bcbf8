"""Recorded incompatibilities: the list, one with its evidence, and its review."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from kb.confidence import confidence
from kb.errors import Fault, Faults, StoreFault
from kb.roles import ROLES, base_role
from kb.rules._rule import HARMS, MILESTONES
from kb.store import photos, read
from kb.web import queries
from kb.web.addresses import address, query
from kb.web.asking import Ask, Go, Page
from kb.web.showing import MILESTONES as MILESTONE_WORDS

STATES = ("reported", "confirmed", "refuted")
# Ways to narrow the list down, with their headings; all of them are combined.
FACETS = {
    "status": "State", "harm": "Harm if overlooked", "milestone": "First milestone that it blocks",
    "subsystem": "Subsystem", "kind": "Kind of part",
}  # fmt: skip
MOST_READ = 20_000
ON_A_PAGE = 100
MOST_KINDS = 24


def listed(ask: Ask) -> Page:
    """All of them, newest first; what `?status=confirmed&harm=leaks&milestone=fire&kind=pan` says narrows together."""
    every = queries.clashes(ask.con, most=MOST_READ)
    rows = [(each, _marks(each)) for each in every]
    chosen = {name: ask.arg(name) for name in FACETS if any(ask.arg(name) in marks[name] for _, marks in rows)}
    # One that nobody has been given yet is a good question with an empty answer, not a misspelt one.
    chosen |= {"status": ask.arg("status")} if ask.arg("status") in STATES else {}
    found = [each for each, marks in rows if _meets(marks, chosen)]
    page = int(ask.arg("page")) if ask.arg("page").isdecimal() and len(ask.arg("page")) < 6 else 0
    shown = found[page * ON_A_PAGE : (page + 1) * ON_A_PAGE]
    facets = [_facet(name, rows, chosen) for name in FACETS]
    values = {
        "clashes": shown,
        "facets": facets,
        "chosen": [f"{FACETS[name].lower()} {_words(name, value)}" for name, value in chosen.items()],
        "number": len(found),
        "total": len(every),
        "before": _list_at(chosen, page - 1) if page else "",
        "after": _list_at(chosen, page + 1) if len(found) > (page + 1) * ON_A_PAGE else "",
        "twin": _list_at(chosen).replace("/incompatibility", "/incompatibility.json", 1),
    }
    data = [{**each, "parties": [{"role": role, "part": part} for role, part in each["parties"]]} for each in found]
    return Page("matchmark/clashes.html", "Incompatibilities", values, data)


class Value(NamedTuple):
    """One value of a facet: how many there would be, and the address that chooses it."""

    value: str
    words: str
    number: int
    to: str


class Facet(NamedTuple):
    """A way to narrow the list: its values with counts under what the other facets have chosen."""

    name: str
    words: str
    chosen: str
    chosen_words: str
    all_to: str
    values: tuple[Value, ...]


def _marks(clash: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
    """What a clash counts under, by facet. Its subsystems are the families of the kinds that it is about."""
    kinds = [ROLES[base_role(role)].kind for role, _ in clash["parties"] if base_role(role) in ROLES]
    harms = tuple(each.strip(' []"') for each in str(clash["harm"]).split(","))
    return {
        "status": (clash["status"],),
        "harm": harms,
        "milestone": (clash["milestone"],),
        "subsystem": tuple(dict.fromkeys(each.family or "other" for each in kinds)),
        "kind": tuple(dict.fromkeys(each.kind for each in kinds)),
    }


def _meets(marks: Mapping[str, tuple[str, ...]], chosen: Mapping[str, str]) -> bool:
    return all(value in marks[name] for name, value in chosen.items())


def _facet(name: str, rows: list[tuple[dict[str, Any], dict[str, tuple[str, ...]]]], chosen: dict[str, str]) -> Facet:
    others = {other: value for other, value in chosen.items() if other != name}
    numbers: dict[str, int] = {}
    for _, marks in rows:
        if _meets(marks, others):
            for value in marks[name]:
                numbers[value] = numbers.get(value, 0) + 1
    order = {"status": STATES, "harm": tuple(HARMS), "milestone": MILESTONES}.get(name, tuple(sorted(numbers)))
    if name == "kind" and len(numbers) > MOST_KINDS:  # the commonest; the others are found through their subsystem
        common = sorted(numbers, key=lambda kind: (-numbers[kind], kind))[:MOST_KINDS]
        order = tuple(sorted({*common, *([chosen[name]] if name in chosen else [])}))
    values = tuple(
        Value(each, _words(name, each), numbers.get(each, 0), _list_at({**others, name: each})) for each in order
    )
    value = chosen.get(name, "")
    return Facet(name, FACETS[name], value, _words(name, value) if value else "", _list_at(others), values)


def _words(name: str, value: str) -> str:
    if name == "harm":
        return HARMS.get(value, value)
    if name == "milestone":
        return MILESTONE_WORDS.get(value, value)
    return value.replace("_", " ")


def _list_at(chosen: Mapping[str, str], page: int = 0) -> str:
    said = {name: chosen[name] for name in FACETS if name in chosen} | ({"page": str(page)} if page else {})
    return "/incompatibility" + (f"?{query(said)}" if said else "")


def show(ask: Ask) -> Page:
    """One, with the form to confirm or refute it for who is signed in."""
    return _page(ask, {}, None)


def to_page(ask: Ask) -> Go:
    """The review's address has no page of its own."""
    return Go(address("incompatibility", ask.vars["id"]))


def review(ask: Ask) -> Page | Go:
    """Confirm or refute, with a reason."""
    from kb.store.write import set_status

    id, status, reason = ask.vars["id"], ask.field("status"), ask.field("reason").strip()
    read.record(ask.con, "incompatibility", id)
    trouble: Fault | None = None
    if status not in STATES:
        trouble = Fault("what it comes to is not chosen", place="status", step="choose confirmed or refuted")
    elif not reason:
        trouble = Fault("the reason is missing", place="reason", step="say what you saw, or why it is not so")
    else:
        try:
            set_status(ask.site.path, id, status, by=ask.user, reason=reason, origin="page")
        except Faults as faults:
            trouble = faults.faults[0]
        except StoreFault as fault:
            trouble = Fault(fault.message, step=fault.step)
    if trouble is None:
        return Go(address("incompatibility", id))
    return _page(ask, {"status": status, "reason": ask.field("reason")}, trouble)


def _page(ask: Ask, typed: Mapping[str, str], trouble: Fault | None) -> Page:
    id = ask.vars["id"]
    record = read.record(ask.con, "incompatibility", id)
    ids = [party["part"] for party in record["parties"] if party.get("part")]
    values = {
        "id": id,
        "record": record,
        "status": record.get("status", "reported"),
        "sides": [_side(party) for party in record["parties"]],
        "names": queries.named(ask.con, ids) if ids else {},
        "pictures": {
            each["photo"]
            for each in record.get("evidence", ())
            if each.get("photo") and photos.there(ask.site.path, each["photo"])
        },
        "harms": record["harm"] if isinstance(record["harm"], list) else [record["harm"]],
        "confidence": confidence(record),
        "history": queries.history(ask.con, "incompatibility", id),
        "row": address(ask.site.name, "incompatibility", id),
        "typed": typed,
        "trouble": trouble,
        "may_review": ask.may_keep,
    }
    return Page("matchmark/clash.html", record["title"], values, record, 400 if trouble else 200)


def _side(party: Mapping[str, Any]) -> dict[str, Any]:
    conditions = [
        f"{name} {text}".replace("_", " ")
        for name, texts in party.get("where", {}).items()
        for text in ([texts] if isinstance(texts, str) else texts)
    ]
    return {"role": party["role"], "part": party.get("part", ""), "conditions": conditions}
