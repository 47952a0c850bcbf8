"""A build: the milestone board, what stands before the next milestone, its roles, findings and lists to tick."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from kb.chance import FITS, NOT, OPEN
from kb.drawing import milestone_board
from kb.errors import Fault, Faults
from kb.explain import Told, tell
from kb.measure import instruments
from kb.ready.board import Board
from kb.ready.needs import Need, needs
from kb.report import order
from kb.roles import ROLES, base_role, role
from kb.say.ready import ToldBlocker, as_json, told, told_milestone
from kb.say.ticks import ToldItem, told_items
from kb.store import read
from kb.web import pictures, queries
from kb.web.addresses import address, query
from kb.web.asking import Ask, Go, Page, must_keep
from kb.web.checking import Question, checked
from kb.web.pages.part import units_of
from kb.web.to_measure import Wanted, wanted

MOST_TYPED = 400
SHOWN_FIRST = 12  # blockers that stand open on the page; the others are folded
MEASURED = 5  # readings that are named here; the list of its own has them all
LONGEST_LIST = 300  # parts in a select; above that a field takes the id
_RANK = {NOT: 0, OPEN: 1, FITS: 2}
# Pages about a build: their words and the last piece of their address.
ABOUT = {
    "measure": "What to measure", "plan": "Cheapest plan", "buy": "Shopping list", "circuits": "Circuits",
    "readings": "Readings", "trace": "Trace a symptom", "sheet": "Sheet to print",
}  # fmt: skip


class Step(NamedTuple):
    """A blocker with what one can do about it here: a link, a tick, or a reading to type in."""

    number: int
    told: ToldBlocker
    verdict: str
    words: str = ""
    to: str = ""
    tick: str = ""
    where: str = ""
    tools: tuple[tuple[str, str], ...] = ()
    supersedes: bool = False


class Place(NamedTuple):
    """A role of the build. part: empty where none fills it. why: why it is needed, or empty."""

    role: str
    meaning: str
    part: str
    name: str
    owned: bool
    needed: str
    why: str
    find: str


class Group(NamedTuple):
    """The findings of one subsystem, worst first."""

    subsystem: str
    counts: Mapping[str, int]
    verdict: str
    findings: tuple[Told, ...]


def show(ask: Ask) -> Page:
    """The page of one build."""
    return _page(ask, {}, None)


def to_page(ask: Ask) -> Go:
    """The addresses of its forms have no page of their own."""
    return Go(address("build", ask.vars["id"]))


# -- forms ---------------------------------------------------------------------------------------------------------


def tick(ask: Ask) -> Page | Go:
    """Tick an item, or take it back."""
    from kb.store.change import tick as write

    id, item = ask.vars["id"], ask.field("item").strip()

    def run() -> None:
        if not item:
            raise Fault("no item is named", place="item", step="press the button beside one")
        write(ask.site.path, id, item, ask.field("done") != "no", by=ask.user, note=_text(ask, "note"), origin="page")

    return _done(ask, run, "#ticks")


def fill(ask: Ask) -> Page | Go:
    """Put a part into a role, or empty it."""
    from kb.store.change import fill as write

    id, name, part = ask.vars["id"], _text(ask, "role"), _text(ask, "part")

    def run() -> None:
        if not name:
            raise Fault("no role is named", place="role", step="choose the place that the part fills")
        if name == "all" and ask.field("owned") == "yes":  # everything that the build counts on is at hand now
            entries = read.build(ask.con, id).roles
            rest: dict[str, str | None] = {each: one.part for each, one in entries.items() if not one.owned}
            if rest:
                write(ask.site.path, id, rest, owned=True, by=ask.user, origin="page")
            return
        if not part and ask.field("empty") != "yes":
            raise Fault("no part is named", place="part", step="choose one, or press the button that empties the role")
        owned = {"yes": True, "no": False}.get(ask.field("owned"))
        wanted = None if ask.field("empty") == "yes" else part
        write(ask.site.path, id, {name: wanted}, owned=owned, by=ask.user, origin="page")

    return _done(ask, run, "#roles")


def reading(ask: Ask) -> Page | Go:
    """Take a reading of a part."""
    from kb.store.change import take_reading

    id, where, value = ask.vars["id"], _text(ask, "where"), _text(ask, "value")
    if ask.field("supersedes") == "yes":
        must_keep(ask)

    def run() -> None:
        if not where or "." not in where:
            raise Fault("what was measured is not named", place="where", step="write role.feature, as pan.sump_depth")
        if not value:
            raise Fault("the value is missing", place=where, step="write it with its unit, for example 188.4 mm")
        take_reading(
            ask.site.path, id, where, value, tool=_text(ask, "tool"), by=ask.user, note=_text(ask, "note"),
            supersedes=ask.field("supersedes") == "yes", origin="page",
        )  # fmt: skip

    return _done(ask, run, "#before")


def _text(ask: Ask, name: str) -> str:
    return ask.field(name).replace("\r\n", "\n").strip()[:MOST_TYPED]


def _done(ask: Ask, run: Callable[[], None], at: str) -> Page | Go:
    """Write, and go back to the place on the page; what was typed is kept where something is wrong."""
    read.build(ask.con, ask.vars["id"])
    try:
        run()
    except Faults as faults:
        return _page(ask, _typed(ask), faults.faults[0])
    except Fault as fault:
        return _page(ask, _typed(ask), Fault(fault.message, place=_place(fault.place, ask), step=fault.step))
    return Go(address("build", ask.vars["id"]) + at)


def _place(place: str, ask: Ask) -> str:
    """Where the file lies is nobody's business."""
    return "" if place == ask.site.path else place


