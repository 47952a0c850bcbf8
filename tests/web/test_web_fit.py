"""A part in front of you: the three steps, the verdict about that part, a reading written down, what cannot be read."""

from __future__ import annotations

import re
from html import unescape

import pytest

from kb.base import Base
from kb.measure import instruments
from kb.web.pages.here import narrowed
from kb.web.to_measure import as_tried, feature_words, of_feature, wanted, with_unit
from tests.web.small import BREAK_OUT, SCRIPT
from tests.web.visiting import House, Read, Visitor

TALES = "/here?build=drover&role=pan&part=two-tales"


def verdict(html: str) -> str:
    return re.findall(r'verdict-words">([^<]+)', html)[0]


def links(html: str) -> list[str]:
    return [unescape(each) for each in re.findall(r'href="([^"]+)"', html)]


def test_three_steps_each_a_page_of_links(stranger: Visitor) -> None:
    assert "/here" in links(stranger.get("/").text)
    first = stranger.get("/here").text
    assert "/here?build=drover" in links(first)
    second = stranger.get("/here?build=drover").text
    assert "/here?build=drover&role=pan" in links(second)
    third = stranger.get("/here?build=drover&role=pan").text
    assert "/here?build=drover&role=pan&part=deep-pan" in links(third)
    # The one that the build has stands first.
    assert next(each for each in links(third) if "part=" in each) == "/here?build=drover&role=pan&part=my-pan"
    for page in (first, second, third):
        assert not Read(page).unlabelled()


def test_a_word_finds_the_part_without_its_role(stranger: Visitor) -> None:
    page = stranger.get("/here?build=drover&q=long tube").text
    assert "/here?build=drover&role=pickup&part=long-tube" in links(page)
    assert "1 with these words" in page
    assert "None with these words" in stranger.get("/here?build=drover&role=pan&q=%25").text


def test_with_one_build_nobody_is_asked_which(tmp_path: object, own_house: House) -> None:
    import sqlite3

    con = sqlite3.connect(own_house.path)
    con.execute("DELETE FROM build WHERE id = 'hostile'")
    con.commit()
    con.close()
    response = Visitor(own_house).get("/here")
    assert (response.status_code, response.headers["location"]) == (303, "/here?build=drover")


def test_the_verdict_is_about_this_part(stranger: Visitor, small_base: str) -> None:
    page = stranger.get(TALES).text
    data = stranger.get(TALES.replace("/here", "/here.json")).json()
    with Base(small_base) as base:
        whole = base.check("drover", {"pan": "two-tales"})
    answer = narrowed(whole, "pan")
    assert verdict(page) == data["verdict"] == answer.verdict == "cannot tell"
    assert {each["rule"] for each in data["findings"]} == {each.rule.id for each in answer.findings}
    assert all("pan" in (*each.rule.roles, *each.rule.optional_roles) for each in answer.findings)
    assert len(answer.findings) < len(whole.findings) or not whole.findings
    assert data["measure"][0] == "pan.sump_depth"
    assert "Measure: sump depth" in page


# The gap is sump depth + clamped gasket - hang = depth + 2 - 184 mm (derived from the definition), at most 12.7 mm.
@pytest.mark.parametrize(
    ("text", "due"), [("199 mm", "does not fit"), ("199", "does not fit"), ("7.835 in", "does not fit")]
)
def test_a_reading_is_tried_by_address_and_nothing_is_written(text: str, due: str, stranger: Visitor) -> None:
    address = f"{TALES}&where=pan.sump_depth&tool=depth-gauge&value={text}"
    page = stranger.get(address).text
    assert verdict(page) == due
    assert "nothing is written down" in page
    assert stranger.get(address.replace("/here", "/here.json")).json()["verdict"] == due
    assert verdict(stranger.get(TALES).text) == "cannot tell"


def test_a_reading_is_written_down_and_the_verdict_changes(writer: Visitor, own_house: House) -> None:
    before = writer.get(TALES).text
    assert verdict(before) == "cannot tell"
    form = {"build": "drover", "role": "pan", "part": "two-tales", "where": "pan.sump_depth", "value": "190",
            "tool": "depth-gauge", "old": "yes"}  # fmt: skip
    after = writer.post("/here", form)
    assert after.status_code == 200
    assert "Written down:" in after.text
    assert "Before: <span" in after.text
    # 190 + 2 - 184 = 8 mm, inside the limits (derived from the definition): the gap is decided.
    assert "Decided" in after.text
    assert 'article class="finding open" id="pickup-floor-gap"' not in after.text
    with Base(own_house.path) as base:
        # All that is known of it was read off it, so it is one thing on a bench and gets the reading itself.
        assert base.part("two-tales").facts["sump_depth"].value == pytest.approx(0.190)
        record = base.record_of("drover")
        assert record.roles["pan"].part == "my-pan"  # in its place until somebody changes that
        assert [each.part for each in record.alternatives["pan"]] == ["two-tales"]


