"""Two builds compared, or one before and after a change: `/compare?a=drover&b=drover-good`, `?a=drover&pan=...`."""

from __future__ import annotations

from typing import Any

from kb.chance import FITS, NOT, OPEN
from kb.errors import Fault
from kb.say.compare import as_json, tell
from kb.web import queries
from kb.web.addresses import query
from kb.web.asking import Ask, Go, Page
from kb.web.checking import read_question

_VERDICT = {0: FITS, 1: NOT, 3: OPEN}  # the sign that stands beside the summary


def with_another(ask: Ask) -> Go:
    """From a build's page: `/build/drover/compare?b=drover-good`."""
    other = ask.arg("b")
    return Go(f"/compare?{query({'a': ask.vars['id'], **({'b': other} if other else {})})}")


def show(ask: Ask) -> Page:
    """The form, and below it what differs once there is something to compare."""
    first, second = ask.arg("a"), ask.arg("b")
    question, units, _ = read_question({name: given for name, given in ask.args.items() if name not in ("a", "b")})
    changed = bool(question.roles or question.overrides)
    if question.build or question.own_limits:
        raise Fault("only parts and values can be changed here", place="compare", step="name the builds as a and b")
    values: dict[str, Any] = {
        "builds": queries.builds(ask.con),
        "a": first,
        "b": second,
        "changes": [f"{name}={value}" for name, value in (*question.roles, *question.overrides)],
        "told": None,
    }
    if not first or not (second or changed):
        waiting = {"ok": False, "next": "name two builds as a and b, or a and what to change in it: pan=deep-pan"}
        return Page("matchmark/compare.html", "Compare two builds", values, waiting)
    found = ask.base.compare(first, second, dict(question.roles), dict(question.overrides))
    told = tell(found, units)
    values.update(
        told=told, sign=_VERDICT[told.status], before=found.before, after=found.after, same=second in ("", first)
    )
    return Page("matchmark/compare.html", "Compare two builds", values, as_json(found, units))
