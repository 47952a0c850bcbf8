"""Properties that rules and judge keep for any records: signs, units, order, calibration, and a verdict whatever comes.

Expected figures here follow from definitions and from the declared signs; none is read off the code.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb import units
from kb.build import Build, Question, applies
from kb.chance import FITS, NOT, OPEN, Settings
from kb.explain import tell
from kb.judge import Finding, answer, judge
from kb.measure import Dimension, Term
from kb.records import Feature
from kb.records.models import part_of
from kb.records.part import Part
from kb.roles import ROLES, RoleFeature
from kb.rules import load_rules
from kb.rules._rule import Case, Rule
from tests.rules.test_every_rule import build_of

RULES = load_rules()
SEEDS = st.integers(0, 2**32 - 1)
SETTINGS = Settings(draws=2000)
VERDICTS = {FITS, NOT, OPEN}

UP, DOWN, NONE = 1, -1, 0

# Which way the quantity moves when an input grows and all others stay. NONE: either way, or not at all.
SIGNS: dict[str, dict[str, int]] = {
    "crank-to-pan": {"surface": UP, "gasket": UP, "tray": UP, "drop": DOWN, "weight": DOWN, "big_end": DOWN},
    "crank-to-pickup": {"surface": UP, "drop": DOWN, "weight": DOWN, "big_end": DOWN},
    "crank-to-tray": {"surface": UP, "drop": DOWN, "weight": DOWN, "big_end": DOWN},
    "dipstick-full-mark": {"mark": UP, "drop": DOWN, "weight": DOWN, "big_end": DOWN},
    "dipstick-low-mark": {"hang": UP, "mark": DOWN},
    "dipstick-volume": {"floor.depth": UP, "mark": DOWN, "capacity": DOWN, "gasket": UP, "tray": UP},
    "oil-port-land": {"block_side.land": UP, "pan_side.land": UP},
    "pan-to-crossmember": {"hull.depth": DOWN, "obstacles.top": UP, "gasket": DOWN, "tray": DOWN},
    "pan-to-ground": {"hull.depth": DOWN, "ground": UP, "gasket": DOWN, "tray": DOWN},
    "pan-to-steering": {"hull.depth": DOWN, "obstacles.top": UP, "gasket": DOWN, "tray": DOWN},
    "passage-bolt-pitch": {"bolt": UP, "thickness": UP, "factor": DOWN},
    "pickup-floor-gap": {"depth": UP, "gasket": UP, "tray": UP, "hang": DOWN},
    "pickup-foot-place": {"floor.depth": UP, "length": DOWN, "width": DOWN, "gasket": UP, "tray": UP, "hang": DOWN},
    "pickup-inlet-area": {
        "depth": UP, "gasket": UP, "tray": UP, "hang": DOWN, "length": NONE, "width": NONE, "bore": NONE,
    },
    "pickup-seal-face-fill": {"cord": UP, "depth": DOWN, "width": DOWN},
    "pickup-seal-face-squeeze": {"cord": UP, "depth": DOWN, "lift": DOWN},
    # The gland deepens with the bore; the ring also thins on a wider groove, so the groove may pull either way.
    "pickup-seal-fill": {"cord": UP, "inner": UP, "bore": NONE, "groove": NONE, "width": DOWN},
    "pickup-seal-in-bore": {"groove": UP, "cord": DOWN, "chamfer": DOWN},
    "pickup-seal-squeeze": {"bore": DOWN, "groove": NONE, "cord": UP, "inner": UP},
    "pickup-seal-stretch": {"inner": DOWN, "groove": UP},
    "pickup-spigot-room": {"bore_depth": UP, "chamfer": UP, "spigot": DOWN},
    "pump-drive-overlap": {"shaft": UP, "upper": UP, "lower": UP, "floors": DOWN},
    "pump-drive-slack": {"floors": UP, "shaft": DOWN},
    "sensor-gap-least": {"seat": UP, "wheel": DOWN, "nose": DOWN, "spacer": UP, "runout": DOWN},
    "sensor-gap-most": {"seat": UP, "wheel": DOWN, "nose": DOWN, "spacer": UP, "runout": UP},
    "suction-bore": {"tube": UP, "inlet": DOWN},
    # Density leaves the laminar losses and the lift alone or raises them; a lift below zero turns that round.
    "suction-cold": {
        "speed": UP, "temperature": NONE, "displacement": UP, "ratio": UP, "v40": NONE, "v100": NONE, "density": NONE,
        "bore": DOWN, "length": UP, "screen_area": DOWN, "screen_open": DOWN, "screen_wire": NONE, "hang": UP,
        "inlet": DOWN,
    },
    "tooth-rate": {"speed": UP, "filter_time": UP},
    "tray-to-pan": {"shelf": UP, "gasket": UP, "rim": UP, "tray": DOWN},
    "tray-to-pickup": {"tube": UP, "tray": DOWN},
}  # fmt: skip
SIGNS["suction-hot"] = SIGNS["suction-cold"]

Step = tuple[str, Callable[[dict[str, Any], float], dict[str, Any]], float]


# -- random values --------------------------------------------------------------------------------------------------


def plausible(feature: Feature, rnd: random.Random) -> float:
    """A value of a dimension from the inner nine tenths of what is plausible."""
    assert feature.plausible is not None
    low, high = feature.plausible
    return low + (high - low) * rnd.uniform(0.05, 0.95)


class Entry:
    """An entry of a list, for a rule that is called without a build."""

    def __init__(self, **fields: Any) -> None:
        self.__dict__.update(fields)


def entries(feature: Feature, rnd: random.Random) -> list[Entry]:
    """Two to four entries that a real list could have; boxes and rectangles keep their edges in order."""
    assert feature.item is not None
    made = []
    for index in range(rnd.randint(2, 4)):
        x, y = rnd.uniform(0.0, 0.2), rnd.uniform(-0.1, 0.0)
        fields: dict[str, Any] = {
            "id": f"e{index}", "x": rnd.uniform(0.0, 0.4), "y": rnd.uniform(-0.1, 0.1), "x_from": x, "y_from": y,
            "x_to": x + rnd.uniform(0.05, 0.25), "y_to": y + rnd.uniform(0.05, 0.2), "face": "rail",
            "bolt": index != 1, "passage": "feed" if index == 1 else "", "duty": "feed", "closed": False,
            "sort": rnd.choice(("fixed", "steering")), "fitted": True,
        }  # fmt: skip
        for name, inner in feature.item.features.items():
            if inner.sort == "dimension":
                fields[name] = plausible(inner, rnd)
        made.append(Entry(**fields))
    return made


def given_of(rule: Rule, rnd: random.Random) -> dict[str, Any]:
    """Random plausible values for a rule's parameters."""
    found: dict[str, Any] = {}
    for each in rule.inputs:
        feature = each.of.feature
        if feature.sort == "dimension":
            found[each.name] = plausible(feature, rnd)
        elif feature.sort == "position":
            found[each.name] = rnd.uniform(0.0, 0.1)
        elif feature.sort == "list":
            found[each.name] = entries(feature, rnd)
        elif feature.sort == "count":
            found[each.name] = rnd.randint(1, 60)
        else:
            found[each.name] = rnd.choice(feature.options or ("a",))
    return found


