"""The drawings as safe markup for the templates. A drawing that fails leaves the words standing."""

from __future__ import annotations

import sys
import traceback
from collections.abc import Callable, Mapping

from markupsafe import Markup

from kb.build import Build
from kb.chance import Settings
from kb.circuit.graph import Circuit
from kb.explain import detail_of
from kb.judge import Finding
from kb.ready.bands import Series
from kb.records.part import Part


def section(build: Build, units: str) -> str:
    """Section through the sump; empty without a pan, or a pickup and the block that it hangs from."""
    from kb.drawing import sump_section

    if "pan" not in build.parts and not {"block", "pickup"} <= set(build.parts):
        return ""
    return _made(lambda: sump_section(build, system=units, prefix="s"))


def curve(finding: Finding, settings: Settings, units: str, prefix: str) -> str:
    """The probability of the quantity against its limits; empty where it has no spread."""
    from kb.drawing import chance_curve

    if finding.quantity is None or not finding.u or not finding.checks:
        return ""
    return _made(lambda: chance_curve(finding, system=units, prefix=prefix))


def seating(finding: Finding, units: str, prefix: str) -> str:
    """Map of the flange's stations, for rules that judge them."""
    from kb.drawing import seating_map

    if finding.rule.form != "stations":
        return ""
    detail = detail_of(finding)
    # Other rules judge stations too: positions of a belt, passages of a carburettor. Only a flange has places in plan.
    stations = detail.get("stations") if detail else None
    if not detail or not stations or not all("x" in each and "squeeze" in each for each in stations):
        return ""
    return _made(lambda: seating_map(detail, system=units, prefix=prefix))


def bay(build: Build, units: str) -> str:
    """The engine bay from the side with every gap; empty where nobody recorded one."""
    from kb.drawing import bay_envelope

    if "engine_bay" not in build.parts:
        return ""
    return _made(lambda: bay_envelope(build, system=units, prefix="y"))


def belts(build: Build, units: str) -> str:
    """The belt from the front and its planes, one picture for each belt of the build; empty without a layout."""
    from kb.build import views
    from kb.drawing.belt import ALIGN
    from kb.rules import load_rules

    drawn = []
    for number, (name, view) in enumerate(views(load_rules()[ALIGN], build)):
        if "belt_layout" in view.parts:
            drawn.append(_belt(view, units, f"b{number}", name))
    return Markup("").join(drawn)


def _belt(view: Build, units: str, prefix: str, name: str) -> str:
    from kb.drawing import belt_drawing

    return _made(lambda: belt_drawing(view, system=units, prefix=prefix, name=name))


def stack(build: Build, units: str, prefix: str = "k") -> str:
    """Crank to converter or input shaft; empty without a plate or a converter."""
    from kb.drawing import crank_stack

    if not {"drive_plate", "converter"} & set(build.parts):
        return ""
    return _made(lambda: crank_stack(build, system=units, prefix=prefix))


# Drawings of a whole build, in their order on the page: (name, heading, its maker).
WHOLE: tuple[tuple[str, str, Callable[[Build, str], str]], ...] = (
    ("section", "Section through the sump", section),
    ("bay", "Engine bay", bay),
    ("belt", "Belt drive", belts),
    ("stack", "Crank to gearbox", stack),
)


def of_build(build: Build, units: str) -> list[tuple[str, str, str]]:
    """(name, heading, drawing) of everything about this build that can be drawn to scale."""
    made = [(name, heading, make(build, units)) for name, heading, make in WHOLE]
    return [each for each in made if each[2]]


