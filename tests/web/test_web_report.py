"""From a finding on the check page to the form with everything filled in."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from kb.store import read
from kb.store.load import init
from tests.web.visiting import House, Read, Visitor


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    init(tmp_path / "s.db", sample=True)
    made = House(str(tmp_path / "s.db"), writer="sam")
    yield made
    made.close()


def test_a_finding_fills_in_the_form_and_the_form_is_taken(house: House) -> None:
    visitor = Visitor(house).sign_in()
    page = Read(visitor.get("/fit?build=drover-low").text)
    links = [each["href"] for each in page.all("a") if each.get("href", "").startswith("/incompatibility/new?")]
    link = next(each for each in links if "rests%20on%20the%20ground" in each)
    form = Read(visitor.get(link).text)
    fields = [(each["name"], each.get("value", "")) for each in form.all("input") if each.get("name")]
    seen = [value for name, value in fields if name == "seen_feature"]
    assert {"pan.hull.sump.depth", "car.ground"} <= set(seen)
    assert ("seen_reading", "310 mm") in fields  # as sample_db says of the lowered car
    pairs = [
        ("title", "The pan rests on the ground"), ("symptom", "It scrapes."), ("found", "bench"), ("harm", "destroys"),
        ("milestone", "drive"), ("side_role", "pan"), ("side_part", "brightwater-38-drag"), ("side_where", ""),
        *[("seen_text", "see") for _ in seen],
        *[(name, value) for name, value in fields if name in ("seen_feature", "seen_reading")],
    ]  # fmt: skip
    kept = visitor.post("/incompatibility/new", pairs)
    assert kept.status_code == 303, kept.text
    con = read.open_readonly(house.path)
    evidence = read.record(con, "incompatibility", "the-pan-rests-on-the-ground")["evidence"]
    con.close()
    assert {(each["role"], each["feature"]) for each in evidence} >= {("pan", "hull.sump.depth"), ("car", "ground")}