def moved(found: dict[str, Any], path: str, by: float) -> dict[str, Any]:
    """The values with one input, or one field of every entry of a list, made larger."""
    name, _, field = path.partition(".")
    if not field:
        return {**found, name: found[name] + by}
    return {**found, name: [Entry(**{**vars(each), field: getattr(each, field) + by}) for each in found[name]]}


def feature_at(rule: Rule, path: str) -> Feature:
    name, _, field = path.partition(".")
    feature = next(each.of.feature for each in rule.inputs if each.name == name)
    if field:
        assert feature.item is not None
        return feature.item.features[field]
    return feature


def paths(rule: Rule) -> Iterator[str]:
    """Every uncertain input of a rule: `hang`, or `floor.depth`."""
    for each in rule.inputs:
        feature = each.of.feature
        if feature.sort == "dimension":
            yield each.name
        elif feature.sort == "list" and feature.item is not None:
            read = each.of.fields or tuple(feature.item.features)
            yield from (f"{each.name}.{name}" for name in read if feature.item.features[name].sort == "dimension")


@pytest.mark.parametrize("name", SIGNS)
def test_the_table_of_signs_is_whole(name: str) -> None:
    assert set(SIGNS[name]) == set(paths(RULES[name]))


@pytest.mark.parametrize("name", SIGNS)
@settings(max_examples=12, deadline=None)
@given(seed=SEEDS, share=st.floats(1e-3, 0.2))
def test_every_input_pulls_the_way_it_should(name: str, seed: int, share: float) -> None:
    rule, rnd = RULES[name], random.Random(seed)
    found = given_of(rule, rnd)
    if name == "pickup-foot-place":  # the foot over the first rectangle, whatever else it touches
        found["x"], found["y"] = found["floor"][0].x_from + 0.01, found["floor"][0].y_from + 0.01
    if "groove" in SIGNS[name] and "bore" in SIGNS[name]:  # a spigot that enters its bore, whose groove leaves a gland
        found["bore"] = found["groove"] + rnd.uniform(1e-3, 8e-3)
    here = rule(**found)
    for path, sign in SIGNS[name].items():
        feature = feature_at(rule, path)
        assert feature.plausible is not None
        there = rule(**moved(found, path, share * (feature.plausible[1] - feature.plausible[0])))
        if sign:
            assert sign * (there - here) >= -1e-9 * (abs(here) + abs(there)), path