def of_finding(finding: Finding, build: Build, units: str, prefix: str, *, whole: bool = False) -> str:
    """What a finding judges, drawn: flange map, tooth patterns, suction over speed; else empty.

    whole: where there is no drawing of its own, the one of the build that shows it (section, bay ...), as a page about
    one rule wants it. A page that draws the build anyway leaves it out.
    """
    read = {str(each.of) for each in finding.rule.inputs}
    if {"trigger_wheel.pattern", "controller.patterns"} <= read:
        return pattern(build, units, prefix)
    if finding.rule.id in _SUCTION:
        return suction(finding, units, prefix)
    drawn = seating(finding, units, prefix)
    if drawn or not whole:
        return drawn
    roles = {each.partition(".")[0] for each in read}
    if "engine_bay" in roles:
        return bay(build, units)
    if "belt_layout" in roles:
        return _belt(finding.question.build, units, prefix, finding.qualifier)
    if finding.rule.subsystem == "crank" and roles & _IN_STACK:
        return stack(finding.question.build, units, prefix)
    return section(build, units) if len(roles & _IN_SECTION) > 1 else ""


_IN_SECTION = {"block", "pan", "pan_gasket", "pickup", "windage_tray", "crank", "dipstick", "car"}
_IN_STACK = {"converter", "crank_spacer", "drive_plate", "pilot", "plate_stack", "transmission"}
_SUCTION = {"suction-hot": True, "suction-cold": False}


def pattern(build: Build, units: str, prefix: str) -> str:
    """The wheel's teeth over the patterns that the controller reads, on one axis."""
    from kb.drawing import pattern_strip

    wheel = build.parts["trigger_wheel"].facts.get("pattern") if "trigger_wheel" in build.parts else None
    known = build.parts["controller"].facts.get("patterns") if "controller" in build.parts else None
    if not wheel:
        return ""
    # The wheel's own pattern first: it is what one looks for.
    codes = sorted(map(str, known or ()), key=lambda each: (each != wheel, each))
    return _made(lambda: pattern_strip(str(wheel), codes, speed=_LOOKED_AT, system=units, prefix=prefix))


_LOOKED_AT = 50.0  # rev/s: speed of the wheel at which times are written, a crank at 3000 rpm


def suction(finding: Finding, units: str, prefix: str) -> str:
    """Depression at the pump's inlet over speed against what the pump fills against; empty without a curve."""
    from kb.drawing import suction_graph

    detail = detail_of(finding)
    if not (detail or {}).get("curve"):
        return ""
    limit = next((each.bound for each in finding.checks), None)
    hot, cold = (detail, None) if _SUCTION[finding.rule.id] else (None, detail)
    return _made(lambda: suction_graph(hot, cold, limit, system=units, prefix=prefix))


def part(shown: Part, units: str) -> str:
    """One part with its known and unknown sizes."""
    from kb.drawing.part import part_drawing

    return _made(lambda: part_drawing(shown, system=units, prefix="part"))


def trend(shown: Series, units: str, prefix: str) -> str:
    """A reading over several starts."""
    from kb.drawing.trend import trend

    return _made(lambda: trend(shown, system=units, prefix=prefix))


_LONG = 15  # joints of a circuit that is drawn in two columns where there is room


def circuit(drawn: Circuit, words: Mapping[str, str], shown: Mapping[str, str]) -> str:
    """One circuit with its breaks; words: joint or node -> what is wrong there; shown: what gauges would show."""
    from kb.drawing import circuit_drawing

    name = f"circuit-{drawn.name}"
    narrow = _made(lambda: circuit_drawing(drawn, words=words, shown=shown, prefix=name))
    if len(drawn.joints) < _LONG:
        return narrow
    # One of the two is shown: a single column on a phone, two on a desk and on paper, where one would be shrunk.
    wide = _made(lambda: circuit_drawing(drawn, words=words, shown=shown, prefix=f"{name}-wide", columns=2))
    return Markup('<div class="narrow">{}</div><div class="wide">{}</div>').format(narrow, wide)


def _made(draw: Callable[[], str]) -> str:
    # kb.drawing escapes every text that it draws.
    try:
        return Markup(draw())
    except Exception:  # the verdict does not hang on its picture
        traceback.print_exc(file=sys.stderr)
        return Markup('<p class="note">This drawing cannot be made; the words below hold.</p>')
