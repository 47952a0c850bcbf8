"""What fits a role: `/find?role=pan&and=pickup&build=drover-good`, `/find?role=pan&pickup=long-pickup&under=200`."""

from __future__ import annotations

import math
import threading
from collections import OrderedDict
from typing import Any

from kb.errors import Fault
from kb.roles import ROLES, role
from kb.say.find import as_json, tell_found
from kb.search.find import MOST as MOST_ROLES
from kb.search.find import ORDERS, Found
from kb.web import queries
from kb.web.addresses import query
from kb.web.asking import Ask, Page
from kb.web.checking import Question, read_question

OWN = ("role", "and", "sort", "limit", "under", "maker", "owned", "show", "with")
SHOWN = {"": "everything", "fits": "what fits", "cannot-tell": "what cannot be told", "no": "what does not fit"}
ROWS = (10, 25, 100)
MOST = 200_000_000  # combinations that a page looks through; the command line has no such limit
KEPT = 16


def show(ask: Ask) -> Page:
    """The form alone, or with what was found; what cannot be read comes back in the form with what is wrong."""
    trouble: Fault | None = None
    found: Found | None = None
    question, units = Question(), "mm"
    try:
        question, units = _question(ask)
        if ask.arg("role"):
            found = _found(ask, question)
    except Fault as fault:
        trouble = fault
    roles = [ask.arg("role"), *(ask.args.get("and", ()))][:MOST_ROLES]
    values: dict[str, Any] = {
        "trouble": trouble,
        "told": tell_found(found, units) if found else None,
        "links": {} if found is None else _links(found, question),
        "in_hand": _here(found, question),
        "roles": [(name, each.meaning) for name, each in ROLES.items()],
        "asked": [*roles, *[""] * (MOST_ROLES - len(roles))],
        "builds": queries.builds(ask.con),
        "build": question.build or ask.arg("build")[:200],
        "fixed": [f"{name}={value}" for name, value in (*question.roles, *question.overrides)],
        "makers": _makers(ask),
        "given": {name: ask.arg(name)[:200] for name in OWN},
        "shown": SHOWN,
        "orders": ORDERS,
        "rows": ROWS,
        "units": units,
        "may_write": ask.may_write,
    }
    heading = "What fits?" if found is None else f"What fits: {values['told'].title}"
    if found is not None:
        return Page("matchmark/find.html", heading, values, as_json(found, units))
    return Page("matchmark/find.html", heading, values, _no_answer(trouble), 400 if trouble else 200)


def _no_answer(trouble: Fault | None) -> dict[str, Any]:
    if trouble is None:
        return {
            "ok": True,
            "next": "add ?role=pan and a build=..., or parts as role=part; and=... searches two together",
        }
    return {"ok": False, "status": 400, "error": trouble.message, "place": trouble.place, "next": trouble.step}


def _question(ask: Ask) -> tuple[Question, str]:
    """What is fixed. `with=pickup=long-pickup` is what a form can give of `pickup=long-pickup`."""
    args = {name: given for name, given in ask.args.items() if name not in OWN}
    for text in ask.args.get("with", ()):
        if text.strip():
            name, sep, value = text.partition("=")
            if not sep or not name.strip() or not value.strip():
                raise Fault(f"{text[:60]!r} is no role=part", place="with", step="write for example pickup=long-pickup")
            args[name.strip()] = [*args.get(name.strip(), ()), value]
    question, units, _ = read_question(args)
    if question.own_limits:
        raise Fault("own limits are no part of a search", place="limit", step="record them in the build")
    return question, units


_FOUND: OrderedDict[tuple[Any, ...], Found] = OrderedDict()
_LOCK = threading.Lock()


def _found(ask: Ask, question: Question) -> Found:
    """The search, kept while the base stays as it is."""
    names = tuple(dict.fromkeys(each.strip() for each in (ask.arg("role"), *ask.args.get("and", ())) if each.strip()))
    if len(names) > MOST_ROLES:
        raise Fault(f"{len(names)} roles are searched together", place="and", step=f"search {MOST_ROLES} at most")
    limit, under = _number(ask, "limit"), _number(ask, "under")
    if limit is not None and limit not in ROWS:
        raise Fault(f"{limit:g} rows cannot be listed", place="limit", step=f"one of {', '.join(map(str, ROWS))}")
    maker = ask.arg("maker")
    key = (
        ask.site.path, queries.stamp(ask.con), names, question, ask.arg("sort"), limit, under, maker, ask.arg("owned"),
    )  # fmt: skip
    with _LOCK:
        if key in _FOUND:
            _FOUND.move_to_end(key)
            return _FOUND[key]
    _refuse_vast(ask, names)
    found = ask.base.find(
        names, question.build, dict(question.roles), dict(question.overrides),
        limit=int(limit or ROWS[0]), order=ask.arg("sort") or ORDERS[0], under=under,
        makers=[maker] if maker else [], owned=bool(ask.arg("owned")),
    )  # fmt: skip
    with _LOCK:
        _FOUND[key] = found
        while len(_FOUND) > KEPT:
            _FOUND.popitem(last=False)
    return found


def _refuse_vast(ask: Ask, names: tuple[str, ...]) -> None:
    counts = [len(ask.base.ids(role(name, place=name[:60]).kind.kind)) for name in names]
    if math.prod(counts) > MOST:
        words = " ".join(["matchmark find", names[0], *(f"--and {each}" for each in names[1:])])
        raise Fault(
            f"{math.prod(counts):,} combinations are more than a page looks through", place="and",
            step=f"search fewer roles together, or run {words}",
        )  # fmt: skip


def _number(ask: Ask, name: str) -> float | None:
    text = ask.arg(name)
    if not text:
        return None
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not 0.0 <= number < math.inf:
        raise Fault(f"{text[:40]!r} is no number from zero up", place=name, step="write it in digits, such as 150")
    return number


def _makers(ask: Ask) -> list[str]:
    return [
        row[0] for row in ask.con.rows("SELECT DISTINCT maker FROM part WHERE maker <> '' ORDER BY maker LIMIT 200")
    ]


def _here(found: Found | None, question: Question) -> str:
    """Where one part of the role is judged and measured; empty without a build, or where several are searched."""
    if found is None or len(found.roles) != 1 or not question.build:
        return ""
    return "/here?" + query({"build": question.build, "role": found.roles[0]})


def _links(found: Found, question: Question) -> dict[str, str]:
    """By the ids of a row's parts, the address of the check of these very parts."""
    made = {}
    for row in (*found.fits, *found.cannot_tell, *found.misfits):
        ids = tuple(each.id for each in row.parts)
        chosen = {name: id for name, id in zip(found.roles, ids, strict=True) if id}
        fixed = dict((*question.roles, *question.overrides))
        made[" ".join(ids)] = "/fit?" + query(
            {**({"build": question.build} if question.build else {}), **fixed, **chosen}
        )
    return made
