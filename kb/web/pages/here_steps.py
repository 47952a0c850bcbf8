"""The steps before the answer about a part in front of you: which build it is for, what it is, which one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from kb.errors import Fault
from kb.ready.needs import read_only
from kb.roles import ROLES, base_role, role
from kb.web import queries
from kb.web.addresses import query
from kb.web.asking import Ask, Go, Page
from kb.web.checking import LONGEST, Question

COMMON = (
    "pan", "pickup", "pan_gasket", "block", "trigger_wheel", "crank_sensor", "controller", "drive_plate", "converter",
    "starter", "alternator", "carburettor", "fuel_pump",
)  # fmt: skip
MOST = 200  # parts in a list; beyond it one types a word of the name


class Chosen(NamedTuple):
    """What is chosen so far; the rest of the address beside it: other parts, other values to try, units."""

    build: str
    role: str
    part: str
    rest: Question
    units: str

    @property
    def question(self) -> Question:
        return self.rest._replace(build=self.build, roles=(*self.rest.roles, (self.role, self.part)))

    def to(self, **other: str) -> str:
        """The address with some of it changed; an empty word leaves its piece out."""
        said = {"build": self.build, "role": self.role, "part": self.part, **dict(self.rest.roles)}
        said |= {**dict(self.rest.overrides), "units": self.units if self.units != "mm" else "", **other}
        return "/here?" + query({name: value for name, value in said.items() if value})


def which_build(ask: Ask, chosen: Chosen) -> Page | Go:
    """The recorded builds; with a single one nobody is asked."""
    builds = queries.builds(ask.con)
    if len(builds) == 1:
        return Go(chosen.to(build=builds[0].id))
    rows = [(each.name, "", chosen.to(build=each.id)) for each in builds]
    return _step("Which build is it for?", chosen, ask, {"rows": rows}, "add ?build=...&role=...&part=...")


def which_role(ask: Ask, chosen: Chosen) -> Page:
    """The roles, those that are asked most first, and parts by a word of their name."""
    ask.base.record_of(chosen.build)
    words = ask.arg("q")[:LONGEST]
    names = all_roles(ask, chosen.build)
    common = [(role_words(each), chosen.to(role=each)) for each in COMMON if each in names]
    families: dict[str, list[tuple[str, str]]] = {}
    for each in names:
        families.setdefault(role(each).kind.family or "other", []).append((role_words(each), chosen.to(role=each)))
    values = {"common": common, "families": families, "q": words, "rows": _named_like(ask, chosen, words, names)}
    return _step("What is it?", chosen, ask, values, "add &role=pan or another role")


def which_part(ask: Ask, chosen: Chosen, trouble: Fault | None = None) -> Page:
    """The parts that can fill the role, the one of the build first, and a form for one that nobody recorded."""
    ask.base.record_of(chosen.build)
    words = ask.arg("q")[:LONGEST]
    kind = role(chosen.role).kind.kind
    here = queries.roles_of(ask.con, chosen.build).get(chosen.role, "")
    where, given = _like(words)
    rows = ask.con.rows(
        f"SELECT id, name, coalesce(maker, ''), kind FROM part WHERE kind = ?{where} ORDER BY name, id LIMIT ?",
        (kind, *given, MOST + 1),
    )
    parts = [queries.Named(*row) for row in rows]
    parts.sort(key=lambda each: each.id != here)
    found = [
        (each.name, " · ".join(piece for piece in (each.maker, each.id, "in the build" if each.id == here else "")
                               if piece), chosen.to(part=each.id))
        for each in parts[:MOST]
    ]  # fmt: skip
    values = {"rows": found, "q": words, "more": len(parts) > MOST, "what": role_words(chosen.role), "trouble": trouble,
              "may_write": ask.may_write, "unnamed": ask.field("name")[:LONGEST]}  # fmt: skip
    words = f"Which {role_words(chosen.role)} is it?"
    page = _step(words, chosen, ask, values, "add &part=...")
    return page._replace(status=400, data=_no_answer(trouble)) if trouble else page


def _step(heading: str, chosen: Chosen, ask: Ask, values: dict[str, Any], following: str) -> Page:
    said: dict[str, Any] = {
        "trouble": None, "q": "", "rows": [], "chosen": chosen, "heading": heading, "trail": trail(ask, chosen)
    }  # fmt: skip
    choices = [{"name": name, "address": to} for name, _, to in values.get("rows", ())]
    return Page("matchmark/here_choose.html", heading, said | values, {"ok": True, "next": following, "for": choices})


def trail(ask: Ask, chosen: Chosen) -> list[tuple[str, str]]:
    """(words, address) of what was chosen, to choose otherwise."""
    found = []
    if chosen.build and not chosen.role:
        found.append(("another build", chosen.to(build="")))
    elif chosen.build:
        name = next((each.name for each in queries.builds(ask.con) if each.id == chosen.build), chosen.build)
        found.append((name, chosen.to(role="", part="")))
    if chosen.part:
        found.append((f"another {role_words(chosen.role)}", chosen.to(part="")))
    return found


def role_words(name: str) -> str:
    """A role as people say it."""
    return name.replace("_", " ").replace(":", ", ")


def all_roles(ask: Ask, build: str) -> list[str]:
    """The roles that a part can fill, and those of the build that are filled more than once."""
    own = [each for each in queries.roles_of(ask.con, build) if ":" in each]
    return [each for each in (*ROLES, *own) if base_role(each) not in read_only()]


def _like(words: str) -> tuple[str, list[str]]:
    """A condition that holds where every word stands in the name, the maker or the id."""
    given = words.lower().split()[:8]
    held = " AND lower(name || ' ' || coalesce(maker, '') || ' ' || id) LIKE ? ESCAPE '!'"
    marked = ["%" + each.replace("!", "!!").replace("%", "!%").replace("_", "!_") + "%" for each in given]
    return held * len(given), marked


def _named_like(ask: Ask, chosen: Chosen, words: str, names: Sequence[str]) -> list[tuple[str, str, str]]:
    """Parts of any kind with these words, one row a role that each could fill."""
    if not words:
        return []
    where, given = _like(words)
    rows = ask.con.rows(f"SELECT id, name, kind FROM part WHERE 1{where} ORDER BY name, id LIMIT 60", given)
    return [
        (name, role_words(each), chosen.to(role=each, part=id))
        for id, name, kind in rows
        for each in names
        if role(each).kind.kind == kind
    ]


def trouble_page(ask: Ask, fault: Fault) -> Page:
    """The first step again, with what is wrong."""
    builds = queries.builds(ask.con)
    start = Chosen("", "", "", Question(), "mm")
    values = {
        "trouble": fault, "heading": "Which build is it for?", "chosen": start, "trail": [], "q": "",
        "rows": [(each.name, "", start.to(build=each.id)) for each in builds],
    }  # fmt: skip
    return Page("matchmark/here_choose.html", "Will the part in front of you fit?", values, _no_answer(fault), 400)


def _no_answer(fault: Fault) -> dict[str, Any]:
    return {"ok": False, "status": 400, "error": fault.message, "place": fault.place, "next": fault.step}
