"""Will it fit: the form, and the answer at an address of its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple
from urllib.parse import quote, urlencode

from kb.chance import FITS, NOT, OPEN
from kb.errors import Fault
from kb.explain import Told, input_rows, tell, tell_clash
from kb.judge import Answer, Finding
from kb.report import EXIT, as_json, order
from kb.roles import ROLES
from kb.say.check_record import draft
from kb.web import pictures, queries
from kb.web.addresses import query
from kb.web.asking import Ask, Go, Page
from kb.web.checking import Question, as_args, checked, read_question
from kb.web.pages.home import count_verdicts

MAIN_ROLES = ("block", "car", "oil_pump", "pan", "pan_gasket", "pickup", "pickup_seal")
LONGEST_LIST = 300  # parts in a select; above that a field takes the id, with a list to complete it from
MOST_IN_LIST = 2000
SUGGESTED, EACH = 8, 3  # values to try that are offered by name: in all, and of one finding
DRAWN = {"block", "pan"}  # without either, a section would show a pickup that hangs from nothing
TRIED = ("dimension", "count", "choice", "flag")


class Choice(NamedTuple):
    """A role in the form. set: the part from the build, when a build is chosen."""

    role: str
    meaning: str
    kind: str
    parts: list[queries.Named]
    chosen: str
    set: str

    @property
    def long(self) -> bool:
        return len(self.parts) > LONGEST_LIST


class Try(NamedTuple):
    """A value that the form offers to try."""

    path: str
    meaning: str
    now: str
    text: str


class Shown(NamedTuple):
    """A finding as the page shows it."""

    told: Told
    finding: Finding
    curve: str
    seating: str
    report: str

    @property
    def name(self) -> str:
        """The rule, with the part it was asked of where a role is filled more than once."""
        return self.finding.name

    @property
    def anchor(self) -> str:
        """The finding's place on the page."""
        return self.finding.name.replace(":", "--")


def show(ask: Ask) -> Page | Go:
    """The form alone, or with the answer; what cannot be read comes back in the form with what is wrong."""
    trouble: Fault | None = None
    question, units, answer = Question(), "mm", None
    try:
        question, units, shortest = read_question(ask.args)
        if not shortest and not question.empty:
            return Go("/fit?" + query_of(question, units))
        if not question.empty:
            answer = checked(ask, question)
    except Fault as fault:
        trouble = fault
    values: dict[str, Any] = {
        "units": units,
        "trouble": trouble,
        "answer": answer,
        "typed": {name: (given or [""])[0][:200] for name, given in ask.args.items()},
    }
    values.update(_form(ask, question, answer, units))
    if answer is not None:
        values.update(_result(ask, answer, question, units))
    data: Any = as_json(answer, system=units) if answer is not None else _no_answer(trouble)
    heading = "Will it fit?" if answer is None else f"{answer.build.name}: {answer.verdict}"
    return Page("matchmark/fit.html", heading, values, data, 400 if trouble else 200)


def _no_answer(trouble: Fault | None) -> dict[str, Any]:
    if trouble is None:
        step = "add ?build=... or parts as role=part, for example ?pan=...&pickup=..."
        return {"ok": True, "next": step}
    return {"ok": False, "status": 400, "error": trouble.message, "place": trouble.place, "next": trouble.step}


def query_of(question: Question, units: str) -> str:
    """The query that asks this again."""
    return query_pairs(as_args(question, units))


def query_pairs(pairs: Sequence[tuple[str, str]]) -> str:
    """Pairs as a query; names may repeat."""
    return "&".join(query({name: value}) for name, value in pairs)


# -- the form ------------------------------------------------------------------------------------------------------


def _form(ask: Ask, question: Question, answer: Answer | None, units: str) -> dict[str, Any]:
    kinds = dict.fromkeys(role.kind.kind for role in ROLES.values())
    try:
        parts = queries.parts(ask.con, kinds, MOST_IN_LIST)
        builds = queries.builds(ask.con)
        from_build = queries.roles_of(ask.con, ask.arg("build"))
    except Fault:
        parts, builds, from_build = {kind: [] for kind in kinds}, [], {}
    choices = [
        Choice(name, role.meaning, role.kind.kind, parts[role.kind.kind], ask.arg(name), from_build.get(name, ""))
        for name, role in ROLES.items()
    ]
    overrides = dict(question.overrides)
    tries = _suggested(answer, units) if answer is not None else []
    tries = [each for each in tries if each.path not in overrides]
    own = [Try(path, "", "", text) for path, text in overrides.items()]
    by_name = {each.role: each for each in choices}
    rest = [each for each in choices if each.role not in MAIN_ROLES and (each.parts or each.chosen)]
    return {
        "builds": builds,
        "build": ask.arg("build"),
        "main_choices": [by_name[name] for name in MAIN_ROLES],
        "other_choices": rest,
        "others_open": any(each.chosen for each in rest),
        "tries": [*own, *tries],
        "limits": question.own_limits,
        "free_try": (ask.arg("try"), ask.arg("value")),
        "features": _features(answer),
    }


