"""A part in front of you: which build, role and part; whether it fits there; one reading, and what it changes.

`/here?build=drover&role=pan&part=deep-pan` is the answer; with `where`, `value` and `tool` it is what a reading would
make of it. Whoever leaves one of the three out is asked for it.
"""

from __future__ import annotations

from typing import Any

from kb.build import Build
from kb.chance import FITS, NOT, OPEN
from kb.comparing import compare
from kb.errors import Fault, Faults, StoreFault
from kb.explain import tell_clash
from kb.judge import Answer
from kb.report import as_json, order
from kb.roles import base_role, role
from kb.say import compare as comparing
from kb.unit_show import SYSTEMS
from kb.web import pictures, queries
from kb.web.addresses import address, query
from kb.web.asking import Ask, Go, Page, Refused, must_keep, must_write
from kb.web.checking import LONGEST, Question, checked, read_question
from kb.web.pages import fit
from kb.web.pages.here_steps import (
    Chosen,
    all_roles,
    role_words,
    trail,
    trouble_page,
    which_build,
    which_part,
    which_role,
)  # fmt: skip
from kb.web.pages.home import count_verdicts
from kb.web.showing import UNITS
from kb.web.to_measure import (
    ENTERED,
    Wanted,
    as_tried,
    deep_feature,
    feature_words,
    of_feature,
    unit_of,
    wanted,
    with_unit,
)  # fmt: skip

OWN = ("build", "role", "part", "q", "ask", "where", "value", "tool", "units")
# The drawings of a whole build that show the part in a role.
DRAWN = {
    "section": ("pan", "pickup", "pan_gasket", "windage_tray", "dipstick"),
    "bay": ("engine_bay", "fan", "radiator", "water_pump", "carburettor"),
    "belt": ("belt", "belt_layout", "alternator", "water_pump", "compressor", "damper"),
    "stack": ("drive_plate", "converter", "crank_spacer", "pilot", "plate_stack", "transmission", "bellhousing"),
}
ASKED = 3  # readings that are offered by name
REASONS = 5


def show(ask: Ask) -> Page | Go:
    """What is still to be chosen, or the answer; what cannot be read stands above the step that it belongs to."""
    try:
        chosen = _chosen(ask)
        if not chosen.build:
            return which_build(ask, chosen)
        if not chosen.role:
            return which_role(ask, chosen)
        role(chosen.role, place=chosen.role[:60])
        if not chosen.part:
            return which_part(ask, chosen)
        if not ask.con.rows("SELECT 1 FROM part WHERE id = ?", (chosen.part,)):
            lost = Fault(f"no part is recorded as {chosen.part[:60]!r}", step="choose it below, or begin its record")
            return which_part(ask, chosen._replace(part=""), trouble=lost)
        return _answer(ask, chosen)
    except StoreFault:
        raise
    except Fault as fault:
        return trouble_page(ask, fault)


def take(ask: Ask) -> Page | Go:
    """Write down what was read on the part, or begin the record of one that has no name, and show what it changes."""
    must_write(ask)
    build, name, part = (ask.field(each).strip()[:LONGEST] for each in ("build", "role", "part"))
    units = ask.field("units") if ask.field("units") in SYSTEMS else "mm"
    chosen = Chosen(build, name, part, Question(), units)
    try:
        if ask.field("unnamed"):
            return _begin(ask, chosen)
        return _taken(ask, chosen)
    except (StoreFault, Refused):
        raise
    except Fault as fault:
        first = fault.faults[0] if isinstance(fault, Faults) else fault
        if not (build and name in all_roles(ask, build)):
            return trouble_page(ask, first)
        if not part:
            return which_part(ask, chosen, trouble=first)
        return _again(ask, chosen, first)


# -- reading what was asked --------------------------------------------------------------------------------------------


def _chosen(ask: Ask) -> Chosen:
    args = {name: given for name, given in ask.args.items() if name not in OWN or name == "units"}
    rest, units, _ = read_question(args)
    if rest.own_limits:
        raise Fault("own limits are no part of this question", place="limit", step="record them in the build")
    build, name, part = (ask.arg(each)[:LONGEST] for each in ("build", "role", "part"))
    others = tuple(each for each in rest.roles if each[0] != name)
    return Chosen(build, name, part, rest._replace(roles=others), units)