ROUGH = [rule for rule in RULES.values() if rule.form == "rough" and rule.id in SIGNS]


@pytest.mark.parametrize("rule", ROUGH, ids=lambda rule: rule.id)
def test_a_rough_rule_pulls_one_way_in_every_input(rule: Rule) -> None:
    """The judge decides rough rules at the corners of a box of errors, which rests on this."""
    assert set(SIGNS[rule.id].values()) <= {UP, DOWN}


# -- hidden and crossed inputs --------------------------------------------------------------------------------------


def known(value: float, half: float = 0.0, shape: str = "rectangular") -> Dimension:
    u = half / {"rectangular": math.sqrt(3.0), "normal": 2.0}[shape]
    return Dimension(value, (Term(shape, u),) if half else (), "measured")


def build(own_limits: Any = None, **facts: dict[str, Any]) -> Build:
    parts = {role: Part(f"a-{role}", ROLES[role].kind.kind, role, facts=found) for role, found in facts.items()}
    return Build("b", "b", parts, own_limits=own_limits or {})


def test_an_input_behind_another_one_still_counts() -> None:
    """The counterweight is hidden behind the big end at the nominal values, yet both must come down for this to fit.

    Sweep 20 mm at most: P = P(big end <= 80) P(weight <= 80) = 0.3 x 0.5 (from the definition).
    """
    made = build(
        pickup={"top_depth": known(0.0215)},
        block={"crank_drop": known(-0.06)},
        crank={"counterweight_swing": known(0.08, 0.001), "big_end_swing": known(0.082, 0.005)},
    )
    finding = judge(RULES["crank-to-pickup"], made, Settings())
    assert finding.probability == pytest.approx(0.15, abs=0.006)  # five standard errors of 100,000 draws
    assert finding.verdict == OPEN


def flat_rail(height: float, half: float) -> Build:
    block_side = tuple({"id": f"R{i}", "x": 0.07 * i, "y": 0.0, "face": "rail"} for i in range(5))
    pan_side = tuple({"id": f"R{i}", "height": known(height if i == 2 else 0.0, half)} for i in range(5))
    return build(block={"stations": block_side}, pan={"construction": "cast", "flange": pan_side})


def test_a_rail_read_too_roughly_is_not_called_flat() -> None:
    """All readings 0, each to 0.1 mm: the limit is 0.05 mm over the 0.14 m between neighbours but one."""
    rule = RULES["flange-flatness-cast"]
    assert judge(rule, flat_rail(0.0, 0.1e-3), SETTINGS).verdict == OPEN
    assert judge(rule, flat_rail(0.0, 0.005e-3), SETTINGS).verdict == FITS
    assert judge(rule, flat_rail(0.4e-3, 0.005e-3), SETTINGS).verdict == NOT
    assert judge(rule, flat_rail(-0.4e-3, 0.005e-3), SETTINGS).verdict == NOT


def test_a_missing_condition_condemns_nothing() -> None:
    """Too little squeeze for a spigot says nothing about a pickup that may have a face joint."""
    ring = {"cord": known(2.0e-3), "inner_diameter": known(19.0e-3)}
    told = {"groove_diameter": known(19.0e-3)}
    pump = {"inlet_bore": known(24.6e-3)}
    rule = RULES["pickup-seal-squeeze"]
    said = judge(rule, build(pickup_seal=ring, pickup={**told, "joint": "radial"}, oil_pump=pump), SETTINGS)
    assert said.verdict == NOT
    unsaid = judge(rule, build(pickup_seal=ring, pickup=told, oil_pump=pump), SETTINGS)
    assert (unsaid.verdict, unsaid.because) == (OPEN, "missing")


def test_an_uncertain_bound_is_named_as_what_to_measure() -> None:
    rule = RULES["sensor-gap-most"]
    made = build(
        block={"sensor_seat_radius": known(0.1)},
        trigger_wheel={"radius": known(0.075), "runout": known(0.0)},
        crank_sensor={"nose_length": known(0.024), "spacer": known(0.0), "gap_most": known(1.02e-3, 0.1e-3)},
    )
    finding = judge(rule, made, SETTINGS)
    assert finding.verdict == OPEN
    assert [driver.leaf.name for driver in finding.drivers] == ["crank_sensor.gap_most"]
    assert finding.drivers[0].share == pytest.approx(1.0)


