"""The sample scenario: complete, valid, and telling the story that sample_db/README.md promises."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from kb.base import Base
from kb.build import Build
from kb.chance import FITS, NOT, OPEN, Settings
from kb.errors import Faults
from kb.judge import Answer, answer
from kb.reading_files import read
from kb.records.models import Checked, check
from kb.records.part import Part
from kb.roles import ROLES, base_role
from kb.roles import role as role_named
from kb.rules import load_rules
from kb.rules._rule import Rule
from kb.standards.oil import grade, in_grade
from kb.store.load import init

RECORDS = Path(__file__).parent.parent / "sample_db" / "records"
RULES = list(load_rules().values())
MAKERS = {
    "Penrose", "Calder", "Aldine Castings", "Brightwater Fab", "Hob Lane Engineering", "Tern Ignition", "Quayside Hose",
}  # fmt: skip
# Words with a capital that names and titles may hold: the scenario's own, and plain ones.
WORDS = {
    "Penrose", "Drover", "Calder", "Aldine", "Brightwater", "Hob", "Lane", "Tern", "Quayside", "Castings", "Fab",
    "Engineering", "Ignition", "Hose", "One", "Two", "Club", "Spark", "Hall", "V6", "L", "M6", "Pan", "Pickup", "Cork",
    "Silicone", "High", "Louvred", "A", "W", "E85", "The", "An", "On", "Cranking", "Heater", "Sealant", "M8", "V",
}  # fmt: skip


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Base]:
    path = tmp_path_factory.mktemp("sample") / "sample.db"
    init(path, sample=True)
    with Base(str(path)) as opened:
        yield opened


@pytest.fixture(scope="module")
def records() -> list[Checked]:
    found = read([RECORDS])
    assert found.faults == []
    assert found.skipped == []
    return [check(one) for one in found.records]


@pytest.fixture(scope="module")
def parts(base: Base) -> dict[str, list[Part]]:
    kinds: dict[str, list[Part]] = {}
    for id in base.ids():
        part = base.part(id)
        kinds.setdefault(part.kind, []).append(part)
    return kinds


def findings(answer: Answer, verdict: str) -> set[str]:
    return {each.rule.id for each in answer.findings if each.verdict == verdict}


# -- the records ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kinds", "least"),
    [
        (("block", "car", "oil_pump"), 12),
        (("block",), 4),
        (("car",), 3),
        (("oil_pump",), 5),
        (("pan",), 20),
        (("pickup",), 20),
        (("pan_gasket",), 6),
        (("pickup_seal",), 8),
        (("windage_tray",), 3),
        (("trigger_wheel",), 5),
        (("position_sensor",), 5),
        (("controller",), 5),
        (("incompatibility",), 30),
        (("donor",), 7),
        (("reading",), 20),
    ],
)
def test_there_is_enough_of_everything(records: list[Checked], kinds: tuple[str, ...], least: int) -> None:
    assert sum(one.kind in kinds for one in records) >= least


def test_every_kind_of_part_is_there(parts: dict[str, list[Part]]) -> None:
    assert set(parts) == {role.kind.kind for role in ROLES.values()}


def test_one_record_a_file_named_by_kind_and_id(records: list[Checked]) -> None:
    for one in records:
        assert Path(one.given.file) == RECORDS / one.kind / f"{one.id}.yaml"


def test_a_new_database_takes_all_of_it(base: Base, records: list[Checked]) -> None:
    kinds = ("build", "incompatibility")
    assert {one.id for one in records if one.kind in ROLES or one.kind in {r.kind.kind for r in ROLES.values()}} == set(
        base.ids()
    )
    for kind in kinds:
        assert sorted(one.id for one in records if one.kind == kind) == base.ids(kind)


def test_a_slip_in_a_sample_file_is_named_with_its_line() -> None:
    path = RECORDS / "pan" / "calder-38-pan.yaml"
    (given,) = read([path]).records
    broken = given._replace(data={**given.data, "sump_depth": "190 in"})
    with pytest.raises(Faults, match=r"calder-38-pan\.yaml:\d+: sump_depth"):
        check(broken)


def test_makers_are_those_of_the_scenario(records: list[Checked]) -> None:
    assert {one.facts["maker"] for one in records if one.facts.get("maker")} == MAKERS


def test_no_name_from_outside_the_scenario(records: list[Checked]) -> None:
    for one in records:
        if one.kind == "source":
            continue
        text = f"{one.facts.get('name', '')} {one.facts.get('title', '')}"
        foreign = set(re.findall(r"\b[A-Z][A-Za-z0-9]*\b", text)) - WORDS - set(re.findall(r"\b\d+W\b", text))
        assert not foreign, f"{one.id}: {foreign}"


def test_oils_lie_in_their_grades(parts: dict[str, list[Part]]) -> None:
    """Windows at 100 degC: SAE J300 (2015), as kb.standards.oil states them."""
    for oil in parts["oil"]:
        assert in_grade(grade(oil.facts["grade"]), oil.facts["viscosity_100"].value), oil.id


def test_figures_are_known_in_every_way(records: list[Checked]) -> None:
    def hows(value: Any) -> Iterator[str]:
        if isinstance(value, dict):
            if "si" in value and "how" in value:
                yield value["how"]
            for inner in value.values():
                yield from hows(inner)
        elif isinstance(value, list):
            for inner in value:
                yield from hows(inner)

    assert {how for one in records for how in hows(one.facts)} >= {"drawing", "listing", "measured", "estimated"}


def test_one_part_contradicts_itself_and_one_lacks_its_depth(base: Base) -> None:
    assert "196 mm" in base.part("bench-38-two-tales").facts["sump_depth"].contradiction
    assert "sump_depth" not in base.part("aldine-38-rear-sump").facts
    unwanted = [
        f"{part.id}.{name}"
        for id in base.ids()
        for part in [base.part(id)]
        for name, value in part.facts.items()
        if getattr(value, "contradiction", "") and part.id != "bench-38-two-tales"
    ]
    assert unwanted == []


def test_incompatibilities_of_every_status_by_part_and_by_class(records: list[Checked]) -> None:
    told = [one.facts for one in records if one.kind == "incompatibility"]
    assert {each["status"] for each in told} == {"reported", "confirmed", "refuted"}
    assert all(each["evidence"] for each in told)
    assert any(all(party.get("part") for party in each["parties"]) for each in told)
    assert any(all(party.get("where") for party in each["parties"]) for each in told)


def test_incompatibilities_touch_every_subsystem(base: Base) -> None:
    """A subsystem is touched where a rule of it reads all roles of a clash, or at least one of them."""
    named = {base_role(party.role) for each in base.incompatibilities() for party in each.parties}
    assert {rule.subsystem for rule in RULES if named & {*rule.roles}} == {rule.subsystem for rule in RULES}
    joined = [{base_role(party.role) for party in each.parties} for each in base.incompatibilities()]
    together = {rule.subsystem for rule in RULES for roles in joined if roles <= {*rule.roles, *rule.optional_roles}}
    # The rules of these three read one role each, or the wheel and what it is read by.
    assert together >= {rule.subsystem for rule in RULES} - {"chassis", "ready", "cooling"}


# -- where parts come from ---------------------------------------------------------------------------------------------

# What is read, ticked, or true of the car: nobody sells it.
NO_GOODS = {
    "car", "duty", "engine_bay", "battery_circuit", "oil_readings", "crank_float", "intake_joint", "sealing_job",
    "small_parts", "first_start", "threaded_hole", "pipe_port", "screw_set",
}  # fmt: skip


def test_everything_in_the_good_build_that_can_be_bought_has_a_price(base: Base) -> None:
    without = {role for role, part in base.build("drover-good").parts.items() if part.price is None}
    assert {base.build("drover-good").parts[role].kind for role in without} <= NO_GOODS | {"car_loom"}


def test_donors_carry_parts_of_the_catalogue_at_their_prices_or_near(base: Base) -> None:
    donors = base.donors()
    assert {each.sort for each in donors} == {"yard", "shop"}
    for donor in donors:
        for carried in donor.carries:
            part = base.part(carried.part)
            assert carried.price is not None
            assert part.price is not None
            assert 0.25 * part.price <= carried.price <= 1.25 * part.price, f"{donor.id}: {part.id}"
            assert carried.currency == part.currency
            if donor.sort == "yard":
                assert part.supply == "yard" or carried.part == "calder-38-clutch", f"{donor.id}: {part.id}"


def test_a_donor_s_name_and_years_belong_to_the_scenario(base: Base) -> None:
    for donor in base.donors():
        if donor.sort == "yard":
            assert donor.car.split()[0] in ("Calder", "Penrose", "launch")
            assert re.fullmatch(r"(19|20)\d\d-(19|20)\d\d", donor.years)


# -- the pile ----------------------------------------------------------------------------------------------------------

# What its owner would read: the figures of the same features in drover-good.
MEASURED = {
    "pickup.hang": "184.2 +/- 0.1 mm",
    "engine_bay.steering_gap": "38 +/- 0.5 mm",
    "engine_bay.line_gap": "55 +/- 0.5 mm",
    "engine_bay.mount_sag": "1 +/- 0.05 mm",
    "crank_float.without_gearbox": "0.15 +/- 0.01 mm",
    "crank_float.with_gearbox": "0.15 +/- 0.01 mm",
    "coolant_circuit.vent_rise": "65 +/- 0.5 mm",
    "fuel_tank.pickup_clearance": "14 +/- 0.3 mm",
    "block.bell_dowels": "2",
    "block.plugs.gallery-front.fitted": "yes",
    "block.plugs.gallery-rear.fitted": "yes",
    "block.plugs.valley.fitted": "yes",
}


def test_the_pile_owns_much_lacks_more_and_has_ticked_nothing(base: Base) -> None:
    record = base.record_of("drover-pile")
    assert sum(entry.owned for entry in record.roles.values()) >= 20
    assert {"pan", "controller", "transmission", "battery", "radiator"} - set(record.roles) != set()
    assert "first_start" not in record.roles
    assert any(entry.owned for some in record.alternatives.values() for entry in some)


def test_the_pile_s_own_parts_contradict_no_rule_but_those_that_wait_for_the_rest(base: Base) -> None:
    told = base.check("drover-pile")
    # The pump without its regulator, and what is not in the bag yet.
    assert findings(told, NOT) == {"carb-pressure-band", "needle-shuts", "small-parts"}
    assert told.clashes == ()
    missing = {driver.leaf.name for each in told.findings if each.because == "missing" for driver in each.drivers}
    assert missing <= set(MEASURED)


def test_the_pile_fits_once_measured_and_filled_from_the_catalogue(base: Base) -> None:
    """The existence proof: with the good build's parts in its empty roles only the bag is left to fill."""
    pile, good = base.record_of("drover-pile"), base.record_of("drover-good")
    taken = {base_role(role) for role in pile.roles}
    goods = {role for role in good.roles if base_role(role) not in taken and role_named(role).kind.kind not in NO_GOODS}
    filled = {role: good.roles[role].part for role in sorted(goods)}
    assert all(base.part(part).price is not None for part in filled.values())
    told = base.check("drover-pile", {**filled, "battery_circuit": "bench-rear-battery"}, MEASURED)
    assert findings(told, NOT) == {"small-parts"}
    assert findings(told, OPEN) == set()
    assert told.clashes == ()