def _typed(ask: Ask) -> dict[str, str]:
    return {name: ask.field(name)[:MOST_TYPED] for name in ("item", "role", "part", "owned", "where", "value", "tool")}


# -- the page ------------------------------------------------------------------------------------------------------


def _page(ask: Ask, typed: Mapping[str, str], trouble: Fault | None) -> Page:
    id, units = ask.vars["id"], units_of(ask)
    record = ask.base.record_of(id)
    answer = checked(ask, Question(id)) if record.roles else None
    board = ask.base.ready(id, answer=answer)
    wanted = needs(board.answer.build, "drive")
    chosen = ask.arg("for")
    names = [each.name for each in board.milestones]
    following = board.of(chosen) if chosen in names else board.next
    places = _places(ask, board, wanted)
    rows = told_items(board.answer, wanted)
    before = told_milestone(following, units).blockers if following else ()
    steps = [_step(each, id, board, number) for number, each in enumerate(before, start=1)]
    values = {
        "id": id,
        "name": record.name,
        "notes": record.notes,
        "units": units,
        "picture": milestone_board(board, system=units, prefix="board"),
        "board": told(board, units),
        "following": told_milestone(following, units) if following else None,
        "first": _first(board, following.name if following else "", id),
        "to_read": _to_read(ask, board),
        "others": [each for each in names if following is None or each != following.name],
        "steps": [each for each in steps if not each.tick],
        "ticks": [each for each in steps if each.tick],
        "shown_first": SHOWN_FIRST,
        "missing": [each for each in places if not each.part and each.needed],
        "places": [each for each in places if each.part],
        "alternatives": record.alternatives,
        "groups": _groups(board, units),
        "not_asked": len(board.answer.not_asked),
        "to_measure": _to_measure(ask, board, units),
        "drawings": pictures.of_build(board.answer.build, units),
        "lists": _by_milestone(rows),
        "not_needed": [each for each in rows if not each.milestone],
        "about": _about(id),
        "compare": [each for each in queries.builds(ask.con) if each.id != id and has(f"/build/{id}/compare")],
        "typed": typed,
        "trouble": trouble,
        "may_write": ask.may_write,
        "history": queries.history(ask.con, "build", id),
        "row": address(ask.site.name, "build", id),
        **_fill_form(ask, typed),
    }
    data = as_json(board, system=units) | {
        "roles": {each.role: {"part": each.part, "owned": each.owned} for each in places if each.part},
        "missing_roles": [each.role for each in places if not each.part and each.needed],
        "items": [each._asdict() for each in rows],
    }
    return Page("matchmark/build.html", record.name, values, data, 400 if trouble else 200)