@settings(max_examples=25, deadline=None)
@given(low=st.floats(0.001, 0.02), apart=st.floats(1e-5, 0.01), half=st.sampled_from([0.0, 1e-3]))
def test_limits_that_contradict_each_other_fit_nothing(low: float, apart: float, half: float) -> None:
    rule = RULES["pickup-floor-gap"]
    limits = {(rule.id, "least"): (low + apart, "mine"), (rule.id, "most"): (low, "mine too")}
    made = build(
        limits,
        pan={"sump_depth": known(0.18 + low, half)},
        pan_gasket={"installed_thickness": known(0.001)},
        pickup={"hang": known(0.181, half)},
    )
    finding = judge(rule, made, SETTINGS)
    assert finding.verdict == NOT
    assert finding.probability == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("stations", "words"),
    [
        ((), "enclose nothing"),
        ([(0.0, 0.0, True)], "enclose nothing"),
        ([(0.1 * i, 0.0, True) for i in range(6)], "enclose nothing"),
        ([(0.0, 0.0, True)] * 5, "enclose nothing"),
        ([(0.0, 0.0, False), (0.3, 0.0, False), (0.3, 0.2, False), (0.0, 0.2, False)], "no station carries a bolt"),
    ],
)
def test_a_flange_that_is_none_is_told_in_words(stations: Any, words: str) -> None:
    block_side = [
        {"id": f"S{i}", "x": x, "y": y, "bolt": bolt, "face": "rail", "height": known(0.0)}
        for i, (x, y, bolt) in enumerate(stations)
    ]
    finding = judge(RULES["rail-sealing"], flange(block_side, [0.0] * len(block_side)), SETTINGS)
    assert (finding.verdict, finding.because) == (OPEN, "undefined")
    assert words in tell(finding).reason.lower()


# -- the seat of the flange -------------------------------------------------------------------------------------------

RING = [
    (0.0, -0.1), (0.0, 0.0), (0.0, 0.1), (0.09, 0.11), (0.18, 0.11), (0.27, 0.11), (0.36, 0.1), (0.37, 0.05),
    (0.36, 0.0), (0.36, -0.1), (0.27, -0.11), (0.18, -0.11), (0.09, -0.11),
]  # fmt: skip
PASSAGE = 7


def ring() -> list[dict[str, Any]]:
    return [
        {
            "id": f"S{i}", "x": x, "y": y, "face": "rail", "bolt": i != PASSAGE, "height": known(0.0),
            "passage": "feed" if i == PASSAGE else "",
        }
        for i, (x, y) in enumerate(RING)
    ]  # fmt: skip


def flange(block_side: Any, heights: list[float], half: float = 0.0, **gasket: float) -> Build:
    """A cast pan on the stations, with the heights of its flange in their order."""
    return build(
        block={
            "stations": tuple(block_side), "front_cover_step": known(0.0), "rear_cover_step": known(0.0), "ports": (),
        },
        pan={
            "flange": tuple(
                {"id": each["id"], "height": known(height, half)}
                for each, height in zip(block_side, heights, strict=True)
            ),
            "flange_modulus": known(70e9), "flange_width": known(0.02), "flange_thickness": known(0.01),
        },
        pan_gasket={
            "free_thickness": known(gasket.get("free", 3.0e-3)), "stop_thickness": known(gasket.get("stop", 2.1e-3)),
            "modulus": known(2e6), "seal_width": known(6e-3),
        },
        flange_bolts={"torque": known(10.0), "nut_factor": known(0.2), "nominal_diameter": known(6e-3)},
    )  # fmt: skip


@settings(max_examples=15, deadline=None)
@given(seed=SEEDS, at=st.integers(0, len(RING) - 1), rise=st.floats(0.01e-3, 0.5e-3))
def test_a_station_that_stands_prouder_is_squeezed_no_less(seed: int, at: int, rise: float) -> None:
    rnd = random.Random(seed)
    heights = [rnd.uniform(-0.3e-3, 0.3e-3) for _ in RING]
    rule = RULES["passage-sealing" if at == PASSAGE else "rail-sealing"]
    raised = [height + rise * (index == at) for index, height in enumerate(heights)]
    squeezes = []
    for each in (heights, raised):
        question = Question(rule, flange(ring(), each))
        squeezes.append(dict(question.quantity(question.nominal))[f"S{at}"])
    assert squeezes[1] >= squeezes[0] - 1e-9


