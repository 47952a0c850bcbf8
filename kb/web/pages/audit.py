"""What the rules foresee: every confirmed incompatibility replayed with what could be known before buying."""

from __future__ import annotations

from kb.say.audit import as_json, told
from kb.store import read
from kb.web.asking import Ask, Page
from kb.web.pages.part import units_of

MOST = 300  # clashes replayed for one page; each takes about a hundredth of a second


def show(ask: Ask) -> Page:
    """The audit; `reported` replays those that nobody confirmed yet, too."""
    system = units_of(ask)
    reported = ask.arg("reported") == "yes"
    states = ("confirmed", "reported") if reported else ("confirmed",)
    every = [each.id for each in read.incompatibilities(ask.con) if each.status in states]
    chosen = every[:MOST]
    found = ask.base.audit(chosen, reported=reported)
    values = {
        "audit": told(found, system),
        "units": system,
        "reported": reported,
        "left_out": len(every) - len(chosen),
    }
    return Page("matchmark/audit.html", "What the rules foresee", values, as_json(found, system))
