"""The pages of what to measure, its sheet, and two builds compared."""

from __future__ import annotations

import re
from typing import Any

import pytest

from kb.base import Base
from kb.chance import FITS, OPEN
from tests.web.small import SCRIPT
from tests.web.visiting import House, Read, Visitor

PAGE = "/build/trial/measure"
TRIAL = {
    "kind": "build", "id": "trial", "name": "Trial of two tales",
    "roles": {"pan": {"part": "two-tales", "owned": True}, "pickup": "short-tube", "pan_gasket": "thin-gasket"},
}  # fmt: skip


@pytest.fixture
def trial(own_house: House) -> Visitor:
    """Signed in, with a build whose pan has two depths that contradict each other."""
    from kb.store.write import write_record

    write_record(own_house.path, TRIAL, by="tests", origin="tests")
    return Visitor(own_house).sign_in()


def rows(visitor: Visitor, **values: str) -> list[tuple[str, str]]:
    """What the page's form sends, with these values typed: pan_sump_depth='188 mm'."""
    html = visitor.get(PAGE).text
    sent: list[tuple[str, str]] = []
    for where, old in re.findall(r'name="where" value="([^"]+)"><input type="hidden" name="old" value="([^"]*)"', html):
        sent += [
            ("where", where),
            ("old", old),
            ("value", values.get(where.replace(".", "_"), "")),
            ("tool", "depth-gauge"),
        ]
    assert sent
    return sent


def test_the_list_has_a_labelled_field_for_each_reading(trial: Visitor) -> None:
    response = trial.get(PAGE)
    page = Read(response.text)
    assert response.status_code == 200
    assert page.unlabelled() == []
    assert "Pan: sump depth" in page.words
    assert "depth gauge" in page.words
    assert "Take care." in page.words
    data = trial.get("/build/trial/measure.json").json()
    listed = {each["input"]: each for item in data["items"] for each in item["readings"]}
    fields = [each["id"] for each in page.all("input") if each.get("name") == "value"]
    assert len(fields) == len(listed)
    assert {name for name, each in listed.items() if each["supersedes"]} == {"pan.sump_depth"}


def test_a_stranger_sees_the_list_without_fields(trial: Visitor) -> None:
    stranger = Visitor(trial.house)
    html = stranger.get(PAGE).text
    assert "Pan: sump depth" in html
    assert 'name="value"' not in html
    assert "matchmark measure trial --enter FILE" in Read(html).words


def test_what_was_read_is_written_and_the_verdict_that_moves_is_shown(trial: Visitor) -> None:
    response = trial.post(PAGE, rows(trial, pan_sump_depth="190.0 mm"))
    words = " ".join(Read(response.text).words.split())
    assert response.status_code == 200
    assert "1 reading entered" in words
    # 190 + 2 - 184 = 8 mm under the foot, allowed 1.5 to 12.7: hand sum
    assert "pickup floor gap cannot tell → fits" in words
    with Base(trial.house.path) as base:
        answer = base.check("trial")
        gap = next(each for each in answer.findings if each.name == "pickup-floor-gap")
        last = answer.build.parts["pan"].facts["sump_depth"].readings[-1]
    assert gap.verdict == FITS
    assert (last.by, last.instrument, last.supersedes) == ("sam", "depth-gauge", True)


@pytest.mark.parametrize("typed", ["deep", "3 bar", SCRIPT, "188"])
def test_what_cannot_be_read_stands_at_its_field_with_what_was_typed(trial: Visitor, typed: str) -> None:
    response = trial.post(PAGE, rows(trial, pan_sump_depth=typed))
    page = Read(response.text)
    assert response.status_code == 400
    (field,) = [each for each in page.all("input") if each.get("name") == "value" and each["value"]]
    assert field["value"] == typed
    assert field["id"] == "reading-pan-sump-depth"
    assert field["aria-invalid"] == "true"
    assert f"#{field['id']}" in [each.get("href") for each in page.all("a")]
    assert "<script>" not in response.text
    with Base(trial.house.path) as base:
        assert len(base.part("two-tales").facts["sump_depth"].readings) == 2


def test_an_empty_form_writes_nothing_and_says_so(trial: Visitor) -> None:
    response = trial.post(PAGE, rows(trial))
    assert response.status_code == 400
    assert "nothing is filled in" in Read(response.text).words