@settings(max_examples=10, deadline=None)
@given(seed=SEEDS, turn=st.integers(1, len(RING) - 1))
def test_where_the_list_of_stations_begins_means_nothing(seed: int, turn: int) -> None:
    rnd = random.Random(seed)
    heights = [rnd.uniform(-0.2e-3, 0.2e-3) for _ in RING]
    here = flange(ring(), heights)
    turned = flange([*ring()[turn:], *ring()[:turn]], [*heights[turn:], *heights[:turn]])
    shuffled = list(turned.parts["pan"].facts["flange"])
    rnd.shuffle(shuffled)  # the pan's readings are found by name
    turned.parts["pan"].facts["flange"] = tuple(shuffled)
    for name in ("passage-sealing", "rail-sealing", "bolt-pitch", "flange-flatness-sheet", "flange-flatness-cast"):
        for made in (here, turned):
            made.parts["pan"].facts["construction"] = "stamped" if name.endswith("sheet") else "cast"
        one, other = (judge(RULES[name], made, SETTINGS) for made in (here, turned))
        assert one.verdict == other.verdict
        assert one.margin is not None
        assert one.margin == pytest.approx(other.margin, rel=1e-6, abs=1e-9)


@settings(max_examples=12, deadline=None)
@given(seed=SEEDS, passages=st.booleans())
def test_tangents_are_the_slopes_of_the_rule(seed: int, passages: bool) -> None:
    """Where no station changes its state, a small step through the tangent is the step through the rule."""
    rnd = random.Random(seed)
    rule = RULES["passage-sealing" if passages else "rail-sealing"]
    assert rule.tangent is not None
    made = flange(ring(), [rnd.uniform(-0.2e-3, 0.2e-3) for _ in RING], 0.02e-3, free=3.0e-3, stop=2.1e-3)
    question = Question(rule, made)
    base = dict(question.quantity(question.nominal))
    near = rule.tangent(*question.arguments(question.nominal))
    compared = 0
    for index, leaf in enumerate(question.leaves):
        step = 1e-4 * abs(question.nominal[index]) or 1e-7
        ends = []
        for sign in (1, -1):
            values = list(question.nominal)
            values[index] += sign * step
            ends.append((dict(question.quantity(values)), dict(near(*question.arguments(values)))))
        for name, here in base.items():
            up, down = ends[0][0][name] - here, here - ends[1][0][name]
            if abs(up - down) > 1e-3 * max(abs(up), abs(down)) + 1e-9:
                continue  # a station leaves its stop or its spring within the step
            said = ends[0][1][name] - ends[1][1][name]
            assert said == pytest.approx(up + down, rel=0.02, abs=2e-8), (leaf.name, name)
            compared += 1
    assert compared >= 0.5 * len(question.leaves)


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS, moved=st.booleans())
def test_the_tangent_of_flatness_is_the_rule_for_any_heights(seed: int, moved: bool) -> None:
    """A deviation from a laid edge is linear in three heights, so nothing is approximated."""
    rnd = random.Random(seed)
    rule = RULES["flange-flatness-cast"]
    assert rule.tangent is not None
    first, other = (Question(rule, flange(ring(), [rnd.uniform(-2e-3, 2e-3) for _ in RING])) for _ in range(2))
    near = rule.tangent(*first.arguments(first.nominal))
    block_side, pan_side = other.arguments(other.nominal)
    if moved:
        block_side[rnd.randrange(len(block_side))].x += 0.01
    found, told = near(block_side, pan_side), rule.function(block_side, pan_side)
    assert [name for name, _ in found] == [name for name, _ in told]
    assert [each for _, each in found] == pytest.approx([each for _, each in told], rel=1e-9, abs=1e-15)


# -- units, order, repetition -----------------------------------------------------------------------------------------

OTHER = {"length": ("in", 0.0254), "pressure": ("psi", 6894.757293168361), "torque": ("ft-lb", 1.3558179483314004)}
SI = {"length": "m", "pressure": "Pa", "torque": "N.m"}
SCALAR = [
    (RULES[name], case)
    for name in SIGNS
    for case in RULES[name].cases
    if not any(isinstance(value, list) for value in case.given.values())
]