def test_a_reading_of_a_model_makes_a_record_of_ones_own(writer: Visitor, own_house: House) -> None:
    form = {"build": "drover", "role": "pan", "part": "deep-pan", "where": "pan.sump_depth", "value": "190 mm",
            "tool": "depth-gauge"}  # fmt: skip
    page = writer.post("/here", form).text
    assert "yours has a record of its own" in page
    assert "/here?build=drover&role=pan&part=drover-pan" in links(page)
    with Base(own_house.path) as base:
        assert base.part("drover-pan").based_on == "deep-pan"


def test_the_part_in_the_build_is_measured_in_its_place(writer: Visitor, own_house: House) -> None:
    form = {"build": "drover", "role": "pan", "part": "my-pan", "where": "pan.sump_depth", "value": "190.2 mm",
            "tool": "depth-gauge"}  # fmt: skip
    page = writer.post("/here", form)
    assert "The build has this part in its place." in page.text
    with Base(own_house.path) as base:
        assert base.record_of("drover").roles["pan"].part == "my-pan"
        assert len(base.part("my-pan").facts["sump_depth"].readings) == 3  # two of the model, this one


def test_a_part_without_a_name_begins_its_record(writer: Visitor) -> None:
    page = writer.get("/here?build=drover&role=pan").text
    assert "Begin its record" in page
    answer = writer.post("/here", {"build": "drover", "role": "pan", "name": "Pan, top shelf", "unnamed": "yes"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/here?build=drover&role=pan&part=drover-pan")
    page = writer.get(answer.headers["location"]).text
    assert verdict(page) == "cannot tell"
    assert "Pan, top shelf" in page
    empty = writer.post("/here", {"build": "drover", "role": "pan", "name": " ", "unnamed": "yes"})
    assert empty.status_code == 400
    assert "the name is missing" in empty.text


@pytest.mark.parametrize(
    ("form", "words"),
    [
        ({"where": "pan.sump_depth", "value": ""}, "the value is missing"),
        ({"where": "pan.sump_depth", "value": "190 mn"}, "mn"),
        ({"where": "pan.sump_depth", "value": "190 mm", "tool": "sundial"}, "sundial"),
        ({"where": "pickup.hang", "value": "190 mm"}, "what was measured is not named"),
        ({"where": "pan.depth", "value": "190 mm"}, "depth"),
    ],
)
def test_what_cannot_be_written_stands_at_its_field(form: dict[str, str], words: str, writer: Visitor) -> None:
    page = writer.post("/here", {"build": "drover", "role": "pan", "part": "two-tales", **form})
    assert page.status_code == 400
    assert words in unescape(page.text)
    assert "Written down" not in page.text
    read = Read(page.text)
    assert not read.unlabelled()
    assert verdict(writer.get(TALES).text) == "cannot tell"


def test_a_stranger_tries_and_does_not_write(stranger: Visitor) -> None:
    page = stranger.get(TALES).text
    assert "Try this value" in page
    assert "Write it down" not in page
    assert 'method="post"' not in page.partition("<main")[2]


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("build=nothing", "nothing"),
        ("build=drover&role=pann", "pann"),
        ("build=drover&role=pan&part=nothing", "nothing"),
        ("build=drover&role=pan&part=short-tube", "short-tube"),
        ("build=drover&role=pan&part=two-tales&where=pickup.hang&value=1 mm", "what was read is not named"),
        ("build=drover&role=pan&part=two-tales&where=pan.sump_depth&value=1 furlong", "furlong"),
        ("build=drover&role=pan&part=two-tales&ask=pan.nothing", "nothing"),
        ("build=drover&role=pan&part=two-tales&ask=pan.flange", "takes no single value"),
        ("build=drover&role=pan&part=two-tales&units=ell", "ell"),
    ],
)
def test_what_cannot_be_read_is_told_in_words(query: str, words: str, stranger: Visitor) -> None:
    for address in (f"/here?{query}", f"/here.json?{query}"):
        response = stranger.get(address)
        assert response.status_code == 400
        assert words in unescape(response.text)
        assert "Traceback" not in response.text


def test_hostile_names_stay_words(writer: Visitor) -> None:
    for address in ("/here", "/here?build=hostile&role=pan", "/here?build=hostile&role=pan&part=hostile-pan"):
        page = writer.get(address).text
        assert SCRIPT not in page
        assert not Read(page).strange_scripts()
    for form in ({"name": SCRIPT, "unnamed": "yes"}, {"where": SCRIPT, "value": BREAK_OUT, "part": BREAK_OUT}):
        answer = writer.post("/here", {"build": "hostile", "role": "pan", **form})
        assert SCRIPT not in answer.text
        assert "<img src=x" not in answer.text