def _suggested(answer: Answer, units: str) -> list[Try]:
    """The values that matter most to what does not fit or cannot be told: a few of each finding."""
    found: dict[str, Try] = {}
    for finding in order(answer):
        if finding.verdict == FITS:
            break
        shown = {name: value for name, value, _ in input_rows(finding, units)}
        before = len(found)
        for leaf in (*(each.leaf for each in finding.drivers), *finding.question.leaves):
            if "." in leaf.path or leaf.feature.sort not in TRIED or len(found) - before >= EACH:
                continue
            now = shown.get(leaf.name, "not recorded")
            found.setdefault(leaf.name, Try(leaf.name, leaf.feature.meaning, now, ""))
    return list(found.values())[:SUGGESTED]


def _features(answer: Answer | None) -> list[str]:
    """Names to complete the free field from."""
    if answer is None:
        return []
    return [
        f"{name}.{feature.name}"
        for name in answer.build.parts
        for feature in ROLES[name.partition(":")[0]].kind.features.values()
        if feature.sort in TRIED
    ]


# -- the answer ----------------------------------------------------------------------------------------------------


def _result(ask: Ask, answer: Answer, question: Question, units: str) -> dict[str, Any]:
    findings = [_shown(each, answer, units, number) for number, each in enumerate(order(answer))]
    address = query_of(question, units)
    return {
        "counts": count_verdicts(answer),
        "exit_status": EXIT[answer.verdict],
        "changes": _changes(ask, answer, question),
        "single": len(answer.build.parts) == 1,
        "waiting": [(rule.id, why) for rule, why in answer.waiting],
        "section": pictures.section(answer.build, units) if DRAWN & set(answer.build.parts) else "",
        "clashes": [tell_clash(each) for each in answer.clashes],
        "bad": [each for each in findings if each.finding.verdict == NOT],
        "open": [each for each in findings if each.finding.verdict == OPEN],
        "good": [each for each in findings if each.finding.verdict == FITS],
        "not_asked": answer.not_asked,
        "address_here": f"/fit?{address}",
        "twin": f"/fit.json?{address}",
        "report": _report(answer, tuple(name for name in ("pan", "pickup") if name in answer.build.parts)),
    }


def _changes(ask: Ask, answer: Answer, question: Question) -> list[str]:
    """What was asked otherwise than the build has it, in words: its name no longer tells what was checked."""
    if not question.build:
        return []
    own = queries.roles_of(ask.con, question.build)
    found = [
        f"{role.replace('_', ' ')} {answer.build.parts[role].name}"
        + (f" instead of {own[role]}" if role in own else "")
        for role, part in question.roles
        if role in answer.build.parts and part != own.get(role)
    ]
    found += [f"{path} = {text}" for path, text in question.overrides]
    return found + [f"limit {name} = {text}" for name, text in question.own_limits]


def _shown(finding: Finding, answer: Answer, units: str, number: int) -> Shown:
    told = tell(finding, units)
    if finding.verdict == FITS:
        return Shown(told, finding, "", "", "")
    return Shown(
        told,
        finding,
        pictures.curve(finding, answer.settings, units, f"c{number}"),
        pictures.seating(finding, units, f"m{number}"),
        _report_of(answer, finding, units),
    )


def _report_of(answer: Answer, finding: Finding, units: str) -> str:
    """The address of the form to report a clash, with what the check found filled in."""
    record = draft(finding, answer.build, units)
    pairs = [(each["role"], each["part"]) for each in record["parties"]]
    pairs += [(name, record[name]) for name in ("title", "symptom", "cause", "found", "remedy") if name in record]
    pairs += [("harm", each) for each in record["harm"]] + [("milestone", record["milestone"])]
    for each in record["evidence"]:
        path = f"{each['role']}.{each['feature']}" if "feature" in each else ""
        pairs += [("seen", each["text"]), ("seen_feature", path), ("seen_reading", each.get("reading", ""))]
    return f"/incompatibility/new?{urlencode(pairs, quote_via=quote)}"


def _report(answer: Answer, roles: Sequence[str]) -> str:
    """The address of the form to report a clash, with these roles filled in."""
    named = {role: answer.build.parts[role].id for role in roles if role in answer.build.parts}
    return "/incompatibility/new" + (f"?{query(named)}" if named else "")
