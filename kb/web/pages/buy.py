"""What is still to be got for a build: to print, or to walk the yard with on a phone."""

from __future__ import annotations

from kb.rules._rule import MILESTONES
from kb.say.buy import as_json, told
from kb.web.addresses import address
from kb.web.asking import Ask, Page
from kb.web.pages.part import units_of


def show(ask: Ask) -> Page:
    """The list by source; `?milestone=` says up to where, `?all=1` shows every check."""
    id, system = ask.vars["id"], units_of(ask)
    milestone = ask.arg("milestone") or MILESTONES[-1]
    found = ask.base.buy(id, milestone)
    values = {
        "told": told(found, system, every=bool(ask.arg("all"))),
        "every": bool(ask.arg("all")),
        "milestone": milestone,
        "milestones": MILESTONES,
        "units": system,
        "here": address("build", id, "buy"),
        "build": address("build", id),
    }
    return Page("matchmark/buy.html", f"Shopping list: {found.name}", values, as_json(found, system))
