"""What the pages show: structure, escaping, forms that keep what was typed, twins that say what the command says."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from kb.cli import main
from kb.records import KINDS
from kb.rules import load_rules
from kb.store.write import set_status, write_record
from kb.web import showing
from tests.web import small
from tests.web.visiting import House, Read, Visitor

PAGES = (
    "/", "/fit", "/fit?build=drover", "/fit?build=hostile", "/fit?pan=deep-pan&pickup=long-tube&pan_gasket=thin-gasket",
    "/fit?build=nothing", "/build/drover", "/build/hostile", "/part", "/part/deep-pan",
    "/part/two-tales", "/part/hostile-pan", "/incompatibility",
    "/incompatibility/hostile-clash", "/incompatibility/new", "/rule", "/rule/pickup-floor-gap", "/search",
    "/search?q=pan", "/search?q=zzz", "/base", "/base/pan", "/base/part", "/base/pan?_facet=rail_pattern",
    "/base/incompatibility?status=reported", "/base/pan/deep-pan", "/base/part/hostile-pan", "/nothing",
)  # fmt: skip


@pytest.mark.parametrize("address", PAGES)
def test_every_page_is_built_for_everybody(address: str, signed_in: Visitor) -> None:
    page = Read(signed_in.get(address).text)
    assert page.all("html")[0].get("lang") == "en"
    assert len(page.all("main")) == 1
    assert len(page.all("h1")) == 1
    assert page.all("a")[0]["href"] == "#main"
    assert page.all("main")[0]["id"] == "main"
    assert all(found.get("aria-label") for found in page.all("nav"))
    assert not page.unlabelled()
    ids = [found["id"] for _, found in page.tags if "id" in found]
    assert sorted(ids) == sorted(set(ids)), "an id stands twice"
    levels = [int(name[1]) for name, _ in page.tags if re.fullmatch("h[1-6]", name)]
    assert all(after <= before + 1 for before, after in pairwise(levels)), levels
    here = {found["href"][1:] for found in page.all("a") if found.get("href", "").startswith("#")}
    assert here <= set(ids), "a link to nowhere on this page"


@pytest.mark.parametrize("address", PAGES)
def test_hostile_names_are_shown_as_text(address: str, signed_in: Visitor) -> None:
    response = signed_in.get(address)
    page = Read(response.text)
    assert not page.strange_scripts()
    assert not [found for found in page.all("img") if "onerror" in found]
    assert not [name for _, found in page.tags for name in found if name.startswith("on")]


def test_the_hostile_names_do_appear(signed_in: Visitor) -> None:
    for address in (
        "/part/hostile-pan",
        "/incompatibility/hostile-clash",
        "/fit?build=hostile",
        "/base/part/hostile-pan",
    ):
        assert small.SCRIPT in Read(signed_in.get(address).text).words, address
    assert small.SQL in Read(signed_in.get("/part/hostile-pan").text).words


def test_the_first_page_counts_and_links(stranger: Visitor) -> None:
    page = Read(stranger.get("/").text)
    links = {found.get("href") for found in page.all("a")}
    assert {"/base/pan", "/build/drover", "/incompatibility/hostile-clash"} <= links
    kinds = sum(1 for part in small.PARTS if part["kind"] == "pan")
    assert f"pan {kinds}" in " ".join(page.words.split())


# -- will it fit ---------------------------------------------------------------------------------------------------


def test_verdicts_come_in_words_and_shape(stranger: Visitor) -> None:
    text = stranger.get("/fit?pan=deep-pan&pickup=long-tube&pan_gasket=thin-gasket").text
    page = Read(text)
    assert "does not fit" in page.words
    assert "pickup floor gap" in page.words
    shapes = {showing.short_class(verdict) for verdict in ("fits", "does not fit", "cannot tell")}
    assert len(shapes) == 3
    assert 'class="finding not"' in text
    assert "trade page" in page.words or "common practice" in page.words  # where the limit is from
    assert "never a certificate" in page.words


@pytest.mark.parametrize("units", ["mm", "in", "in64"])
@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("build=drover", ["drover"]),
        ("build=drover&pickup=long-tube", ["drover", "pickup=long-tube"]),
        ("pan=deep-pan&pickup=short-tube&pan_gasket=thin-gasket&pan.sump_depth=7+3/8+in",
         ["pan=deep-pan", "pickup=short-tube", "pan_gasket=thin-gasket", "pan.sump_depth=7 3/8 in"]),
        ("build=drover&limit=pickup-floor-gap.least%3D9+mm", ["drover", "--limit", "pickup-floor-gap.least=9 mm"]),
    ],
)  # fmt: skip
def test_the_twin_says_what_the_command_says(
    query: str, words: list[str], units: str, house: House, capsys: pytest.CaptureFixture[str]
) -> None:
    status = main(["check", "--db", house.path, "--json", "--units", units, *words])
    due = json.loads(capsys.readouterr().out)
    found = Visitor(house).get(f"/fit.json?{query}&units={units}").json()
    assert found == due
    assert found["exit_status"] == status


def test_a_value_to_try_changes_the_answer(stranger: Visitor) -> None:
    parts = "pan=deep-pan&pickup=short-tube&pan_gasket=thin-gasket"
    before = finding(stranger.get(f"/fit.json?{parts}").json(), "pickup-floor-gap")
    after = finding(stranger.get(f"/fit.json?{parts}&pan.sump_depth=182.1+mm").json(), "pickup-floor-gap")
    assert before["verdict"] == "fits"
    # 182.1 + 2 - 184 = 0.1 mm under the foot: derived from the definition.
    assert after["quantity"] == pytest.approx(0.1e-3, abs=1e-9)
    assert after["verdict"] == "does not fit"


def test_what_differs_from_the_build_is_named(stranger: Visitor) -> None:
    page = stranger.get("/fit?build=drover&pickup=long-tube&pan.sump_depth=188 mm").text
    assert "pickup Long tube instead of short-tube; pan: sump depth = 188 mm" in page
    assert "Not as in the build" not in stranger.get("/fit?build=drover&pickup=short-tube").text


def test_few_parts_do_not_look_as_if_all_were_judged(stranger: Visitor) -> None:
    assert "Only one part is named" in stranger.get("/fit?pickup=long-tube").text
    # The floor gap of pan and pickup waits for the gasket between them (the rule's inputs).
    page = stranger.get("/fit?pan=deep-pan&pickup=long-tube").text
    assert "Not judged yet" in page
    assert "(no pan gasket)" in page
    assert "Not judged yet" not in stranger.get("/fit?build=drover").text


def test_a_next_step_ends_with_one_mark(stranger: Visitor) -> None:
    page = stranger.get("/fit?pan=deep-pann").text
    assert re.search(r"did you mean deep-pan[^.<]*\?</p>", page)


def finding(answer: dict[str, Any], rule: str) -> dict[str, Any]:
    return next(each for each in answer["findings"] if each["rule"] == rule)


def test_the_address_of_a_check_is_the_shortest_one(stranger: Visitor) -> None:
    typed = "/fit?build=drover&block=&pan=&units=&try=pan.sump_depth&value=188+mm"
    response = stranger.get(typed)
    assert response.status_code == 303
    assert response.headers["location"] == "/fit?build=drover&pan.sump_depth=188%20mm"
    assert stranger.get(response.headers["location"]).status_code == 200


@pytest.mark.parametrize(
    ("query", "message"),
    [
        ("build=drovr", "did you mean drover"),
        ("pan=deep-pam", "did you mean deep-pan"),
        ("pna=deep-pan", "did you mean pan"),
        ("pan=short-tube", "is a pickup"),
        ("build=drover&pan.sump_depht=188+mm", "did you mean sump_depth"),
        ("build=drover&pan.sump_depth=188", "unit"),
        ("build=drover&pan.sump_depth=190+in", "absurd"),
        ("build=drover&pan.sump_depth=-3+mm", "negative"),
        ("build=drover&pan.sump_depth=25+psi", "pan.sump_depth"),
        ("build=drover&pan.sump_depth=nan+mm", "pan.sump_depth"),
        ("build=drover&pan=deep-pan&pan=my-pan", "twice"),
        ("build=drover&units=furlong", "system of units"),
        ("build=drover&try=pan.sump_depth", "without its value"),
        ("build=drover&limit=nonsense", "is no limit"),
        ("build=drover&block.stations=1", "block"),
        ("pan=" + "x" * 300, "too long"),
        ("build=%00", "no build"),
    ],
)
def test_what_cannot_be_read_comes_back_in_the_form(query: str, message: str, stranger: Visitor) -> None:
    response = stranger.get(f"/fit?{query}")
    page = Read(response.text)
    assert response.status_code == 400
    assert message in page.words
    assert "Next:" in page.words
    assert page.all("form"), "the form is gone"
    twin = stranger.get(f"/fit.json?{query}")
    assert twin.status_code == 400
    assert message in json.dumps(twin.json(), ensure_ascii=False)


def test_the_form_keeps_what_was_chosen(stranger: Visitor) -> None:
    text = stranger.get("/fit?build=drover&pan=deep-pan&pan.sump_depth=188").text
    page = Read(text)
    chosen = [found["value"] for found in page.all("option") if "selected" in found]
    assert "drover" in chosen
    assert "deep-pan" in chosen
    assert [found for found in page.all("input") if found.get("name") == "pan.sump_depth" and found["value"] == "188"]


# -- part, rule, search --------------------------------------------------------------------------------------------


def test_a_part_shows_readings_contradictions_and_what_is_missing(stranger: Visitor) -> None:
    words = Read(stranger.get("/part/two-tales").text).words
    assert "two readings disagree" in words
    assert "180 mm" in words
    assert "190 mm" in words
    assert KINDS["pan"].features["shelf_depth"].measure in words
    inherited = Read(stranger.get("/part/my-pan").text).words
    assert "Deep pan" in inherited
    assert "drawing" in inherited


def test_a_part_in_inches(stranger: Visitor) -> None:
    # 184 mm is 7.244 in (25.4 mm to the inch, by definition).
    assert "7.244 in" in Read(stranger.get("/part/short-tube?units=in").text).words


def test_every_rule_has_its_page(stranger: Visitor) -> None:
    for name, rule in load_rules().items():
        response = stranger.get(f"/rule/{name}")
        words = Read(response.text).words
        assert response.status_code == 200
        assert rule.asks in words
        for limit in rule.limits:
            assert limit.source.title in words


def test_the_rules_twin_says_what_the_command_says(stranger: Visitor, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "--json"]) == 0
    assert stranger.get("/rule.json").json() == json.loads(capsys.readouterr().out)


@pytest.mark.parametrize(
    ("words", "link"),
    [
        ("deep", "/part/deep-pan"),
        ("trial", "/build/drover"),
        ("DROP TABLE", "/incompatibility/hostile-clash"),
        ("foot hang height", "/rule/pickup-floor-gap"),
    ],
)
def test_the_search_finds(words: str, link: str, stranger: Visitor) -> None:
    page = Read(stranger.get(f"/search?q={words}").text)
    assert link in {found.get("href") for found in page.all("a")}


@pytest.mark.parametrize("words", ['"', "*", "a OR", "NEAR(", "x" * 5000, "%00", "name:pan", "-", "\N{SNOWMAN}"])
def test_no_search_breaks(words: str, stranger: Visitor) -> None:
    assert stranger.get(f"/search?q={words}").status_code == 200


# -- incompatibilities ---------------------------------------------------------------------------------------------

GOOD = [
    ("title", "Short tube in the bench pan"), ("side_role", "pan"), ("side_part", "my-pan"), ("side_where", ""),
    ("side_role", "pickup"), ("side_part", "short-tube"), ("side_where", ""), ("symptom", "foot rubs"), ("cause", ""),
    ("found", "bench"), ("found_date", "2024-05"), ("seen_text", "a bright ring"), ("seen_feature", "pan.sump_depth"),
    ("seen_reading", "189.9 mm"), ("remedy", "another tube"), ("harm", "destroys"), ("harm", "wears"),
    ("milestone", "prime"),
]  # fmt: skip


def changed(**fields: str) -> list[tuple[str, str]]:
    return [(name, fields.get(name, value)) for name, value in GOOD]


def test_a_clash_from_the_form_changes_the_next_verdict(writer: Visitor) -> None:
    before = writer.get("/fit.json?build=drover").json()
    assert before["clashes"] == []
    assert before["verdict"] != "does not fit"
    response = writer.post("/incompatibility/new", GOOD)
    assert response.status_code == 303
    assert response.headers["location"] == "/incompatibility/short-tube-in-the-bench-pan"
    after = writer.get("/fit.json?build=drover").json()
    assert after["verdict"] == "does not fit"
    assert after["clashes"][0]["id"] == "short-tube-in-the-bench-pan"
    record = writer.get("/incompatibility/short-tube-in-the-bench-pan.json").json()
    assert record["by"] == "sam"
    assert record["harm"] == ["destroys", "wears"]
    assert record["evidence"][0]["reading"] == "189.9 mm"
    assert "added by sam" in Read(writer.get(response.headers["location"]).text).words
    again = writer.post("/incompatibility/new", GOOD)
    assert again.headers["location"] == "/incompatibility/short-tube-in-the-bench-pan-2"


def test_a_class_of_parts_from_the_form(writer: Visitor) -> None:
    form = [
        (name, {"side_part": "", "side_where": "sump_depth < 195 mm"}.get(name, value)) if at < 4 else (name, value)
        for at, (name, value) in enumerate(GOOD)
    ]
    assert writer.post("/incompatibility/new", form).status_code == 303
    assert writer.get("/fit.json?build=drover").json()["verdict"] == "does not fit"


def test_a_refuted_clash_counts_no_more(writer: Visitor) -> None:
    address = writer.post("/incompatibility/new", GOOD).headers["location"]
    response = writer.post(f"{address}/review", {"status": "refuted", "reason": "the tube was bent"})
    assert response.status_code == 303
    assert writer.get("/fit.json?build=drover").json()["clashes"] == []
    words = Read(writer.get(address).text).words
    assert "the tube was bent" in words
    assert "no longer counts" in words


@pytest.mark.parametrize(
    ("form", "message"),
    [
        ({"status": "refuted", "reason": " "}, "reason is missing"),
        ({"status": "so-so", "reason": "keep me"}, "not chosen"),
    ],
)
def test_a_review_at_fault_keeps_its_text(form: dict[str, str], message: str, writer: Visitor) -> None:
    response = writer.post("/incompatibility/hostile-clash/review", form)
    assert response.status_code == 400
    assert message in Read(response.text).words
    assert form["reason"].strip() in Read(response.text).words


@pytest.mark.parametrize(
    ("fields", "field", "message"),
    [
        ({"title": ""}, "title", "title is missing"),
        ({"title": "x" * 300}, "title", "too long"),
        ({"symptom": ""}, "symptom", "symptom is missing"),
        ({"found": ""}, "found", "how it was found is missing"),
        ({"found_date": "yesterday"}, "found_date", "is no date"),
        ({"milestone": ""}, "milestone", "milestone is missing"),
        ({"harm": "explodes"}, "harm", "harm is missing"),
        ({"side_part": "no-such-pan"}, "side-0-part", "no-such-pan"),
        ({"side_role": "sofa"}, "side-0-role", "sofa"),
        ({"side_where": "sump_depth"}, "side-0-where", "is no condition"),
        ({"side_where": "sump_depht < 180 mm"}, "side-0-where", "did you mean sump_depth"),
        ({"side_where": "sump_depth < 180 psi"}, "side-0-where", "psi"),
        ({"seen_reading": "189"}, "seen-0-reading", "unit"),
        ({"seen_feature": "pan.sump_depht"}, "seen-0-feature", "sump_depth"),
        ({"seen_feature": ""}, "seen-0-feature", "missing"),
    ],
)
def test_a_form_at_fault_keeps_everything_and_says_where(
    fields: dict[str, str], field: str, message: str, writer: Visitor
) -> None:
    form = changed(**fields)
    before = writer.get("/incompatibility.json").json()
    response = writer.post("/incompatibility/new", form)
    page = Read(response.text)
    assert response.status_code == 400
    assert message in page.words
    assert f"#{field}" in {found.get("href") for found in page.all("a")}
    assert field in {found.get("id") for _, found in page.tags}
    kept = {found.get("value") for _, found in page.tags} | {words.strip() for words in page.words.split("\n")}
    for name, value in form:
        if name not in ("harm",):
            assert value in kept or value in page.words, f"{name} was lost"
    assert writer.get("/incompatibility.json").json() == before


def test_one_more_row_keeps_everything(writer: Visitor) -> None:
    response = writer.post("/incompatibility/new", [*GOOD, ("more", "sides")])
    page = Read(response.text)
    assert response.status_code == 200
    assert len([found for found in page.all("select") if found.get("name") == "side_role"]) == 3
    assert "foot rubs" in page.words
    assert not [found for _, found in page.tags if found.get("aria-invalid")]


def test_the_form_starts_with_the_parts_of_a_check(signed_in: Visitor) -> None:
    page = Read(signed_in.get("/incompatibility/new?pan=deep-pan&pickup=short-tube").text)
    chosen = [found["value"] for found in page.all("option") if "selected" in found]
    assert chosen[:4] == ["pan", "deep-pan", "pickup", "short-tube"]


def test_a_base_that_may_only_be_read_keeps_the_form(own_house: House, writer: Visitor) -> None:
    Path(own_house.path).chmod(0o444)
    try:
        response = writer.post("/incompatibility/new", GOOD)
    finally:
        Path(own_house.path).chmod(0o644)
    page = Read(response.text)
    assert response.status_code == 400
    assert "may only be read" in page.words
    assert "foot rubs" in page.words
    assert own_house.path not in page.words


# -- the base changes under the server -----------------------------------------------------------------------------


def test_what_others_write_shows_at_once(own_house: House, stranger: Visitor) -> None:
    visitor = Visitor(own_house)
    assert visitor.get("/part/late-pan").status_code == 404
    assert "late-pan" not in visitor.get("/base/part.json?_shape=array&_size=max").text
    write_record(own_house.path, {"kind": "pan", "id": "late-pan", "name": "Late pan"}, by="kim", origin="command")
    assert visitor.get("/part/late-pan").status_code == 200
    assert "late-pan" in visitor.get("/base/part.json?_shape=array&_size=max").text
    set_status(own_house.path, "hostile-clash", "refuted", by="kim", reason="no")
    assert visitor.get("/fit.json?build=hostile").json()["clashes"] == []


def test_a_damaged_base_is_told_in_words(tmp_path: Path) -> None:
    house = House(small.make(tmp_path))
    try:
        Path(house.path).write_bytes(b"SQLite format 3\0" + b"\1" * 5000)
        response = Visitor(house).get("/part/deep-pan")
        assert response.status_code == 503
        assert "Traceback" not in response.text
        assert house.path not in response.text
    finally:
        house.close()


def test_a_fault_of_the_program_is_told_in_words(
    own_house: House, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from kb.web.pages import part

    def broken(*_: object) -> None:
        raise RuntimeError("secret inside")

    monkeypatch.setattr(part, "features_of", broken)
    response = Visitor(own_house).get("/part/deep-pan")
    assert response.status_code == 500
    assert "secret inside" not in response.text
    assert "secret inside" in capsys.readouterr().err
    assert Visitor(own_house).get("/part/deep-pan.json").json()["ok"] is False


# -- look ----------------------------------------------------------------------------------------------------------


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb, as WCAG 2.2 defines it."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("scheme", [0, 1], ids=["light", "dark"])
def test_the_palette_has_contrast(scheme: int) -> None:
    css = showing.asset("style.css")[0].decode()
    block = re.findall(r":root \{(.*?)\}", css, re.DOTALL)[scheme]
    colours = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", block))

    def ratio(one: str, other: str) -> float:
        high, low = sorted((luminance(colours[one]), luminance(colours[other])), reverse=True)
        return (high + 0.05) / (low + 0.05)

    for ground in ("paper", "sheet"):
        for ink in ("ink", "soft", "blue", "good", "bad", "open"):
            assert ratio(ink, ground) >= 4.5, (ink, ground)  # WCAG 2.2, 1.4.3
        assert ratio("edge", ground) >= 3.0, ground  # WCAG 2.2, 1.4.11: borders of controls
    assert ratio("on-blue", "blue") >= 4.5


def test_own_files_may_be_kept_for_ever(stranger: Visitor) -> None:
    page = Read(stranger.get("/").text)
    sheets = [found["href"] for found in page.all("link") if found.get("rel") == "stylesheet"]
    assert len(sheets) == 2
    for sheet in sheets:
        response = stranger.get(sheet)
        assert response.status_code == 200
        assert "immutable" in response.headers["cache-control"]
        assert response.headers["content-type"].startswith("text/css")
    for wrong in ("/-/matchmark/..", "/-/matchmark/nothing.css", "/-/matchmark/%2e%2e%2fhost.py", "/-/matchmark/."):
        assert stranger.get(wrong).status_code == 404


def test_a_figure_in_a_table_has_no_digits_of_conversion(stranger: Visitor) -> None:
    words = Read(stranger.get("/base/pan?id=deep-pan").text).words
    assert "190.08" in words
    assert "999999" not in words
    assert "0000001" not in words


def test_long_lists_become_fields_with_completion(own_house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    from kb.web.pages import clash_form, fit, part

    monkeypatch.setattr(fit, "LONGEST_LIST", 2)
    monkeypatch.setattr(clash_form, "LONGEST_LIST", 2)
    monkeypatch.setattr(part, "MOST", 2)
    visitor = Visitor(own_house).sign_in()
    page = Read(visitor.get("/fit?build=drover").text)
    field = next(found for found in page.all("input") if found.get("name") == "pan")
    assert field["list"] in {found["id"] for found in page.all("datalist")}
    assert not page.unlabelled()
    form = Read(visitor.get("/incompatibility/new?pan=deep-pan").text)
    assert [found["value"] for found in form.all("input") if found.get("name") == "side_part"] == ["deep-pan", ""]
    assert not form.unlabelled()
    assert "only 2 of 4 stand here" in Read(visitor.get("/part").text).words
