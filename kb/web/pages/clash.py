"""Recorded incompatibilities: the list, one with its evidence, and its review."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kb.confidence import confidence
from kb.errors import Fault, Faults, StoreFault
from kb.store import photos, read
from kb.web import queries
from kb.web.addresses import address
from kb.web.asking import Ask, Go, Page

STATES = ("reported", "confirmed", "refuted")


def listed(ask: Ask) -> Page:
    """All of them, newest first; `status` narrows."""
    status = ask.arg("status") if ask.arg("status") in STATES else ""
    every = queries.clashes(ask.con)
    found = [each for each in every if status in ("", each["status"])]
    counts = {state: sum(each["status"] == state for each in every) for state in STATES}
    values = {"clashes": found, "status": status, "counts": counts}
    data = [{**each, "parties": [{"role": role, "part": part} for role, part in each["parties"]]} for each in found]
    return Page("matchmark/clashes.html", "Incompatibilities", values, data)


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
        "may_write": ask.site.writable and ask.user == ask.site.writer,
    }
    return Page("matchmark/clash.html", record["title"], values, record, 400 if trouble else 200)


def _side(party: Mapping[str, Any]) -> dict[str, Any]:
    conditions = [
        f"{name.replace('_', ' ')} {text}"
        for name, texts in party.get("where", {}).items()
        for text in ([texts] if isinstance(texts, str) else texts)
    ]
    return {"role": party["role"], "part": party.get("part", ""), "conditions": conditions}