class First(NamedTuple):
    """What to do first, where it is a page of its own: its address, words, and why."""

    to: str
    words: str
    why: str


_FIRST = {"measure": "Measure what lies there", "plan": "Plan the missing parts together", "buy": "Get what is missing"}


def _first(board: Board, milestone: str, id: str) -> First | None:
    """The step that goes before single blockers; None where the worst blocker says it itself."""
    step = board.first(milestone) if milestone else None
    name = step.command.split()[1] if step is not None and step.why else ""
    return First(address("build", id, name), _FIRST[name], step.why) if step is not None and name in _FIRST else None


def _to_measure(ask: Ask, board: Board, units: str) -> list[tuple[Wanted, str]]:
    """The readings that most hangs on, each with the address where it is written down."""
    build = board.answer.build
    found = wanted(board.answer, ask.base.instruments(), ask.base.ids("term"), most=MEASURED, system=units)
    rows = []
    for each in found:
        name = each.where.partition(".")[0]
        if name in build.parts:
            said = {"build": build.id, "role": name, "part": build.parts[name].id, "where": each.where}
            rows.append((each, f"/here?{query(said)}#measure"))
    return rows


class ToRead(NamedTuple):
    """A form for one feature that another page asks for: `?read=block.bell_dowels`."""

    where: str
    meaning: str
    how: str
    tools: tuple[tuple[str, str], ...]


def _to_read(ask: Ask, board: Board) -> ToRead | None:
    where = ask.arg("read")[:MOST_TYPED]
    name, _, path = where.partition(".")
    feature = role(name).kind.features.get(path.partition(".")[0]) if base_role(name) in ROLES else None
    if feature is None or name not in board.answer.build.parts:
        return None
    first = next((each for each in feature.tools if each in instruments()), "eye")
    return ToRead(where, feature.meaning, feature.measure, _tools(where, ["--with", first]))


def has(path: str) -> bool:
    """Whether there is a page at this address."""
    from kb.web.routes import ROUTES

    return any(re.fullmatch(each.path, path) for each in ROUTES)


def _about(id: str) -> list[tuple[str, str]]:
    """(address, words) of the pages about this build."""
    found = [(address("build", id, piece), words) for piece, words in ABOUT.items()]
    return [each for each in found if has(each[0])]


def _by_milestone(rows: list[ToldItem]) -> dict[str, list[ToldItem]]:
    found: dict[str, list[ToldItem]] = {}
    for each in rows:
        if each.milestone:
            found.setdefault(each.milestone, []).append(each)
    return found


def _step(each: ToldBlocker, id: str, board: Board, number: int) -> Step:
    """What can be done about a blocker from here."""
    verdict = OPEN if each.sort == "cannot tell" else NOT
    if each.item:
        return Step(number, each, verdict, tick=each.item)
    words = each.step.split()
    where = words[3].partition("=")[0] if words[1] == "reading" else ""
    if "." in where:  # a feature of a part; a place of a gauge has none
        return Step(number, each, verdict, where=where, tools=_tools(where, words), supersedes="--supersedes" in words)
    to = {
        "measure": ("Measurements worth taking", address("build", id, "measure")),
        "plan": ("The cheapest change", address("build", id, "plan") + "?change=fewest"),
        "circuits": ("See the circuit", address("build", id, "circuits")),
        "reading": ("Write down what the gauge shows", address("build", id, "readings")),
        "trace": ("Trace it", address("build", id, "trace")),
        "find": ("Find one that fits", "/find?" + query({"build": id, "role": words[2]})),
        "check": ("See the whole answer", "/fit?" + query({"build": id})),
        "blank": ("What the record holds", ""),
    }.get(words[1], ("", ""))
    if to[1] and has(to[1].partition("?")[0]):
        return Step(number, each, verdict, *to)
    if each.sort == "missing part":
        return Step(number, each, verdict, "Fill the role", f"?{query({'fill': each.roles[0]})}#fill")
    return Step(
        number, each, verdict, "See the whole answer", "/fit?" + query({"build": id}) if board.answer.findings else ""
    )


