"""The commands audit and readings: what they print and with which exit status they end."""

from __future__ import annotations

import json
from collections.abc import Callable

from tests.cli.running import Ran

Run = Callable[..., Ran]


def test_audit_prints_the_share_and_ends_well_whatever_it_finds(run: Run, sample: str) -> None:
    ran = run("audit", "--db", sample)
    assert ran.status == 0
    first = " ".join(ran.out.split())
    data = json.loads(run("audit", "--json", "--db", sample).out)
    assert f"{data['counts']['foreseen']} of {len(data['cases'])} ({100 * data['share']:.0f} %)" in first
    assert {each["status"] for each in data["cases"]} == {"confirmed"}
    assert sum(len(each["cases"]) for each in data["gaps"]) == data["counts"]["not foreseen"]


def test_audit_of_one_case(run: Run, sample: str) -> None:
    ran = run("audit", "coil-on-magnet-ring", "--db", sample)
    assert ran.status == 0
    assert "1 of 1 (100 %)" in ran.out
    assert "sensor-target: does not fit" in ran.out
    wrong = run("audit", "coil-on-magnet", "--db", sample)
    assert wrong.status == 2
    assert "coil-on-magnet-ring" in wrong.err


def test_readings_are_judged(run: Run, sample: str) -> None:
    good = run("readings", "drover-good", "--db", sample)
    assert good.status == 3  # the last hot idle lies below what is usual
    assert "Over several starts" in good.out
    assert "never a certificate" in " ".join(good.out.split())
    bad = run("readings", "drover", "--json", "--db", sample)
    assert bad.status == json.loads(bad.out)["exit_status"] == 1
    one = run("readings", "drover-good", "--place", "start-feed-drop", "--db", sample)
    assert one.status == 0
    assert "oil-gallery" not in one.out


def test_readings_name_the_next_step(run: Run, sample: str) -> None:
    none = run("readings", "drover-pile", "--db", sample)
    assert none.status == 3
    assert "matchmark reading drover-pile" in " ".join(none.out.split())
    wrong = run("readings", "drover-god", "--db", sample)
    assert wrong.status == 2
    assert "drover-good" in wrong.err
    place = run("readings", "drover-good", "--place", "oil-galery", "--db", sample)
    assert place.status == 2
    assert "oil-gallery" in place.err
