"""The shopping list as a page."""

from __future__ import annotations

from kb.store.write import write_record
from tests.web.small import SCRIPT
from tests.web.visiting import House, Read, Visitor


def test_the_list_names_what_is_to_be_got_and_what_to_look_at(stranger: Visitor) -> None:
    response = stranger.get("/build/drover/buy?milestone=prime")
    page = Read(response.text)
    assert response.status_code == 200
    assert "Before paying:" in page.words
    assert "price not known" in page.words
    assert "/part/my-pan" in [each.get("href") for each in page.all("a")]
    assert page.unlabelled() == []
    data = stranger.get("/build/drover/buy.json?milestone=prime").json()
    assert data["milestone"] == "prime"


def test_every_check_is_shown_on_demand(stranger: Visitor) -> None:
    few, every = (stranger.get(f"/build/drover/buy{query}").text for query in ("", "?all=1"))
    assert len(every) > len(few)
    assert "show every check" in few
    assert "show every check" not in every


def test_what_users_wrote_stays_text(own_house: House) -> None:
    donor = {"kind": "donor", "id": "row", "name": SCRIPT, "sort": "yard", "place": SCRIPT, "carries": ["hostile-pan"]}
    write_record(own_house.path, donor, by="x", origin="test")
    text = Visitor(own_house).get("/build/hostile/buy").text
    assert "&lt;script&gt;" in text
    assert "<script>alert" not in text


def test_what_is_misspelt_is_told(stranger: Visitor) -> None:
    assert stranger.get("/build/dorver/buy").status_code == 404
    assert stranger.get("/build/drover/buy?milestone=fly").status_code == 404
