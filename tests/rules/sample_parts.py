"""Parts and builds of the sample, read from its record files without a database."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from kb.build import Build, applies, views
from kb.chance import Settings
from kb.judge import Finding, judge
from kb.measure import Instrument
from kb.reading_files import read
from kb.records.models import normalise
from kb.records.part import Part, assemble
from kb.roles import base_role, role
from kb.rules._rule import Rule

RECORDS = Path(__file__).parent.parent.parent / "sample_db" / "records"
SETTINGS = Settings(draws=4000)


@cache
def record(kind: str, id: str) -> dict[str, Any]:
    (given,) = read([RECORDS / kind / f"{id}.yaml"]).records
    return dict(given.data)


@cache
def part(kind: str, id: str) -> Part:
    """The part with all that it is based on."""
    line = [record(kind, id)]
    while line[0].get("based_on"):
        line.insert(0, record(kind, line[0]["based_on"]))
    return assemble(id, [normalise(each) for each in line], _instruments())


@cache
def _instruments() -> dict[str, Instrument]:
    made = {}
    for path in (RECORDS / "instrument").glob("*.yaml"):
        row = normalise(record("instrument", path.stem))
        row.pop("kind")
        row["measures"], row["where"] = tuple(row["measures"]), tuple(row["where"])
        made[path.stem] = Instrument(**row)
    return made


def filled(roles: dict[str, str]) -> dict[str, Part]:
    return {name: part(role(base_role(name)).kind.kind, id) for name, id in roles.items()}


def build(id: str, more: dict[str, str] | None = None) -> Build:
    """A build of the sample, with further roles filled or others in their place."""
    given = {
        name: entry["part"] if isinstance(entry, dict) else entry
        for name, entry in record("build", id)["roles"].items()
    }
    return Build(id, id, filled({**given, **(more or {})}))


def asked(rule: Rule, of: Build) -> list[Finding]:
    """The rule's findings for the build, one for each qualifier."""
    return [judge(rule, view, SETTINGS) for _, view in views(rule, of) if not applies(rule, view)]
