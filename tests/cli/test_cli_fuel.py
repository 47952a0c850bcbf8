"""`matchmark fuel`: the starting set for the second fuel, the kit, the order and the way back."""

from __future__ import annotations

import json
import re
from collections.abc import Callable

import pytest

from kb.base import Base
from kb.fuel_change import fuel_change
from kb.standards.fuels import ethanol_blend, jet_area_ratio
from tests.cli.running import Ran

Run = Callable[..., Ran]


def words(ran: Ran) -> str:
    return " ".join(ran.out.split())


def test_the_demo_build_gets_its_set_kit_order_and_way_back(run: Run, sample: str) -> None:
    ran = run("fuel", "drover-good", "--db", sample)
    assert (ran.status, ran.err) == (0, "")
    text = words(ran)
    for piece in (
        "main-left (main jet): 1.45 mm now, start at 1.66 mm", "accelerator pump: ", "Kit to carry: 1. ",
        "Order of the change: 1. Prove what is in the can", "The way back: 1. ", "Only a wideband reading",
        "On the wrong set: ", "extinguisher at hand",
    ):  # fmt: skip
        assert piece in text, piece
    assert max(map(len, ran.out.splitlines())) <= 80


def test_the_area_is_that_of_the_fuels(sample: str) -> None:
    with Base(sample) as base:
        build = base.build("drover-good")
    found = fuel_change(build)
    base_share = build.parts["carburettor"].facts["base_ethanol"].value
    share = build.parts["second_fuel"].facts["ethanol"].value
    first, second = ethanol_blend(base_share), ethanol_blend(share)
    due = jet_area_ratio(first.ratio, first.density, second.ratio, second.density)
    assert found.ratios.area == pytest.approx(due)
    for change in found.changes:
        if not change.keep and change.circuit == "main_jet":
            # area goes with the square of the bore: from the definition (no rod in this set)
            assert (change.start / change.now) ** 2 == pytest.approx(due)


def test_the_way_there_and_back_meet(sample: str) -> None:
    """On the set for the other fuel, one runs as lean as the other runs rich."""
    with Base(sample) as base:
        found = fuel_change(base.build("drover-good"))
    (_, lean), (_, rich) = found.wrong_way
    assert lean > 1.0 > rich
    assert lean * rich == pytest.approx(1.0)


def test_plain_data(run: Run, sample: str) -> None:
    ran = run("fuel", "drover-good", "--json", "--db", sample)
    data = json.loads(ran.out)
    assert data["ratios"]["area"] > 1.2
    assert {each["name"] for each in data["changes"]} >= {"main-left", "idle", "seat"}


def test_inches(run: Run, sample: str) -> None:
    assert re.search(
        r"main-left \(main jet\): 0\.057 in now", words(run("fuel", "drover-good", "--units", "in", "--db", sample))
    )


@pytest.mark.parametrize(
    ("what", "said"),
    [
        (("pan=calder-38-pan",), "no carburettor in this build"),
        (("carburettor=bench-four",), "no second fuel in this build"),
        (("farm-33",), "no carburettor in this build"),
        (("drover-good", "second_fuel.ethanol=?"), "its ethanol is not recorded"),
        (("drover-good", "carburettor.base_ethanol=120 mm"), "is a length (mm) where a percentage is due"),
    ],
)
def test_what_is_wanting_is_named_with_the_next_step(run: Run, sample: str, what: tuple[str, ...], said: str) -> None:
    ran = run("fuel", *what, "--db", sample)
    assert ran.status == 2
    assert said in " ".join(ran.err.split())
    assert "next: " in ran.err
