"""The rules and roles as text and as plain data: for the terminal, the docs and the pages."""

from __future__ import annotations

import json
import textwrap
from functools import partial
from typing import Any

from kb import units
from kb.roles import ROLES, RoleFeature
from kb.rules import Rule, chosen_rules, rule_named
from kb.rules._rule import HARMS, Limit

_wrap = partial(textwrap.wrap, break_on_hyphens=False)


def bound_words(rule: Rule, limit: Limit, system: str = "mm") -> str:
    """`at least 1.5 mm`, or `at most crank_sensor.gap_most`."""
    if isinstance(limit.bound, RoleFeature):
        return f"at {limit.side} {limit.bound}"
    return f"at {limit.side} {units.show(limit.bound, rule.quantity, system)}"


def rules_text(subsystem: str, as_data: bool, width: int) -> str:
    """The list of rules, one a line, by subsystem."""
    rules = chosen_rules((), subsystem)
    if as_data:
        return json.dumps([rule_data(each) for each in rules], indent=2, ensure_ascii=False) + "\n"
    lines: list[str] = []
    heading = ""
    for each in rules:
        if each.subsystem != heading:
            heading = each.subsystem
            lines += ["", heading]
        lines += _wrap(each.asks, width, initial_indent=f"  {each.id:25} ", subsequent_indent=" " * 28)
    return "\n".join(lines[1:]) + "\n"


def rule_text(name: str, as_data: bool, system: str, width: int) -> str:
    """One rule whole."""
    rule = rule_named(name)
    if as_data:
        return json.dumps(rule_data(rule), indent=2, ensure_ascii=False) + "\n"
    lines = [rule.id, "=" * len(rule.id), *_wrap(rule.lesson, width), "", *_wrap(rule.asks, width), ""]
    lines += _wrap(rule.formula, width, subsequent_indent="    ")
    lines += ["", "reads"]
    for each in rule.inputs:
        note = " (may be left empty)" if each.optional else ""
        lines += _wrap(
            f"{each.of}{note}: {each.of.feature.meaning}", width, initial_indent="  ", subsequent_indent="    "
        )
    for limit in rule.limits:
        lines += ["", f"limit {limit.name}: {bound_words(rule, limit, system)}"]
        weak = "" if limit.may_condemn else "; never condemns, only says outside the usual range"
        for label, words in (
            ("why", limit.why),
            ("harm", f"{HARMS[limit.harm]}; blocks {limit.milestone}"),
            ("fix", limit.fix),
            ("source", limit.source.title + weak),
        ):
            lines += _wrap(f"{label}: {words}", width, initial_indent="  ", subsequent_indent="    ")
    for on, codes in rule.when:
        lines += ["", *_wrap(f"asked when {on} is {' or '.join(codes)}", width, subsequent_indent="  ")]
    for words in (rule.advice, rule.caution):
        if words:
            lines += ["", *_wrap(words, width)]
    return "\n".join(lines) + "\n"


def rule_data(rule: Rule) -> dict[str, Any]:
    """One rule as plain data."""
    return {
        "id": rule.id,
        "subsystem": rule.subsystem,
        "asks": rule.asks,
        "lesson": rule.lesson,
        "formula": rule.formula,
        "quantity": rule.quantity,
        "form": rule.form,
        "roles": list(rule.roles),
        "optional_roles": list(rule.optional_roles),
        "inputs": [str(each.of) for each in rule.inputs],
        "when": {str(on): list(codes) for on, codes in rule.when},
        "limits": [
            {
                "name": limit.name,
                "bound": bound_words(rule, limit),
                "why": limit.why,
                "harm": limit.harm,
                "milestone": limit.milestone,
                "fix": limit.fix,
                "source": limit.source.title,
                "may_condemn": limit.may_condemn,
            }
            for limit in rule.limits
        ],
        "advice": rule.advice,
        "caution": rule.caution,
    }


def roles_text(as_data: bool, width: int) -> str:
    """The roles, and what can be recorded of the part in each."""
    if as_data:
        data = {
            name: {
                "kind": role.kind.kind,
                "meaning": role.meaning,
                "features": {each.name: each.meaning for each in role.kind.features.values()},
            }
            for name, role in ROLES.items()
        }
        return json.dumps(data, indent=2, ensure_ascii=False) + "\n"
    lines: list[str] = []
    for name, role in ROLES.items():
        lines += ["", *_wrap(f"{name}: {role.meaning}", width)]
        for feature in role.kind.features.values():
            lines += _wrap(
                f"{name}.{feature.name}: {feature.meaning}", width, initial_indent="  ", subsequent_indent="    "
            )
    return "\n".join(lines[1:]) + "\n"
