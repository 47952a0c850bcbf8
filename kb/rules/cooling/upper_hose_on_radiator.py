"""A hose pulled over a spigot that is too large splits at the bead, hot and on the road."""

from kb.roles import coolant_hose, radiator
from kb.rules._rule import Case, mm, rule
from kb.rules.cooling._caution import COLD
from kb.rules.cooling._hose import LIMITS, stretch


@rule(
    "upper-hose-on-radiator",
    "cooling",
    "percent",
    "smooth",
    asks="Does the upper hose fit the spigot on the radiator?",
    limits=LIMITS,
    when={coolant_hose.place: ("upper",)},
    cases=(
        Case({"bore": 38 * mm, "spigot": 39.52 * mm}, 0.04, True, "from the definition"),
        Case({"bore": 38 * mm, "spigot": 38 * mm}, 0.0, True, "on the usual limit: a hose of the spigot's own size"),
        Case({"bore": 40 * mm, "spigot": 39.2 * mm}, -0.02, None, "a little loose: outside the usual range only"),
        Case({"bore": 45 * mm, "spigot": 38 * mm}, -7 / 45, False, "from the definition"),
        Case({"bore": 30 * mm, "spigot": 45 * mm}, 0.5, False, "from the definition"),
    ),
    advice="Two hose clamps do not mend a wrong size; a hose of the spigot's nominal size or 1 mm under it is right.",
    caution=COLD,
)
def upper_hose_on_radiator(bore=coolant_hose.radiator_bore, spigot=radiator.inlet_spigot):
    """stretch = (spigot - bore) / bore"""
    return stretch(bore, spigot)