# -- readings ----------------------------------------------------------------------------------------------------------


def test_the_good_build_s_readings_fit_but_for_the_last_idle(base: Base) -> None:
    found = base.judged_readings("drover-good")
    assert {each.reading.start for each in found} == set(range(1, 7))
    assert [each.reading.id for each in found if each.verdict != FITS] == ["good-6-oil-idle"]


def test_the_first_priming_shows_no_pressure_and_a_good_stream(base: Base) -> None:
    verdicts = {each.reading.place: each.verdict for each in base.judged_readings("drover")}
    assert verdicts == {"oil-gallery": NOT, "oil-pump-flow": FITS}


# -- the story ---------------------------------------------------------------------------------------------------------


def test_drover_shows_the_classic_disaster_and_one_open_question(base: Base) -> None:
    told = base.check("drover")
    assert told.verdict == NOT
    assert findings(told, NOT) == {"passage-sealing"}
    assert findings(told, OPEN) == {"pickup-floor-gap"}
    assert len(findings(told, FITS)) >= 40
    sealing = next(each for each in told.findings if each.rule.id == "passage-sealing")
    assert sealing.station == "P1"
    gap = next(each for each in told.findings if each.rule.id == "pickup-floor-gap")
    assert gap.drivers[0].leaf.name == "pan.sump_depth"
    # A depth gauge reads to 0.1 mm (kb/data/instruments.json), which must be good enough to settle it.
    assert gap.drivers[0].needed is not None
    assert gap.drivers[0].needed > 0.1e-3
    assert [clash.incompatibility.id for clash in told.clashes] == ["aldine-pan-on-calder-38"]