def written(rule: Rule, case: Case, inches: bool) -> Build:
    """The case as records in workshop notation, read back as a file would be."""
    records: dict[str, dict[str, Any]] = {
        role: {"kind": ROLES[role].kind.kind, "id": f"a-{role.replace('_', '-')}", "name": role} for role in rule.roles
    }
    said: list[tuple[RoleFeature, Any]] = [(each.of, case.given[each.name]) for each in rule.inputs]
    said += [
        (limit.bound, case.given[limit.name])
        for limit in rule.limits
        if isinstance(limit.bound, RoleFeature) and limit.name in case.given
    ]
    said += [(on, codes[0]) for on, codes in rule.when if on.feature.sort != "list"]
    for of, value in said:
        record = records.setdefault(
            of.role, {"kind": ROLES[of.role].kind.kind, "id": f"a-{of.role.replace('_', '-')}", "name": of.role}
        )
        record.setdefault(of.feature.name, _text(of.feature, value, inches))
    return Build("case", "case", {role: part_of(record) for role, record in records.items()})


def _text(feature: Feature, value: Any, inches: bool) -> Any:
    if feature.sort != "dimension":
        return value
    if feature.quantity in OTHER:
        unit, size = OTHER[feature.quantity] if inches else (SI[feature.quantity], 1.0)
        return {"value": f"{value / size:.15f} {unit}", "how": "definition"}
    if feature.quantity == "number":
        return {"value": f"{value:.15f}", "how": "definition"}
    shown = units.show_unit(feature.quantity)
    if feature.quantity == "temperature":
        return {"value": f"{value:.15f} K", "how": "definition"}
    return {"value": f"{value / shown[1]:.15f} {shown[0]}", "how": "definition"}


def readable(rule: Rule, case: Case) -> bool:
    """Whether the case's values are such as a record may hold."""
    for each in rule.inputs:
        if each.of.feature.plausible:
            low, high = each.of.feature.plausible
            if not low - 1e-12 <= case.given[each.name] <= high + 1e-12:
                return False
    return True


@pytest.mark.parametrize(
    ("rule", "case"), [pair for pair in SCALAR if readable(*pair)], ids=lambda value: getattr(value, "id", "")
)
def test_inches_and_millimetres_say_the_same(rule: Rule, case: Case) -> None:
    metric, inch = (judge(rule, written(rule, case, inches), SETTINGS) for inches in (False, True))
    assert metric.quantity is not None
    assert inch.quantity == pytest.approx(metric.quantity, rel=1e-9, abs=1e-12)
    near_limit = any(abs(check.margin) < 1e-6 * (abs(check.bound) + 1e-3) for check in metric.checks)
    if not near_limit:  # a case on its limit may fall either way by the last binary digit of a conversion
        assert metric.verdict == inch.verdict


def test_most_cases_can_be_written_as_records() -> None:
    assert sum(readable(*pair) for pair in SCALAR) > 0.7 * len(SCALAR)


LISTED = [name for name in SIGNS if any("." in path for path in SIGNS[name])]


@pytest.mark.parametrize("name", [*LISTED, "oil-ports-mate", "gasket-holes", "gallery-plugs"])
@settings(max_examples=8, deadline=None)
@given(seed=SEEDS)
def test_the_order_of_entries_means_nothing(name: str, seed: int) -> None:
    rule, rnd = RULES[name], random.Random(seed)
    found = given_of(rule, rnd)
    if name == "pickup-foot-place":
        found["x"], found["y"] = found["floor"][0].x_from + 0.01, found["floor"][0].y_from + 0.01
    turned = {key: rnd.sample(value, len(value)) if isinstance(value, list) else value for key, value in found.items()}
    if name == "passage-bolt-pitch":
        turned["stations"] = found["stations"]  # these stand in their order around the flange
    assert rule(**turned) == pytest.approx(rule(**found), rel=1e-12, abs=1e-15)


def told(finding: Finding) -> tuple[Any, ...]:
    return (finding.verdict, finding.because, finding.probability, finding.quantity, finding.u, finding.station)


@settings(max_examples=6, deadline=None)
@given(seed=SEEDS)
def test_asking_again_or_in_another_order_changes_nothing(seed: int) -> None:
    rnd = random.Random(seed)
    rules = [RULES[name] for name in SIGNS]
    made = random_build(rules, rnd)
    first = {each.name: told(each) for each in answer(made, rules, SETTINGS).findings}
    again = {each.name: told(each) for each in answer(made, rnd.sample(rules, len(rules)), SETTINGS).findings}
    assert first == again


# -- any record at all ------------------------------------------------------------------------------------------------


