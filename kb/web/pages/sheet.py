"""The sheet for the first start of a build, to print or to work from with a phone."""

from __future__ import annotations

from kb.say.sheet import as_json, told
from kb.web.addresses import address
from kb.web.asking import Ask, Page
from kb.web.pages.part import units_of


def show(ask: Ask) -> Page:
    """The steps that this build calls for."""
    id, system = ask.vars["id"], units_of(ask)
    found = ask.base.sheet(id)
    words = told(found, system)
    values = {
        "told": words,
        "build": found.build,
        "units": system,
        "here": address("build", id, "sheet"),
        "trace": address("build", id, "trace"),
    }
    return Page("matchmark/sheet.html", f"{words.title}: {words.name}", values, as_json(found, system))