def _tools(where: str, words: list[str]) -> tuple[tuple[str, str], ...]:
    """(id, name) of the feature's instruments, the one that the step names first."""
    name, _, path = where.partition(".")
    feature = role(name).kind.features[path.partition(".")[0]]
    if feature.item is not None and path.count(".") >= 2:
        feature = feature.item.features.get(path.rpartition(".")[2], feature)
    first = words[words.index("--with") + 1] if "--with" in words else "eye"
    table = instruments()
    ids = [first, *(each for each in feature.tools if each != first)]
    return tuple((each, table[each].name) for each in ids if each in table)


def _places(ask: Ask, board: Board, wanted: list[Need]) -> list[Place]:
    """Every role that is filled or needed, the needed ones first in the order of the milestones."""
    build = board.answer.build
    needed: dict[str, Need] = {}
    for need in wanted:
        for each in need.roles if need.sort in ("role", "any_of", "choose") else ():
            if need.sort != "any_of" or not any(base_role(name) == base_role(other) for name in build.parts
                                                for other in need.roles):  # fmt: skip
                needed.setdefault(each, need)
    found = []
    for name, part in build.parts.items():
        need_of = needed.get(name) or needed.get(base_role(name))
        first, why = (need_of.milestone, need_of.why) if need_of else ("", "")
        found.append(_filled(name, part.id, part.name, name in build.owned, first, why, board))
    filled = {*build.parts, *map(base_role, build.parts)}
    for name, need in needed.items():
        met = name in filled or (":" in name and need.state == "met")
        if not met:
            found.append(_filled(name, "", "", False, need.milestone, need.why, board))
    return found


def _filled(name: str, part: str, words: str, owned: bool, milestone: str, why: str, board: Board) -> Place:
    find = "/find?" + query({"build": board.answer.build.id, "role": name}) if has("/find") else ""
    return Place(name, ROLES[base_role(name)].meaning, part, words, owned, milestone, why, find)


def _groups(board: Board, units: str) -> list[Group]:
    """Findings by subsystem, the subsystem with the worst first."""
    rows: dict[str, list[Told]] = {}
    for finding in order(board.answer):
        rows.setdefault(finding.rule.subsystem, []).append(tell(finding, units))
    made = []
    for name, found in rows.items():
        counts: dict[str, int] = {}
        for each in found:
            counts[each.verdict] = counts.get(each.verdict, 0) + 1
        made.append(Group(name, counts, min(counts, key=lambda verdict: _RANK[verdict]), tuple(found)))
    return sorted(made, key=lambda each: _RANK[each.verdict])


def _fill_form(ask: Ask, typed: Mapping[str, str]) -> dict[str, Any]:
    """The form that fills a role: `?fill=pan` chooses the role, and then its parts stand in a list."""
    name, part = typed.get("role") or ask.arg("fill"), typed.get("part") or ask.arg("part")[:MOST_TYPED]
    if base_role(name) not in ROLES:
        return {"fill_role": "", "fill_part": "", "fill_parts": [], "roles": list(ROLES)}
    kind = ROLES[base_role(name)].kind.kind
    parts = queries.parts(ask.con, [kind], LONGEST_LIST + 1)[kind]
    long = len(parts) > LONGEST_LIST
    return {"fill_role": name, "fill_part": part, "fill_parts": parts, "fill_long": long, "roles": list(ROLES)}