def random_fact(feature: Feature, rnd: random.Random) -> Any:
    """Anything that a record may hold for the feature, the ends of the plausible and beyond, or nothing (None)."""
    luck = rnd.random()
    if luck < 0.06:
        return None
    if feature.sort == "dimension":
        assert feature.plausible is not None
        low, high = feature.plausible
        width = high - low
        least = low - width if low < 0 else 0.0 if low == 0 else max(low - width, 1e-3 * low)
        value = rnd.uniform(low, high) if luck < 0.7 else rnd.choice((low, high, least, high + width))
        half = rnd.choice((0.0, 1e-5, 1e-3, 0.03, 0.5, 2.0)) * width
        return Dimension(value, (Term(rnd.choice(("normal", "rectangular", "triangular")), half),) if half else ())
    if feature.sort == "list":
        assert feature.item is not None
        made = []
        for index in range(rnd.choice((0, 1, 2, 3, 6))):
            entry = {name: random_fact(inner, rnd) for name, inner in feature.item.features.items() if name != "id"}
            made.append({"id": f"e{index}", **{name: value for name, value in entry.items() if value is not None}})
        return tuple(made)
    if feature.sort == "position":
        return rnd.choice((0.0, 0.1, rnd.uniform(-0.4, 0.4)))
    if feature.sort == "count":
        return rnd.choice((0, 1, 2, 36, 60))
    if feature.sort == "flag":
        return rnd.random() < 0.5
    if feature.sort == "codes":
        return frozenset(rnd.sample(feature.options or ("60-2", "36-1"), rnd.randint(0, 2)))
    if feature.sort == "choice":
        return rnd.choice(feature.options or ("60-2", "36-1", "no pattern"))
    return rnd.choice(("", "e1"))


def random_build(rules: list[Rule], rnd: random.Random) -> Build:
    parts: dict[str, Part] = {}
    for rule in rules:
        for role in (*rule.roles, *(each for each in rule.optional_roles if rnd.random() < 0.5)):
            if role in parts:
                continue
            kind = ROLES[role].kind
            facts = {name: random_fact(feature, rnd) for name, feature in kind.features.items()}
            parts[role] = Part(f"p-{role}", kind.kind, role, facts={k: v for k, v in facts.items() if v is not None})
    return Build("any", "any", parts)


@pytest.mark.parametrize("rule", RULES.values(), ids=lambda rule: rule.id)
@settings(max_examples=12, deadline=None)
@given(seed=SEEDS)
def test_any_record_gets_one_of_three_verdicts_and_words(rule: Rule, seed: int) -> None:
    rnd = random.Random(seed)
    made = random_build([rule], rnd)
    for on, codes in rule.when:
        if on.feature.sort != "list":
            made.parts[on.role].facts[on.feature.name] = codes[0]
    if applies(rule, made):
        return
    finding = judge(rule, made, Settings(draws=300))
    assert finding.verdict in VERDICTS
    assert finding.probability is None or 0.0 <= finding.probability <= 1.0
    words = tell(finding)
    assert words.headline
    if finding.because in ("undefined", "nothing"):
        assert words.reason
    if finding.question.missing:
        assert finding.verdict != FITS


@pytest.mark.parametrize("name", SIGNS)
@settings(max_examples=15, deadline=None)
@given(seed=SEEDS)
def test_what_is_called_hopeless_is_so_for_every_plausible_value(name: str, seed: int) -> None:
    rule, rnd = RULES[name], random.Random(seed)
    made = random_build([rule], rnd)
    for on, codes in rule.when:
        if on.feature.sort != "list":
            made.parts[on.role].facts[on.feature.name] = codes[0]
    if applies(rule, made):
        return
    finding = judge(rule, made, SETTINGS)
    if finding.because != "hopeless":
        return
    for _ in range(12):
        facts = {role: dict(part.facts) for role, part in made.parts.items()}
        for index in finding.question.missing:
            leaf = finding.question.leaves[index]
            value = rnd.choice(leaf.options) if leaf.options else known(plausible(leaf.feature, rnd))
            head, _, rest = leaf.path.partition(".")
            if rest:
                entry, _, field = rest.partition(".")
                facts[leaf.role][head] = tuple(
                    {**each, field: value} if each["id"] == entry else each for each in facts[leaf.role][head]
                )
            else:
                facts[leaf.role][head] = value
        filled = Build("f", "f", {role: part._replace(facts=facts[role]) for role, part in made.parts.items()})
        found = judge(rule, filled, SETTINGS)
        # A threshold of 2.5 % leaves that much room, and a mix of values that gives no figure is no fit either.
        assert found.verdict == NOT or found.because == "undefined" or (found.probability or 0.0) < 0.05


# -- calibration ------------------------------------------------------------------------------------------------------