def _tried(ask: Ask, chosen: Chosen) -> tuple[str, str, str]:
    """(where, text, instrument) of the value to try, as typed; an empty text for none."""
    where, text, tool = (ask.arg(each)[:LONGEST] for each in ("where", "value", "tool"))
    text = with_unit(text, _unit(where, chosen))
    if text and not where.startswith(f"{chosen.role}."):
        raise Fault("what was read is not named", place="where", step=f"name a feature: {chosen.role}.FEATURE")
    return where, text, tool


def _unit(where: str, chosen: Chosen) -> str:
    """The unit that stands beside the field of a feature; empty where there is no such feature."""
    try:
        feature = deep_feature(where)
    except Fault:
        return ""
    return unit_of(feature, chosen.units)


def narrowed(answer: Answer, name: str) -> Answer:
    """What an answer says of the part in one role: the questions that read it, the clashes that name the role."""
    base, _, qualifier = name.partition(":")
    findings = tuple(
        each for each in answer.findings
        if base in (*each.rule.roles, *each.rule.optional_roles)
        and (each.qualifier in ("", qualifier) or any(leaf.role == name for leaf in each.question.leaves))
    )  # fmt: skip
    clashes = tuple(
        each for each in answer.clashes if any(base_role(side.role) == base for side in each.incompatibility.parties)
    )
    not_asked = tuple(each for each in answer.not_asked if base in each[0].roles)
    return answer._replace(findings=findings, clashes=clashes, not_asked=not_asked)


# -- the answer --------------------------------------------------------------------------------------------------------


def _answer(ask: Ask, chosen: Chosen, trouble: Fault | None = None) -> Page:
    whole = checked(ask, chosen.question)
    where, text, tool = ("", "", "") if trouble else _tried(ask, chosen)
    seen = whole
    if text:
        try:
            spread = ask.base.instrument(tool) if tool else None
            override = (where, as_tried(text, where, spread))
            rest = tuple(each for each in chosen.question.overrides if each[0] != where)
            seen = checked(ask, chosen.question._replace(overrides=(*rest, override)))
        except StoreFault:
            raise
        except Fault as fault:
            trouble, text = Fault(fault.message, place=where, step=fault.step), text
    values, answer = _said(ask, chosen, seen)
    field = _field(ask, chosen, whole, where)
    values |= {
        "trouble": trouble,
        "tried": (feature_words(where), text) if text and not trouble else None,
        "field": field,
        "typed": text or ask.field("value")[:LONGEST],
        "tool": tool or ask.field("tool")[:60] or (field.tools[0].id if field and field.tools else ""),
        "old": ask.field("old") == "yes",
        "others": [(each.words, chosen.to(ask=each.where)) for each in _asked(ask, chosen, whole)
                   if field is None or each.where != field.where],
        "features": _features(chosen),
    }  # fmt: skip
    data = as_json(answer, system=chosen.units) | {"role": chosen.role, "part": chosen.part}
    data["measure"] = [each.where for each in _asked(ask, chosen, whole)]
    if trouble:
        data = {"ok": False, "status": 400, "error": trouble.message, "place": trouble.place, "next": trouble.step}
    return Page("matchmark/here.html", _title(answer, chosen), values, data, 400 if trouble else 200)


def _title(answer: Answer, chosen: Chosen) -> str:
    return f"{answer.build.parts[chosen.role].name}: {answer.verdict}"


def _said(ask: Ask, chosen: Chosen, whole: Answer) -> tuple[dict[str, Any], Answer]:
    """What the page says of the answer, and the part of it that is about this role."""
    answer = narrowed(whole, chosen.role)
    build: Build = whole.build
    findings = [fit.shown(each, answer, chosen.units, number) for number, each in enumerate(order(answer))]
    inside = queries.roles_of(ask.con, chosen.build).get(chosen.role, "")
    same = fit.query_of(chosen.question, chosen.units)
    reasons = list(dict.fromkeys(why for _, why in answer.not_asked))
    return {
        "chosen": chosen,
        "trail": trail(ask, chosen),
        "answer": answer,
        "part": build.parts[chosen.role],
        "what": role_words(chosen.role),
        "whole": whole.verdict,
        "counts": count_verdicts(answer),
        "not_asked": len(answer.not_asked),
        "reasons": reasons[:REASONS],
        "clashes": [tell_clash(each) for each in answer.clashes],
        "bad": [each for each in findings if each.finding.verdict == NOT],
        "open": [each for each in findings if each.finding.verdict == OPEN],
        "good": [each for each in findings if each.finding.verdict == FITS],
        "drawings": [
            each
            for name, heading, make in pictures.WHOLE
            if base_role(chosen.role) in DRAWN.get(name, ())
            if (each := (name, heading, make(build, chosen.units)))[2]
        ],
        "inside": inside == chosen.part,
        "instead": inside,
        "address_here": chosen.to(),
        "other_units": [
            (UNITS[each], chosen.to(units=each if each != "mm" else "")) for each in SYSTEMS if each != chosen.units
        ],
        "check": f"/fit?{same}",
        "find": "/find?" + query({"role": chosen.role, "build": chosen.build}),
        "put_in": address("build", chosen.build) + "?" + query({"fill": chosen.role, "part": chosen.part}) + "#fill",
        "may_write": ask.may_write,
        "moves": None,
        "written": None,
        "tried": None,
    }, answer


