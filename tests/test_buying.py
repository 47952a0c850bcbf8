"""What is still to be got: which roles, from where, at what price, and what to look at. Figures invented."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from kb.base import Base
from kb.buying import Item, Shopping
from kb.errors import UnknownName
from kb.say.buy import PHONE, as_json, as_text, money, told
from kb.store.load import init, load

RECORDS: list[dict[str, Any]] = [
    {"kind": "pan", "id": "deep", "name": "Deep pan", "price": 90, "sump_depth": "190 +/- 0.2 mm"},
    {"kind": "pan", "id": "bench", "name": "The dented one", "based_on": "deep"},
    {"kind": "pan", "id": "spare", "name": "Spare pan"},
    {"kind": "pickup", "id": "long", "name": "Long pickup", "hang": "184 +/- 3 mm"},
    {"kind": "pan_gasket", "id": "thin", "name": "Gasket", "installed_thickness": "2 +/- 0.05 mm", "supply": "bench"},
    {"kind": "oil_filter", "id": "can", "name": "Filter"},
    {"kind": "oil_pump", "id": "pump", "name": "Pump", "supply": "yard"},
    {"kind": "dipstick", "id": "stick", "name": "Stick", "price": 8, "currency": "GBP"},
    {"kind": "incompatibility", "id": "c", "title": "Deep pans rust", "parties": [{"role": "pan", "part": "deep"}],
     "symptom": "pinholes", "found": "bench", "harm": "leaks", "milestone": "drive"},
    {"kind": "incompatibility", "id": "no", "title": "Not so", "parties": [{"role": "pan", "part": "deep"}],
     "symptom": "none", "found": "bench", "harm": "leaks", "milestone": "drive", "status": "refuted",
     "reviews": [{"status": "refuted", "by": "Kim", "date": "2024", "reason": "no"}]},
    {"kind": "donor", "id": "row-9", "name": "Row 9", "sort": "yard", "place": "Harbour breakers", "seen": "2024-05",
     "carries": [{"part": "deep", "price": 25}, "can"]},
    {"kind": "donor", "id": "row-2", "name": "Row 2", "sort": "yard", "carries": [{"part": "deep", "price": 20}]},
    {"kind": "donor", "id": "list", "name": "Shop list", "sort": "shop", "carries": [{"part": "long", "price": 60}]},
    {"kind": "build", "id": "b", "name": "Mine", "roles": {
        "pan": "bench", "pickup": "long", "pan_gasket": "thin", "oil_pump": "pump", "dipstick": "stick"},
     "alternatives": {"pan": [{"part": "spare", "owned": True}]}},
    {"kind": "build", "id": "owned", "name": "All mine", "roles": {"pan": {"part": "bench", "owned": True}}},
    {"kind": "build", "id": "empty", "name": "Nothing yet"},
]  # fmt: skip


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("buying")
    path = folder / "kb.db"
    init(path)
    (folder / "all.json").write_text(json.dumps(RECORDS), encoding="utf-8")
    load(path, [folder / "all.json"], by="tester")
    return str(path)


@pytest.fixture(scope="module")
def found(base: str) -> Shopping:
    with Base(base) as kb:
        return kb.buy("b", "prime")


def item(found: Shopping, role: str) -> Item:
    return next(each for each in found.items if each.role == role)


def test_each_part_has_its_source_and_its_price(found: Shopping) -> None:
    said = {each.role: (each.source, each.price, each.currency) for each in found.items if each.part is not None}
    assert said == {
        "pan": ("yard", 20.0, "EUR"),  # a yard carries its model: the cheapest of the two
        "pickup": ("shop", 60.0, "EUR"),  # no yard does, a shop's list has it
        "pan_gasket": ("bench", None, "EUR"),
        "oil_pump": ("yard", None, "EUR"),  # its record says where one gets it
        "dipstick": ("shop", 8.0, "GBP"),  # its own record's price
    }


def test_what_the_build_says_of_a_price_goes_before(base: str) -> None:
    with Base(base) as kb:
        record = kb.record_of("b")
        entry = record.roles["pan"]._replace(price=31.0)
        from kb.buying import Shelf, shopping

        shelf = Shelf(kb.donors(), {}, {"bench": ("bench", "deep")})
        roles = {"pan": entry}
        made = shopping(kb.check("b"), record._replace(roles=roles, alternatives={}), (), shelf, (), "prime")
    assert [(each.role, each.price) for each in made.items] == [("pan", 31.0)]


def test_donors_are_named_with_the_model_that_they_carry(found: Shopping) -> None:
    assert [(each.donor.id, each.carried.part) for each in item(found, "pan").offers] == [
        ("row-2", "deep"), ("row-9", "deep"),
    ]  # fmt: skip
    assert [each.part for each in item(found, "pan").options] == ["spare"]
    assert item(found, "pan").options[0].owned
    text = as_text(found)
    assert "Row 9 (Harbour breakers), seen 2024-05 as deep: 25 EUR" in " ".join(text.split())
    assert "no car that carries it is recorded" in text  # the pump


def test_roles_that_the_milestone_needs_are_on_the_list_and_what_nobody_sells_is_not(found: Shopping) -> None:
    empty = [each.role for each in found.items if each.part is None]
    assert "oil_filter" in empty  # an engine is not primed without one: from the definition
    assert "first_start" not in empty
    filter_ = item(found, "oil_filter")
    assert (filter_.source, filter_.price) == ("yard", None)  # row 9 carries one
    assert [(each.part, each.price) for each in filter_.options] == [("can", None)]


def test_the_sum_says_what_is_not_known(found: Shopping) -> None:
    assert found.totals == {"EUR": 80.0, "GBP": 8.0}  # 20 + 60; 8: hand sum
    assert found.unknown == len(found.items) - 3
    words = told(found).sum
    assert words.startswith(f"80 EUR and 8 GBP for 3 of {len(found.items)}")
    assert f"the price of {found.unknown} is not known" in words
    assert money(1234.5, "EUR") == "1,234.50 EUR"
    assert money(None, "EUR") == "price not known"


def test_what_to_look_at_comes_from_the_rules_that_read_the_part(found: Shopping) -> None:
    hang = next(each for each in item(found, "pickup").checks if each.feature.name == "hang")
    assert "pickup-floor-gap" in [each.rule.id for each in hang.findings]
    line = next(each for each in told(found, every=True).sources[1][1] if each.role == "pickup").checks
    words = next(each for each in line if each.startswith("hang"))
    assert "Recorded 184 mm" in words
    assert "foot" in words
    sump = [each for each in item(found, "oil_filter").checks if each.rules]
    assert all(each.recorded is None for each in sump)


def test_recorded_trouble_of_the_part_or_its_model_is_told_and_refuted_is_not(found: Shopping) -> None:
    assert [each.id for each in item(found, "pan").clashes] == ["c"]
    assert "known trouble: Deep pans rust (reported): pinholes" in " ".join(as_text(found).split())
    assert item(found, "pickup").clashes == ()


def test_what_is_owned_is_not_bought_and_an_empty_build_lists_what_it_needs(base: str) -> None:
    with Base(base) as kb:
        assert "pan" not in [each.role for each in kb.buy("owned", "prime").items]
        empty = kb.buy("empty", "prime")
        assert {"block", "pan", "oil_pump"} <= {each.role for each in empty.items}
        assert all(each.part is None for each in empty.items)
        assert "no price is known" in told(empty).sum
        assert {each.role for each in empty.items} < {each.role for each in kb.buy("empty", "drive").items}
        with pytest.raises(UnknownName):
            kb.buy("nothing")
        with pytest.raises(UnknownName):
            kb.buy("b", "fly")


def test_a_phone_shows_every_line(found: Shopping) -> None:
    lines = as_text(found, width=PHONE, every=True).splitlines()
    assert max(map(len, lines)) <= 40
    assert any("before anybody" in line for line in lines)  # the caution of the yard


def test_a_part_that_does_not_fit_says_so_before_it_is_paid_for(tmp_path: Path) -> None:
    path = tmp_path / "kb.db"
    init(path)
    long = [{**each, "hang": "191.8 +/- 0.2 mm"} if each["id"] == "long" else each for each in RECORDS]
    (tmp_path / "all.json").write_text(json.dumps(long), encoding="utf-8")
    load(path, [tmp_path / "all.json"], by="tester")
    with Base(str(path)) as kb:
        bad = kb.buy("b", "prime")
    # 190 + 2 - 191.8 = 0.2 mm under the foot: hand sum, and far below the rule's least
    assert item(bad, "pickup").verdict == "does not fit"
    assert "pickup-floor-gap" in [each.name for each in item(bad, "pickup").bad]
    assert "DOES NOT FIT" in as_text(bad)


def test_as_data(found: Shopping) -> None:
    data = as_json(found)
    assert json.loads(json.dumps(data)) == data
    assert data["unknown_prices"] == found.unknown
    pan = next(each for each in data["items"] if each["role"] == "pan")
    assert pan["donors"][0] == {"donor": "row-2", "part": "deep", "price": 20.0, "currency": "EUR"}
    assert pan["incompatibilities"] == ["c"]
    assert len(data["items"]) == len(found.items)
