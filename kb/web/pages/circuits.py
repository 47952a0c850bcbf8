"""The circuits of a build: breaks first, then each circuit as a picture."""

from __future__ import annotations

from typing import Any

from kb.say import circuits as saying
from kb.web import pictures
from kb.web.addresses import address, query
from kb.web.asking import Ask, Page

VERDICTS = {saying.WHOLE: "fits", saying.BROKEN: "does not fit", saying.CANNOT_TELL: "cannot tell"}


def show(ask: Ask) -> Page:
    """All circuits of a build, or the one that `circuit` names."""
    id, only = ask.vars["id"], ask.arg("circuit")
    found = ask.base.circuits(id)
    told = saying.told(found, only)
    drawn = []
    for each in told.circuits:
        circuit = found.circuits[each.name]
        words = {one.at: one.words for one in each.breaks}
        drawn.append((each, pictures.circuit(circuit, words, saying.shown_now(circuit))))
    here = address("build", id, "circuits")
    values: dict[str, Any] = {
        "build": found.build,
        "told": told,
        "drawn": drawn,
        "verdicts": VERDICTS,
        "names": [(name, circuit.title) for name, circuit in found.circuits.items()],
        "only": only,
        "here": here,
        "twin": f"{here}.json" + (f"?{query({'circuit': only})}" if only else ""),
        "trace": address("build", id, "trace"),
    }
    return Page("matchmark/circuits.html", f"Circuits: {told.title}", values, saying.as_json(found, only=only))
