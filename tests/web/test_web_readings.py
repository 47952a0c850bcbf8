"""The readings' page: judged, drawn over several starts, and a form that loses nothing that was typed."""

from __future__ import annotations

from kb.store.change import add_gauge_reading
from tests.web.small import BREAK_OUT, SCRIPT
from tests.web.visiting import House, Read, Visitor

PAGE = "/build/drover/readings"
GOOD = {
    "place": "oil-gallery", "value": "50 psi", "state": "running", "speed": "3000 rpm", "temperature": "90 degC",
    "start": "2", "with": "pressure-gauge", "date": "2024-06-01", "tolerance": "", "note": "steady",
}  # fmt: skip


def test_an_empty_build_says_so_and_offers_no_form_to_strangers(stranger: Visitor) -> None:
    page = stranger.get(PAGE)
    assert page.status_code == 200
    assert "Nothing is recorded yet" in page.text
    assert Read(page.text).all("textarea") == []
    assert stranger.get(f"{PAGE}.json").json()["readings"] == []


def test_a_build_that_is_not_there_is_told(stranger: Visitor) -> None:
    assert stranger.get("/build/drovr/readings").status_code == 404


def test_the_form_is_labelled(signed_in: Visitor) -> None:
    read = Read(signed_in.get(PAGE).text)
    assert read.unlabelled() == []
    assert [found for found in read.all("select") if found.get("name") == "place"]


def test_a_reading_is_written_and_judged(writer: Visitor) -> None:
    response = writer.post(PAGE, GOOD)
    assert response.status_code == 303
    assert response.headers["location"] == f"{PAGE}#readings"
    page = writer.get(PAGE)
    assert "344.7 kPa" in page.text  # 50 psi
    (found,) = writer.get(f"{PAGE}.json").json()["readings"]
    assert (found["verdict"], found["tier"], found["by"], found["start"]) == ("fits", "normal", "sam", 2)


def test_what_is_wrong_stands_at_its_field_and_nothing_is_lost(writer: Visitor) -> None:
    response = writer.post(PAGE, {**GOOD, "value": "lots", "start": "first", "note": BREAK_OUT + SCRIPT})
    assert response.status_code == 400
    assert SCRIPT not in response.text
    assert "no number of a start" in response.text
    read = Read(response.text)
    assert next(found for found in read.all("input") if found.get("name") == "value")["value"] == "lots"
    wrong = writer.post(PAGE, {**GOOD, "value": "50 mm"})
    assert wrong.status_code == 400
    invalid = [found["id"] for found in Read(wrong.text).all("input") if found.get("aria-invalid")]
    assert invalid == ["value"]
    assert writer.get(f"{PAGE}.json").json()["readings"] == []


def test_nothing_chosen_names_all_three(writer: Visitor) -> None:
    response = writer.post(PAGE, {})
    assert response.status_code == 400
    for words in ("where it was read", "the value is missing", "what the engine did"):
        assert words in response.text


def test_three_starts_are_drawn(own_house: House) -> None:
    for start, value in enumerate(("25 psi", "22 psi", "18 psi"), 1):
        record = {"build": "drover", "place": "oil-gallery", "value": value, "state": "idling", "start": start}
        add_gauge_reading(own_house.path, {**record, "speed": "760 rpm", "temperature": "90 degC"}, by="sam")
    page = Visitor(own_house).get(PAGE)
    assert "drawing cannot be made" not in page.text
    assert 'data-verdict="cannot tell"' in page.text
    ids = [found["id"] for _, found in Read(page.text).tags if "id" in found]
    assert len(ids) == len(set(ids))
    assert [len(each["words"]) for each in Visitor(own_house).get(f"{PAGE}.json").json()["trends"]] == [2]