@pytest.mark.parametrize(
    "form",
    [
        [("where", "pan.nothing"), ("value", "1 mm"), ("tool", ""), ("old", "")],
        [("where", "nothing"), ("value", "1 mm"), ("tool", ""), ("old", "")],
        [("where", ""), ("value", "1 mm"), ("tool", ""), ("old", "")],
        [("where", "pan.sump_depth"), ("value", "190 mm"), ("tool", SCRIPT), ("old", "")],
        [("where", SCRIPT), ("value", SCRIPT), ("tool", SCRIPT), ("old", SCRIPT)],
    ],
)
def test_forms_that_no_page_sends_are_refused_in_words(trial: Visitor, form: list[tuple[str, str]]) -> None:
    response = trial.post(PAGE, form)
    assert response.status_code in (400, 404)
    assert "<script>" not in response.text


def test_what_narrows_the_list_down(trial: Visitor) -> None:
    assert "Pan: sump depth" not in Read(trial.get(f"{PAGE}?at=yard").text).words  # the pan is owned
    assert "Pan: sump depth" in Read(trial.get(f"{PAGE}?at=bench&order=tool&milestone=prime&units=in").text).words
    for wrong in ("at=moon", "order=price", "milestone=win", "units=ell"):
        assert trial.get(f"{PAGE}?{wrong}").status_code == 400
    assert trial.get("/build/nothing/measure").status_code == 404
    assert trial.get("/build/nothing/measure/sheet.json").status_code == 404


def test_the_sheet_has_a_box_for_each_reading(trial: Visitor) -> None:
    response = trial.get(f"{PAGE}/sheet")
    assert response.status_code == 200
    data = trial.get(f"{PAGE}/sheet.json").json()
    assert response.text.count('class="sheet-box"') == sum(len(item["readings"]) for item in data["items"]) > 1
    assert "contradict each other" in Read(response.text).words
    assert "Take care." in Read(response.text).words


def test_hostile_names_stay_words(house: House) -> None:
    visitor = Visitor(house)
    for address in ("/build/hostile/measure", "/build/hostile/measure/sheet", "/compare?a=hostile&b=drover"):
        response = visitor.get(address)
        assert response.status_code == 200
        assert "<script>" not in response.text
        assert "onerror=alert" not in response.text.replace("&#39;", "").replace("&lt;img src=x onerror=alert", "")


# -- compare -----------------------------------------------------------------------------------------------------------


def compared(visitor: Visitor, query: str) -> tuple[str, dict[str, Any]]:
    response = visitor.get(f"/compare?{query}")
    assert response.status_code == 200
    data: dict[str, Any] = visitor.get(f"/compare.json?{query}").json()
    return " ".join(Read(response.text).words.split()), data


def test_a_change_compared(house: House) -> None:
    # 190 + 2 - 191.8 = 0.2 mm under the foot of the long tube, allowed from 1.5 mm: hand sum
    words, data = compared(Visitor(house), "a=drover&pickup=long-tube")
    assert "Something is worse." in words
    assert "pickup floor gap fits → does not fit" in words
    assert data["exit_status"] == 1
    assert data["roles"] == [{"role": "pickup", "before": "short-tube", "after": "long-tube"}]
    words, data = compared(Visitor(house), "a=drover&pickup.hang=184.5 mm")
    assert data["exit_status"] == 0
    assert "Changed: pickup.hang=184.5 mm" in words


def test_two_builds_compared(trial: Visitor) -> None:
    words, data = compared(trial, "a=drover&b=trial")
    assert data["exit_status"] == 3
    assert {each["after"] for each in data["findings"]["unknown"]} == {OPEN}
    assert "Cannot be told any more" in words


def test_from_the_page_of_a_build(house: House) -> None:
    visitor = Visitor(house)
    assert visitor.get("/build/drover/compare?b=hostile").headers["location"] == "/compare?a=drover&b=hostile"
    assert visitor.get("/build/drover/compare").headers["location"] == "/compare?a=drover"


def test_the_form_alone(house: House) -> None:
    page = Read(Visitor(house).get("/compare").text)
    assert page.unlabelled() == []
    assert [each["name"] for each in page.all("select")] == ["a", "b"]


@pytest.mark.parametrize(
    ("query", "status"),
    [("a=nothing&b=drover", 404), ("a=drover&b=nothing", 404), ("a=drover&pan=nothing", 404),
     ("a=drover&build=drover", 400), ("a=drover&b=drover&limit=x", 400), ("a=drover&nothing=3", 404)],
)  # fmt: skip
def test_what_cannot_be_compared(house: House, query: str, status: int) -> None:
    response = Visitor(house).get(f"/compare?{query}")
    assert response.status_code == status
    assert "Traceback" not in response.text
