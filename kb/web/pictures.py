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


def section(build: Build, units: str) -> str:
    """Section through the sump; empty when neither pan nor pickup is there to draw."""
    from kb.drawing import sump_section

    if not {"pan", "pickup"} & set(build.parts):
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
    if not detail:
        return ""
    return _made(lambda: seating_map(detail, system=units, prefix=prefix))


def trend(shown: Series, units: str, prefix: str) -> str:
    """A reading over several starts."""
    from kb.drawing.trend import trend

    return _made(lambda: trend(shown, system=units, prefix=prefix))


def circuit(drawn: Circuit, words: Mapping[str, str], shown: Mapping[str, str]) -> str:
    """One circuit with its breaks; words: joint or node -> what is wrong there; shown: what gauges would show."""
    from kb.drawing import circuit_drawing

    return _made(lambda: circuit_drawing(drawn, words=words, shown=shown, prefix=f"circuit-{drawn.name}"))


def _made(draw: Callable[[], str]) -> str:
    # kb.drawing escapes every text that it draws.
    try:
        return Markup(draw())
    except Exception:  # the verdict does not hang on its picture
        traceback.print_exc(file=sys.stderr)
        return Markup('<p class="note">This drawing cannot be made; the words below hold.</p>')