def test_drover_settles_once_the_depth_is_read(base: Base) -> None:
    read_again = base.check("drover", overrides={"pan.sump_depth": "193.4 +/- 0.1 mm"})
    assert findings(read_again, NOT) == {"passage-sealing"}
    assert findings(read_again, OPEN) == set()


# What a carburettor build with an automatic gearbox and a flat pan rail has no use for.
EMPTY = {
    "clutch", "release_bearing", "crank_spacer", "fitted_jets", "injector", "throttle", "compressor", "front_end_seal",
    "rear_end_seal",
}  # fmt: skip


def test_drover_fills_every_role_and_so_does_its_good_twin(base: Base) -> None:
    for id in ("drover", "drover-good"):
        assert {base_role(role) for role in base.build(id).parts} == set(ROLES) - EMPTY


@pytest.mark.parametrize("id", ["drover-good", "farm-33", "pair-fits"])
def test_what_is_good_fits_throughout(base: Base, id: str) -> None:
    told = base.check(id)
    assert told.verdict == FITS
    assert findings(told, FITS) == {each.rule.id for each in told.findings}
    assert told.clashes == ()


@pytest.mark.parametrize(
    ("id", "rules"),
    [
        ("pair-depth", {"pickup-floor-gap"}),
        ("pair-passage", {"passage-sealing"}),
        ("pair-squeeze", {"pickup-seal-squeeze"}),
        ("pair-arch", {"rail-sealing"}),
        ("drover-stroker", {"crank-to-pan", "crank-to-pickup", "crank-to-tray", "tray-to-pan"}),
        ("drover-low", {"pan-to-ground"}),
    ],
)
def test_each_clash_stands_alone(base: Base, id: str, rules: set[str]) -> None:
    told = base.check(id)
    assert told.verdict == NOT
    assert findings(told, NOT) == rules
    assert findings(told, OPEN) == set()