def _terms(ask: Ask) -> list[str]:
    return ask.base.ids("term")


def _asked(ask: Ask, chosen: Chosen, whole: Answer) -> list[Wanted]:
    answer = narrowed(whole, chosen.role)
    return wanted(answer, ask.base.instruments(), _terms(ask), of=chosen.role, most=ASKED, system=chosen.units)


def _field(ask: Ask, chosen: Chosen, whole: Answer, tried: str = "") -> Wanted | None:
    """The reading that the page has a field for: the one asked for, else the one that settles most."""
    asked = _asked(ask, chosen, whole)
    where = ask.arg("ask")[:LONGEST] or tried or ask.field("where")[:LONGEST]
    known = next((each for each in asked if each.where == where), None)
    if known is not None or not where.startswith(f"{chosen.role}."):
        return known or (asked[0] if asked else None)
    return of_feature(where, whole.build.parts[chosen.role], ask.base.instruments(), _terms(ask), chosen.units)


def _features(chosen: Chosen) -> list[tuple[str, str]]:
    """(role.feature, in words) of what can be read on a part of this sort."""
    return [
        (f"{chosen.role}.{each.name}", f"{each.name.replace('_', ' ')}: {each.meaning}")
        for each in role(chosen.role).kind.features.values()
        if each.sort in ENTERED
    ]


# -- writing -----------------------------------------------------------------------------------------------------------


def _begin(ask: Ask, chosen: Chosen) -> Go:
    from kb.store.held import note_unnamed

    name = ask.field("name").strip()[:LONGEST]
    if not name:
        raise Fault("the name is missing", place="name", step="write what you would call it, such as: pan, top shelf")
    id = note_unnamed(ask.site.path, chosen.build, chosen.role, name, by=ask.user, origin="page")
    return Go(chosen.to(part=id))


def _taken(ask: Ask, chosen: Chosen) -> Page:
    from kb.store.held import take_reading_of

    where, text = ask.field("where").strip()[:LONGEST], ask.field("value").strip()[:LONGEST]
    text = with_unit(text, _unit(where, chosen))
    if not where.startswith(f"{chosen.role}."):
        raise Fault("what was measured is not named", place="where", step="choose what you measured")
    if not text:
        raise Fault("the value is missing", place=where, step="write it with its unit, for example 188.4 mm")
    if ask.field("old") == "yes":
        must_keep(ask)
    before = checked(ask, chosen.question)
    done = take_reading_of(
        ask.site.path, chosen.build, chosen.part, where, text, tool=ask.field("tool").strip()[:60], by=ask.user,
        supersedes=ask.field("old") == "yes", origin="page",
    )  # fmt: skip
    now = chosen._replace(part=done.part)
    after = checked(ask, now.question)
    values, answer = _said(ask, now, after)
    found = compare(narrowed(before, chosen.role), answer)
    field = _after(ask, now, after, where)
    values |= {
        "trouble": None,
        "written": {"words": feature_words(where), "text": text, "made": done.made,
                    "before": narrowed(before, chosen.role).verdict},
        "told": comparing.tell(found, chosen.units),
        "moves": found,
        "field": field,
        "typed": "",
        "tool": field.tools[0].id if field and field.tools else "",
        "old": False,
        "others": [], "features": _features(now),
    }  # fmt: skip
    return Page("matchmark/here.html", _title(answer, now), values)


def _after(ask: Ask, chosen: Chosen, whole: Answer, where: str) -> Wanted | None:
    """What to read next: the first of the list that was not read just now."""
    return next((each for each in _asked(ask, chosen, whole) if each.where != where), None)


def _again(ask: Ask, chosen: Chosen, fault: Fault) -> Page:
    """The answer as it is, with the fault at the field and what was typed."""
    try:
        return _answer(ask, chosen, fault)
    except StoreFault:
        raise
    except Fault as other:
        return trouble_page(ask, other)
