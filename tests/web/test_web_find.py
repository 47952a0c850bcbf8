"""What fits, as a page: the form, rows with links to their check, the data, what cannot be searched."""

from __future__ import annotations

from collections.abc import Iterator
from html import unescape
from urllib.parse import parse_qsl, urlsplit

import pytest

from kb.base import Base
from tests.web.visiting import House, Visitor


@pytest.fixture(scope="module")
def visitor(sample: str) -> Iterator[Visitor]:
    house = House(sample)
    yield Visitor(house)
    house.close()


def test_the_form_offers_every_role_and_build(visitor: Visitor) -> None:
    page = visitor.get("/find")
    assert page.status_code == 200
    for words in ('value="pan"', 'value="windage_tray"', 'value="drover-good"', "Brightwater Fab"):
        assert words in page.text
    assert page.text.count("<label") >= page.text.count("<select") + page.text.count('<input id="')
    assert visitor.get("/find.json").json()["ok"] is True


def test_rows_lead_to_the_check_of_these_very_parts(visitor: Visitor, sample: str) -> None:
    page = visitor.get("/find?role=pan&and=pickup&build=drover-good&limit=10&pan_gasket=aldine-38-cork")
    assert page.status_code == 200
    links = [unescape(each.split('"')[0]) for each in page.text.split('href="')[1:] if each.startswith("/fit?")]
    assert links
    with Base(sample) as base:
        found = base.find(["pan", "pickup"], "drover-good", {"pan_gasket": "aldine-38-cork"})
    told = [dict(parse_qsl(urlsplit(link).query)) for link in links]
    rows = [*found.fits, *found.cannot_tell]
    assert [(each["pan"], each["pickup"]) for each in told] == [tuple(part.id for part in row.parts) for row in rows]
    assert {(each["build"], each["pan_gasket"]) for each in told} == {("drover-good", "aldine-38-cork")}
    assert visitor.get(links[0]).status_code == 200


def test_the_data_are_those_of_the_command(visitor: Visitor, sample: str) -> None:
    from kb.say.find import as_json

    data = visitor.get("/find.json?role=pan&build=drover-good&sort=price").json()
    with Base(sample) as base:
        assert data == as_json(base.find(["pan"], "drover-good", order="price"))


@pytest.mark.parametrize(("show", "there", "gone"), [
    ("fits", 'id="fits"', 'id="cannot-tell"'),
    ("cannot-tell", 'id="cannot-tell"', 'id="fits"'),
    ("no", 'id="no"', 'id="fits"'),
])  # fmt: skip
def test_the_verdict_is_a_filter(visitor: Visitor, show: str, there: str, gone: str) -> None:
    page = visitor.get(f"/find?role=pan&build=drover-good&show={show}").text
    assert there in page
    assert gone not in page


def test_price_and_maker_are_filters(visitor: Visitor) -> None:
    data = visitor.get("/find.json?role=pan&build=drover-good&under=150").json()
    assert {each["parts"][0]["part"] for each in data["fits"]} == {"bench-38-pan"}  # 140 EUR in the sample
    data = visitor.get("/find.json?role=pan&build=drover-good&maker=Hob+Lane+Engineering").json()
    assert {part["maker"] for each in data["does_not_fit"] for part in each["parts"]} == {"Hob Lane Engineering"}


def test_a_form_s_pair_counts_like_a_part_in_the_address(visitor: Visitor) -> None:
    plain = visitor.get("/find.json?role=pan&pickup=calder-38-pickup&pan_gasket=calder-38-gasket").json()
    form = visitor.get(
        "/find.json?role=pan&and=&and=&with=pickup%3Dcalder-38-pickup&with=pan_gasket%3Dcalder-38-gasket&with=&under=&build="
    ).json()
    assert plain["counts"] == form["counts"]
    assert plain["fixed"] == {"pickup": "calder-38-pickup", "pan_gasket": "calder-38-gasket"}


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("role=pann", "pann"),
        ("role=pan&pan=bench-38-pan", "searched and given"),
        ("role=pan&build=nowhere", "nowhere"),
        ("role=pan&with=pickup", "no role=part"),
        ("role=pan&under=cheap", "no number"),
        ("role=pan&under=-1", "no number"),
        ("role=pan&under=nan", "no number"),
        ("role=pan&limit=7", "7 rows"),
        ("role=pan&sort=colour", "colour"),
        ("role=pan&maker=Nobody", "Nobody"),
        ("role=pan&and=pickup&and=pan_gasket&and=pickup_seal", "4 roles"),
        ("role=pan&limit=10&limit.x=2", "limit"),
        ("role=%3Cscript%3E", "script"),
    ],
)
def test_what_cannot_be_searched_comes_back_with_the_form(visitor: Visitor, query: str, words: str) -> None:
    page = visitor.get(f"/find?{query}")
    assert page.status_code == 400
    assert words in page.text
    assert "<script>" not in page.text
    assert 'role="alert"' in page.text
    assert "Next:" in page.text
    data = visitor.get(f"/find.json?{query}").json()
    assert data["ok"] is False
    assert data["next"]


def test_more_than_a_page_can_look_through_is_refused(visitor: Visitor, monkeypatch: pytest.MonkeyPatch) -> None:
    from kb.web.pages import find

    monkeypatch.setattr(find, "MOST", 10)
    page = visitor.get("/find?role=pan&and=pickup_seal")
    assert page.status_code == 400
    assert "matchmark find pan --and pickup_seal" in page.text


def test_what_cannot_be_told_leads_to_where_it_is_measured(visitor: Visitor, sample: str) -> None:
    page = visitor.get("/find?role=pan&build=drover-good").text
    to = [unescape(each.split('"')[0]) for each in page.split('href="')[1:] if each.startswith("/here?")]
    with Base(sample) as base:
        open_ones = [row.parts[0].id for row in base.find(["pan"], "drover-good").cannot_tell]
    assert [dict(parse_qsl(urlsplit(each).query)).get("part") for each in to] == [*open_ones, None]
    assert visitor.get(to[0]).status_code == 200
    assert 'href="/here"' in visitor.get("/find?role=pan&and=pickup&build=drover-good").text