# (rule, per input: (range of the true part, half width of a reading, its shape)), in mm.
DRAWN: list[tuple[str, dict[str, tuple[tuple[float, float], float, str]]]] = [
    (
        "pickup-floor-gap",
        {
            "pan.sump_depth": ((180.0, 200.0), 0.8, "rectangular"),
            "pan_gasket.installed_thickness": ((0.5, 2.0), 0.1, "normal"),
            "pickup.hang": ((180.0, 190.0), 0.6, "normal"),
        },
    ),
    (
        "pickup-seal-face-squeeze",
        {
            "pickup_seal.cord": ((3.0, 4.0), 0.1, "rectangular"),
            "pickup.groove_depth": ((2.0, 3.4), 0.08, "normal"),
            "pickup.flange_lift": ((0.2, 0.4), 0.05, "rectangular"),
        },
    ),
    (
        "crank-to-pickup",
        {
            "pickup.top_depth": ((28.0, 36.0), 0.8, "rectangular"),
            "block.crank_drop": ((-60.5, -59.5), 0.3, "normal"),
            "crank.counterweight_swing": ((87.0, 91.0), 0.6, "rectangular"),
            "crank.big_end_swing": ((87.0, 91.0), 0.6, "rectangular"),
        },
    ),
    (
        "pump-drive-overlap",
        {
            "pump_drive.shaft_length": ((140.0, 152.0), 0.6, "rectangular"),
            "pump_drive.upper_socket_depth": ((8.0, 12.0), 0.3, "normal"),
            "oil_pump.socket_depth": ((8.0, 12.0), 0.3, "normal"),
            "block.pump_floor_distance": ((150.0, 156.0), 0.6, "rectangular"),
        },
    ),
]


@pytest.mark.parametrize(("name", "inputs"), DRAWN, ids=[name for name, _ in DRAWN])
def test_what_is_told_with_nine_tenths_holds_in_nine_tenths(
    name: str, inputs: dict[str, tuple[tuple[float, float], float, str]]
) -> None:
    """True parts drawn over a range wide against the readings' errors, readings with those errors, findings told from
    the readings: of those told with 90 % or more at least as many hold as the mean of what they were told with, and of
    those told with 10 % or less no more (four standard errors are allowed).
    """
    rule, rnd = RULES[name], random.Random(20240309)
    codes = {(on.role, on.feature.name): codes[0] for on, codes in rule.when if on.feature.sort != "list"}
    sure: list[tuple[float, bool]] = []
    hopeless: list[tuple[float, bool]] = []
    for _ in range(700):
        true: dict[str, dict[str, Any]] = {}
        read: dict[str, dict[str, Any]] = {}
        for path, ((low, high), half, shape) in inputs.items():
            role, feature = path.split(".")
            value = rnd.uniform(low, high)
            error = rnd.uniform(-half, half) if shape == "rectangular" else rnd.gauss(0.0, half / 2)
            true.setdefault(role, {})[feature] = known(value * 1e-3)
            read.setdefault(role, {})[feature] = known((value + error) * 1e-3, half * 1e-3, shape)
        for (role, feature), code in codes.items():
            true.setdefault(role, {})[feature] = read.setdefault(role, {})[feature] = code
        finding = judge(rule, build(**read), SETTINGS)
        holds = judge(rule, build(**true), SETTINGS).probability == 1.0
        assert finding.probability is not None
        if finding.probability >= 0.9:
            sure.append((finding.probability, holds))
        elif finding.probability <= 0.1:
            hopeless.append((finding.probability, holds))
    assert len(sure) > 50
    assert len(hopeless) > 50
    for group, sign in ((sure, 1), (hopeless, -1)):
        promised = sum(p for p, _ in group) / len(group)
        held = sum(holds for _, holds in group) / len(group)
        error = math.sqrt(max(promised * (1 - promised), 1.0 / len(group)) / len(group))
        assert sign * (held - promised) >= -4.0 * error


@pytest.mark.parametrize("name", ["pickup-floor-gap", "crank-to-tray", "pickup-seal-fill", "dipstick-low-mark"])
def test_a_fine_reading_settles_it_and_a_hopeless_one_does_not(name: str) -> None:
    rule = RULES[name]
    for case in rule.cases:
        exact = judge(rule, build_of(rule, case), SETTINGS)
        if case.holds is None or min(abs(each.margin) for each in exact.checks) < 1e-4:
            continue
        fine, wide = (judge(rule, build_of(rule, case, spread=spread), SETTINGS) for spread in (1e-6, 1.0))
        assert fine.verdict == exact.verdict
        assert wide.verdict in (OPEN, NOT), "spread over the whole plausible range and beyond it clears nothing"