def test_a_tried_value_leads_to_where_it_is_written_down(stranger: Visitor) -> None:
    page = stranger.get("/fit?build=drover&pan.sump_depth=199 mm").text
    to = next(each for each in links(page) if each.startswith("/here?") and "value=" in each)
    assert to == "/here?build=drover&role=pan&part=my-pan&where=pan.sump_depth&value=199%20mm#measure"
    there = stranger.get(to.partition("#")[0]).text
    assert 'value="199 mm"' in there
    # Loose parts are no build: a reading has no place to go.
    assert not any("/here?" in each for each in links(stranger.get("/fit?pan=deep-pan&pan.sump_depth=199 mm").text))


def test_what_to_measure_first_is_named_above_the_findings(stranger: Visitor) -> None:
    page = stranger.get("/fit?build=drover&pan=two-tales").text
    assert "What to measure first" in page
    to = "/here?build=drover&role=pan&part=two-tales&where=pan.sump_depth#measure"
    assert to in links(page)


def test_the_readings_asked_for_are_those_that_the_open_questions_hang_on(small_base: str) -> None:
    with Base(small_base) as base:
        answer = base.check("drover", {"pan": "two-tales"})
        found = wanted(answer, base.instruments(), of="pan")
        assert [each.where for each in found] == ["pan.sump_depth"]
        assert found[0].tools[0].id == "depth-gauge"
        assert found[0].unit == "mm"
        assert wanted(answer, base.instruments(), of="pickup", most=50) == [
            each for each in wanted(answer, base.instruments(), most=50) if each.where.startswith("pickup.")
        ]
        style = of_feature("pan.rear_seal", base.part("deep-pan"), base.instruments())
        assert (style.unit, style.words) == ("", "pan: rear seal")
        assert "one_piece" in style.choices
        nested = of_feature("pan.flange.R1.height", base.part("deep-pan"), base.instruments())
        assert nested.now.startswith("0.1 mm")  # as the small base has it


def test_words_and_units_of_a_reading() -> None:
    assert feature_words("hose:return.bore") == "hose return: bore"
    assert feature_words("pan.ports.rear-feed.land") == "pan: ports, rear-feed, land"
    assert [with_unit(each, "mm") for each in ("188.4", "188.4 mm", "7 3/8", "-3")] == [
        "188.4 mm", "188.4 mm", "7 3/8", "-3 mm",
    ]  # fmt: skip
    gauge = instruments()["depth-gauge"]
    # The half width of one reading is half_width + relative * |value| (kb/measure.py, Instrument).
    half = 1000 * gauge.half_width_at(0.1884)
    assert as_tried("188.4 mm", "pan.sump_depth", gauge) == f"188.4 ± {half:.4g} mm"
    assert as_tried("188.4 ± 1 mm", "pan.sump_depth", gauge) == "188.4 ± 1 mm"
    assert as_tried("188.4 mn", "pan.sump_depth", gauge) == "188.4 mn"
    assert as_tried("yes", "pan.baffled", gauge) == "yes"


def test_units_and_other_parts_stay_in_the_address(stranger: Visitor) -> None:
    assert "What it reads (in)" in stranger.get(f"{TALES}&units=in").text
    page = stranger.get(f"{TALES}&pickup=long-tube&units=in").text
    assert "/here?build=drover&role=pan&part=two-tales&pickup=long-tube" in links(page)
    # A bare figure is in the unit beside its field: 7.835 in = 199.009 mm, and 199.009 + 2 - 191.8 = 9.209 mm, inside
    # the limits (derived from the definition; 25.4 mm to the inch).
    tried = "&where=pan.sump_depth&value=7.835&tool=depth-gauge"
    page = stranger.get(f"{TALES}&pickup=long-tube&units=in{tried}").text
    assert 'class="finding not" id="pickup-floor-gap"' not in page
    assert 'class="finding open" id="pickup-floor-gap"' not in page
    assert 'id="pickup-floor-gap"' in page


def test_a_part_chosen_first_is_kept_while_the_build_is_chosen(stranger: Visitor) -> None:
    assert "/here?build=drover&role=pan&part=deep-pan" in links(stranger.get("/here?role=pan&part=deep-pan").text)


def test_among_very_many_parts_words_find_those_to_choose_from(
    own_house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    from kb.web.pages import fit

    monkeypatch.setattr(fit, "LONGEST_LIST", 2)
    visitor = Visitor(own_house)
    page = Read(visitor.get("/fit").text)
    field = next(found for found in page.all("input") if found.get("name") == "pan")
    assert "More than 2 in the base" in page.words
    assert field["list"] in {found["id"] for found in page.all("datalist")}
    answer = visitor.get("/fit?pan=deep")
    found = Read(answer.text)
    assert answer.status_code == 400
    assert "found for “deep”" in found.words
    assert "pan" in {each.get("name") for each in found.all("select")}
    assert "deep-pan" in {each.get("value") for each in found.all("option")}
    assert not found.unlabelled()
    kept = Read(visitor.get("/fit?pan=deep-pan").text)
    assert next(each for each in kept.all("input") if each.get("name") == "pan")["value"] == "deep-pan"
