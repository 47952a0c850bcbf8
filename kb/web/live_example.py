"""A rule at work on a recorded build: a finding computed now, with its drawing, for the page of the rule."""

from __future__ import annotations

import time
from typing import NamedTuple

from kb.chance import FITS
from kb.errors import Fault
from kb.explain import Told, tell
from kb.finding import Finding
from kb.judge import Answer
from kb.roles import base_role
from kb.rules import Rule
from kb.web import pictures, queries
from kb.web.addresses import query
from kb.web.asking import Ask
from kb.web.checking import Question, checked

MOST_BUILDS = 40  # that are looked through for one that fills the rule's roles
PATIENCE_S = 1.0  # after which no further build is checked


class Example(NamedTuple):
    """One finding of the rule. curve, drawing: markup, empty where there is none; check: address of the whole check."""

    build: str
    build_name: str
    told: Told
    curve: str
    drawing: str
    check: str


def examples(ask: Ask, rule: Rule, units: str) -> list[Example]:
    """At most one finding that is in trouble and one that fits, of the fullest builds; empty where no build asks it."""
    began = time.monotonic()
    bad: Example | None = None
    good: Example | None = None
    for build in queries.fullest_builds(ask.con, MOST_BUILDS):
        filled = {base_role(name) for name in queries.roles_of(ask.con, build.id)}
        if not {base_role(name) for name in rule.roles} <= filled:
            continue
        try:
            answer = checked(ask, Question(build.id))
        except Fault:  # a build that cannot be checked is no example
            continue
        for finding in (each for each in answer.findings if each.rule.id == rule.id):
            if finding.verdict == FITS:
                good = good or _example(build, answer, finding, units, "g")
            else:
                bad = bad or _example(build, answer, finding, units, "b")
        if (bad and good) or time.monotonic() - began > PATIENCE_S:
            break
    found = [each for each in (bad, good) if each is not None]
    # A drawing of the whole build would stand there twice with the same names inside.
    return [found[0], *(each._replace(drawing="") for each in found[1:])] if found else []


def _example(build: queries.Named, answer: Answer, finding: Finding, units: str, prefix: str) -> Example:
    anchor = finding.name.replace(":", "--")
    return Example(
        build.id,
        build.name,
        tell(finding, units),
        pictures.curve(finding, answer.settings, units, f"{prefix}c"),
        pictures.of_finding(finding, answer.build, units, f"{prefix}m", whole=True),
        "/fit?" + query({"build": build.id, **({"units": units} if units != "mm" else {})}) + f"#{anchor}",
    )
