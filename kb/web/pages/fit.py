"""Will it fit: the form, and the answer at an address of its own."""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple
from urllib.parse import quote, urlencode

from markupsafe import Markup

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
from kb.web.checking import Question, as_args, checked, drawn, read_question
from kb.web.pages.home import count_verdicts
from kb.web.to_measure import Wanted, feature_words, wanted

MAIN_ROLES = ("block", "car", "oil_pump", "pan", "pan_gasket", "pickup", "pickup_seal")
LONGEST_LIST = 300  # parts in a select; above that a field takes the id, or words to find some by
FOUND = 50  # parts that such words find, or that a field is completed from
MEASURED = 5  # readings that are named above the findings
SUGGESTED, EACH = 8, 3  # values to try that are offered by name: in all, and of one finding
TRIED = ("dimension", "count", "choice", "flag")


class Choice(NamedTuple):
    """A role in the form.

    parts: those to choose from, or some where there are too many (long). options: the same as HTML, none chosen.
    set: the part from the build, when a build is chosen. sought: words that no part is called by; parts are then those
    that they find.
    """

    role: str
    meaning: str
    kind: str
    parts: list[queries.Named]
    chosen: str
    set: str
    long: bool
    options: Markup
    fields: dict[str, Markup]
    sought: str = ""

    @property
    def field(self) -> Markup:
        """The field as it was made before, where it is the same for everybody; empty if it was not or is not."""
        return Markup() if self.chosen or self.set or self.sought else self.fields.get(self.role, Markup())

    def made(self, field: Markup) -> Markup:
        """The same field, kept for the next page."""
        if not (self.chosen or self.set or self.sought):
            self.fields[self.role] = field
        return field

    @property
    def listed(self) -> Markup:
        """The options, with the one that is chosen."""
        if not self.chosen:
            return self.options
        one = Markup('<option value="{}"').format(self.chosen)
        if one + ">" in self.options:
            return Markup(self.options.replace(one + ">", f"{one} selected>", 1))
        return self.options + Markup("{} selected>{} (not in the base)</option>").format(one, self.chosen)