def test_what_cannot_be_told_names_what_to_measure(base: Base) -> None:
    unknown = base.check("pair-unknown")
    assert unknown.verdict == OPEN
    assert findings(unknown, OPEN) == {"pickup-floor-gap", "pickup-inlet-area"}
    for finding in unknown.findings:
        if finding.verdict == OPEN:
            assert finding.because == "missing"
            assert [driver.leaf.name for driver in finding.drivers] == ["pan.sump_depth"]
            assert "depth-gauge" in finding.drivers[0].leaf.feature.tools


def test_a_contradiction_is_told_and_not_averaged(base: Base) -> None:
    told = base.check("pair-contradiction")
    assert findings(told, OPEN) == {"pickup-floor-gap"}
    (gap,) = [each for each in told.findings if each.verdict == OPEN]
    assert [name for name, _ in gap.contradictions] == ["pan.sump_depth"]


@pytest.mark.parametrize(
    ("roles", "rules"),
    [
        ({"pan": "aldine-38-front-sump"}, {"pan-to-crossmember", "pan-to-steering"}),
        ({"pan": "hob-lane-38-tow"}, {"passage-bolt-pitch"}),
        ({"pan": "bench-38-warped"}, {"flange-flatness-cast"}),
        ({"block": "bench-38-spare"}, {"gallery-plugs"}),
        ({"pan_gasket": "calder-38-marine-gasket"}, {"gasket-holes"}),
        ({"pickup": "hob-lane-38-slim"}, {"suction-hot"}),
        ({"duty": "duty-winter"}, {"suction-cold"}),
        ({"pump_drive": "bench-long-drive"}, {"pump-drive-slack"}),
        ({"oil_filter_adapter": "quayside-sandwich"}, {"filter-order", "filter-bypass"}),
        ({"crank_sensor": "tern-hall-long"}, {"sensor-gap-least"}),
        ({"controller": "hob-lane-spark"}, {"wheel-pattern"}),
    ],
)
def test_swaps_named_in_the_readme(base: Base, roles: dict[str, str], rules: set[str]) -> None:
    assert findings(base.check("drover-good", roles), NOT) >= rules


