"""Why nothing fits: minimal sets, and relaxations that really open a way."""

from __future__ import annotations

import pytest

from kb.build import Build
from kb.chance import FITS, Settings
from kb.judge import answer
from kb.rules import askable
from kb.say.why_not import as_json, as_text, exit_status
from kb.search.plan import Setting, Wish
from kb.search.why_not import WhyNot, case_of_roles, why_not
from tests.search.test_plan import CATALOGUE, CLASH, GASKETS, PANS, PICKUPS, dimension, made


def asked(
    parts: dict[str, object], role: str, catalogue: dict[str, list[object]] | None = None, **more: object
) -> WhyNot:
    build = Build("given", "Given", parts, frozenset({"pickup"}), loose=True)  # type: ignore[arg-type]
    setting = Setting(build, None, catalogue or CATALOGUE, Settings(), **more)  # type: ignore[arg-type]
    return why_not(case_of_roles(setting, [role], Wish(milestone="prime")))


def test_what_fits_is_said() -> None:
    found = asked({"pickup": PICKUPS[0], "pan_gasket": GASKETS[0]}, "pan")
    assert found.fits
    assert exit_status(found) == 0


def test_the_least_change_of_a_dimension_just_makes_the_rule_hold() -> None:
    low = {**CATALOGUE, "pan": [made("pan", "low", 5.0, sump_depth=dimension(170))]}
    found = asked({"pickup": PICKUPS[0], "pan_gasket": GASKETS[0]}, "pan", low)
    assert not found.fits
    assert [link.name for link in found.links] == ["pickup-floor-gap"]
    assert ("pickup", "long", True) in found.parts
    moves = [way for way in found.relaxations if way.sort == "move"]
    assert moves
    for way in moves:
        # With that change all fits, with a hundredth less of it it does not: asked of the judge himself.
        assert verdict(way.role, way.feature, way.by) == FITS
        assert verdict(way.role, way.feature, 0.99 * way.by) != FITS
    assert exit_status(found) == 1
    text = as_text(found)
    assert "that you own" in text
    assert "will do" in text
    assert as_json(found)["links"][0]["name"] == "pickup-floor-gap"


def verdict(role: str, feature: str, by: float) -> str:
    parts = {"pan": made("pan", "low", 5.0, sump_depth=dimension(170)), "pan_gasket": GASKETS[0], "pickup": PICKUPS[0]}
    held = parts[role].facts[feature]
    moved = parts[role]._replace(facts={**parts[role].facts, feature: held._replace(value=held.value + by)})
    return answer(Build("one", "one", {**parts, role: moved}), askable(set(parts))[0], Settings()).verdict


def test_another_part_in_a_given_role_is_tried() -> None:
    low = {**CATALOGUE, "pan": [PANS[1]]}
    found = asked({"pickup": PICKUPS[0], "pan_gasket": GASKETS[0]}, "pan", low)
    others = [way for way in found.relaxations if way.sort == "part" and way.role == "pickup"]
    assert [dict(way.with_)["pickup"] for way in others] == ["short"]  # 170 + 2 - 165 = 7 mm under the foot


def test_what_is_not_measured_is_a_way_and_no_verdict() -> None:
    unknown = {**CATALOGUE, "pan": [PANS[2]]}
    found = asked({"pickup": PICKUPS[0], "pan_gasket": GASKETS[0]}, "pan", unknown)
    assert exit_status(found) == 3
    measures = [way for way in found.relaxations if way.sort == "measure"]
    assert measures
    assert "pan.sump_depth" in measures[0].measure


def test_the_set_is_minimal() -> None:
    # The deep pan clashes with the pickup by record, the shallow one by its depth: both reasons are needed.
    two = {**CATALOGUE, "pan": [PANS[0], PANS[1]]}
    found = asked({"pickup": PICKUPS[0], "pan_gasket": GASKETS[0]}, "pan", two, clashes=[CLASH])
    assert {link.name for link in found.links} == {"pickup-floor-gap", "clash:deep-and-long"}
    assert found.minimal
    without_clash = asked({"pickup": PICKUPS[0], "pan_gasket": GASKETS[0]}, "pan", two)
    assert without_clash.fits == (("pan", "deep"),)
    without_rule = asked({"pickup": PICKUPS[0]}, "pan", two, clashes=[CLASH])  # no gasket: the depth is not asked
    assert without_rule.fits == (("pan", "shallow"),)


@pytest.mark.parametrize("role", ["pan", "pickup"])
def test_a_role_without_any_part_is_named(role: str) -> None:
    found = asked({"pan_gasket": GASKETS[0]}, role, {**CATALOGUE, role: []})
    assert found.nothing == (role,)
    assert role in as_text(found)