class Try(NamedTuple):
    """A value that the form offers to try; words: its path as people say it."""

    path: str
    words: str
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
    if answer is None:
        return Page("matchmark/fit.html", "Will it fit?", values, _no_answer(trouble), 400 if trouble else 200)
    told = answer
    values.update(drawn(ask, question, units, lambda: _result(ask, told, question, units)))
    heading = f"{answer.build.name}: {answer.verdict}"
    return Page("matchmark/fit.html", heading, values, lambda: as_json(told, system=units))


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
        lists = _lists(ask, kinds)
        builds = queries.builds(ask.con)
        from_build = queries.roles_of(ask.con, ask.arg("build"))
    except Fault:
        lists, builds, from_build = Lists({kind: ([], Markup()) for kind in kinds}, {}), [], {}
    choices = []
    for name, role in ROLES.items():
        parts, options = lists.kinds[role.kind.kind]
        long = len(parts) > LONGEST_LIST
        made = Choice(
            name, role.meaning, role.kind.kind, parts[:FOUND] if long else parts, ask.arg(name),
            from_build.get(name, ""), long, options, lists.fields,
        )  # fmt: skip
        choices.append(_sought(ask, made) if long and made.chosen else made)
    overrides = dict(question.overrides)
    tries = _suggested(answer, units) if answer is not None else []
    tries = [each for each in tries if each.path not in overrides]
    own = [Try(path, _feature_words(path), "", "", text) for path, text in overrides.items()]
    by_name = {each.role: each for each in choices}
    rest = [each for each in choices if each.role not in MAIN_ROLES and (each.parts or each.chosen)]
    return {
        "LONGEST_LIST": LONGEST_LIST,
        "FOUND": FOUND,
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


class Lists(NamedTuple):
    """What the form offers. kinds: parts and their options by kind; fields: of roles that nothing is chosen for."""

    kinds: dict[str, tuple[list[queries.Named], Markup]]
    fields: dict[str, Markup]


_LISTS: OrderedDict[tuple[str, int, int], Lists] = OrderedDict()


def _lists(ask: Ask, kinds: Iterable[str]) -> Lists:
    """The lists, kept while the base stays as it is."""
    key = (ask.site.path, queries.stamp(ask.con), LONGEST_LIST)
    found = _LISTS.get(key)
    if found is None:
        parts = queries.some_parts(ask.con, kinds, LONGEST_LIST)
        listed = {
            kind: (each, Markup() if len(each) > LONGEST_LIST else _options(each)) for kind, each in parts.items()
        }
        found = _LISTS[key] = Lists(listed, {})
        while len(_LISTS) > 2:
            _LISTS.popitem(last=False)
    return found


def _options(parts: Sequence[queries.Named]) -> Markup:
    one = Markup('<option value="{}">{}</option>\n')
    return Markup("").join(one.format(each.id, each.label) for each in parts)


def _sought(ask: Ask, choice: Choice) -> Choice:
    """Of too many parts, those that what was typed finds, where it is no part's id."""
    try:
        if queries.named(ask.con, [choice.chosen]):
            return choice
        found = queries.parts_like(ask.con, choice.kind, choice.chosen, FOUND)
    except Fault:
        return choice
    if not found:
        return choice
    return choice._replace(parts=found, options=_options(found), long=False, chosen="", sought=choice.chosen)


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
            found.setdefault(leaf.name, Try(leaf.name, feature_words(leaf.name), leaf.feature.meaning, now, ""))
    return list(found.values())[:SUGGESTED]


def _feature_words(path: str) -> str:
    """As `feature_words`, and any other text as it was typed."""
    return feature_words(path) if re.fullmatch(r"[a-z0-9_:.+-]+", path) else path


def _features(answer: Answer | None) -> list[tuple[str, str]]:
    """(name, words) to complete the free field from."""
    if answer is None:
        return []
    return [
        (f"{name}.{feature.name}", f"{feature_words(f'{name}.{feature.name}')}: {feature.meaning}")
        for name in answer.build.parts
        for feature in ROLES[name.partition(":")[0]].kind.features.values()
        if feature.sort in TRIED
    ]


# -- the answer ----------------------------------------------------------------------------------------------------


def _result(ask: Ask, answer: Answer, question: Question, units: str) -> dict[str, Any]:
    findings = [shown(each, answer, units, number) for number, each in enumerate(order(answer))]
    address = query_of(question, units)
    return {
        "counts": count_verdicts(answer),
        "exit_status": EXIT[answer.verdict],
        "changes": _changes(ask, answer, question),
        "single": len(answer.build.parts) == 1,
        "measured": _measured(answer, question, units),
        "wanted": [(each, _here(answer, question, units, each.where)) for each in _wanted(ask, answer, units)],
        "waiting": [(rule.id, why) for rule, why in answer.waiting],
        "drawings": pictures.of_build(answer.build, units),
        "clashes": [tell_clash(each) for each in answer.clashes],
        "bad": [each for each in findings if each.finding.verdict == NOT],
        "open": [each for each in findings if each.finding.verdict == OPEN],
        "good": [each for each in findings if each.finding.verdict == FITS],
        "not_asked": answer.not_asked,
        "address_here": f"/fit?{address}",
        "twin": f"/fit.json?{address}",
        "report": _report(answer, tuple(name for name in ("pan", "pickup") if name in answer.build.parts)),
    }


def _wanted(ask: Ask, answer: Answer, units: str) -> list[Wanted]:
    return wanted(answer, ask.base.instruments(), ask.base.ids("term"), most=MEASURED, system=units)


def _measured(answer: Answer, question: Question, units: str) -> list[tuple[str, str, str]]:
    """(words, text, address where it is written down) of the values that were tried on a recorded build."""
    return [
        (feature_words(path), text, to)
        for path, text in question.overrides
        if (to := _here(answer, question, units, path, value=text))
    ]


def _here(answer: Answer, question: Question, units: str, where: str, **more: str) -> str:
    """The address of the page of one part in this build, with a field for this feature; empty without a build."""
    name = where.partition(".")[0]
    if not question.build or name not in answer.build.parts:
        return ""
    said = {"build": question.build, "role": name, "part": answer.build.parts[name].id, "where": where, **more}
    return "/here?" + query({**said, **({"units": units} if units != "mm" else {})}) + "#measure"


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
    found += [f"{_feature_words(path)} = {text}" for path, text in question.overrides]
    return found + [f"limit {name} = {text}" for name, text in question.own_limits]


def shown(finding: Finding, answer: Answer, units: str, number: int) -> Shown:
    """What the page says and draws of a finding; number: of its place, to keep the names in drawings apart."""
    told = tell(finding, units)
    if finding.verdict == FITS:
        return Shown(told, finding, "", "", "")
    return Shown(
        told,
        finding,
        pictures.curve(finding, answer.settings, units, f"c{number}"),
        pictures.of_finding(finding, answer.build, units, f"m{number}"),
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