def test_builds_and_parts_named_in_the_readme_exist(base: Base) -> None:
    text = (RECORDS.parent / "README.md").read_text(encoding="utf-8")
    assert set(base.ids("build")) <= set(re.findall(r"`([a-z0-9-]+)`", text))
    for part in re.findall(r"[a-z_]+=([a-z0-9-]+)", text):
        assert part in base.ids()


# -- every rule has a set that passes and one that does not -----------------------------------------------------------

SWAPS = yaml.safe_load((RECORDS.parent / "swaps.yaml").read_text(encoding="utf-8"))
# Their limits are from memory, or would take a negative width to break: they go "outside the usual range" only.
SOFT = {"bolt-pitch", "flange-flatness-sheet", "oil-port-land", "pickup-brace", *SWAPS["soft"]}


def swapped(base: Base, named: dict[str, str | None], fallback: str = "drover-good") -> Build:
    """The good build (or the one that `build` names) with these parts in these roles; None leaves a role empty."""
    named = dict(named)
    whole = base.build(named.pop("build", None) or fallback)
    left = {role: part for role, part in whole.parts.items() if role not in named}
    more = {role: base.part(part) for role, part in named.items() if part}
    return whole._replace(id=f"{whole.id} with {named}", parts={**left, **more})


def combinations(base: Base, parts: dict[str, list[Part]], rule: Rule) -> Iterator[Build]:
    """The swaps named for the rule, the sample's builds, then those of the two good ones with one part swapped."""
    for sort in ("fails", "passes"):
        if rule.id in SWAPS[sort]:
            yield swapped(base, SWAPS[sort][rule.id])
    for id in base.ids("build"):
        yield base.build(id)
    for id in ("drover-good", "farm-33"):
        whole = base.build(id)
        for role in (*rule.roles, *rule.optional_roles):
            for part in parts.get(ROLES[role].kind.kind, ()):
                yield whole._replace(id=f"{id}, {role}={part.id}", parts={**whole.parts, role: part})


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_every_rule_passes_somewhere_and_fails_somewhere(base: Base, parts: dict[str, list[Part]], rule: Rule) -> None:
    passes = fails = ""
    for build in combinations(base, parts, rule):
        for finding in answer(build, [rule], Settings(draws=2000)).findings:
            if finding.verdict == FITS:
                passes = passes or build.id
            elif finding.verdict == NOT or (rule.id in SOFT and finding.because == "outside_usual"):
                fails = fails or build.id
        if passes and fails:
            break
    assert passes, f"no combination of sample parts passes {rule.id}"
    assert fails, f"no combination of sample parts fails {rule.id}"
