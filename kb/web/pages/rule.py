"""The rules: what each asks, how it computes, its limits with their sources, worked cases, how to measure inputs."""

from __future__ import annotations

from typing import Any, NamedTuple

from kb import catalogue, units
from kb.measure import instruments
from kb.rules import Rule, load_rules, rule_named
from kb.rules._rule import HARMS, Case
from kb.web.asking import Ask, Page
from kb.web.live_example import examples
from kb.web.pages.part import units_of


class Worked(NamedTuple):
    """A worked example in words."""

    given: tuple[tuple[str, str], ...]
    due: str
    holds: str
    origin: str


def listed(ask: Ask) -> Page:
    """All rules, by subsystem."""
    found: dict[str, list[Rule]] = {}
    for each in load_rules().values():
        found.setdefault(each.subsystem, []).append(each)
    data = [catalogue.rule_data(each) for each in load_rules().values()]
    return Page("matchmark/rules.html", "Rules", {"subsystems": found}, data)


def show(ask: Ask) -> Page:
    """One rule, with what it says of recorded builds."""
    rule = rule_named(ask.vars["id"])
    system = units_of(ask)
    table = instruments()
    inputs = {}
    for each in rule.inputs:
        feature = each.of.feature
        inputs[str(each.of)] = {
            "meaning": feature.meaning,
            "optional": each.optional,
            "measure": feature.measure,
            "tools": [table[name].name for name in feature.tools if name in table],
            "kind": feature.kind,
        }
    limits = [
        {
            "limit": each,
            "bound": catalogue.bound_words(rule, each, system),
            "harm": HARMS[each.harm],
            "weak": not each.may_condemn,
        }
        for each in rule.limits
    ]
    values = {
        "rule": rule,
        "units": system,
        "inputs": inputs,
        "limits": limits,
        "when": [(str(on), [code.replace("_", " ") for code in codes]) for on, codes in rule.when],
        "cases": [_worked(rule, each, system) for each in rule.cases],
        "examples": examples(ask, rule, system),
    }
    return Page("matchmark/rule.html", rule.id, values, catalogue.rule_data(rule))


def _worked(rule: Rule, case: Case, system: str) -> Worked:
    features = {each.name: each.of.feature for each in rule.inputs}
    given = tuple(
        (name, _words(value, features[name].quantity if name in features else rule.quantity, system))
        for name, value in case.given.items()
    )
    holds = {True: "inside its limits", False: "outside", None: "outside the usual range only"}[case.holds]
    return Worked(given, units.show(case.due, rule.quantity, system), holds, case.origin)


def _words(value: Any, quantity: str, system: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return units.show(value, quantity or "number", system)
    if isinstance(value, (set, frozenset)):
        return ", ".join(sorted(value)) or "none"
    if isinstance(value, (list, tuple)):
        return f"a list of {len(value)}"
    return str(value).replace("_", " ")
