"""The strict models: what they take, what they refuse and how they say so. Figures are chosen for the tests."""

from __future__ import annotations

import json
import math

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from kb.errors import Faults, UnknownName
from kb.records import KINDS
from kb.records.fields import describe
from kb.records.given import Given
from kb.records.models import MODELS, check, model_of, normalise, part_of, record_kinds

PAN = {"kind": "pan", "id": "deep-pan", "name": "Deep pan"}


def fault_texts(record: dict) -> list[str]:
    with pytest.raises(Faults) as caught:
        normalise(record)
    for fault in caught.value.faults:
        assert fault.message
        assert fault.step, f"no next step in: {fault}"
    return [str(fault) for fault in caught.value.faults]


def one_fault(record: dict) -> str:
    texts = fault_texts(record)
    assert len(texts) == 1, texts
    return texts[0]


def test_every_kind_has_a_model_that_takes_what_identifies_a_part() -> None:
    others = {"build", "incompatibility", "source", "instrument", "term", "donor", "reading"}
    assert set(MODELS) == {*KINDS, *others}
    for kind in KINDS:
        facts = normalise({"kind": kind, "id": "x", "name": "X"})
        assert facts == {"kind": kind, "id": "x", "name": "X"}


def test_every_field_of_every_kind_is_documented() -> None:
    for kind in record_kinds():
        for name, field in model_of(kind).model_fields.items():
            assert field.description, f"{kind}.{name}"


@pytest.mark.parametrize("kind", record_kinds())
def test_the_schema_of_a_kind_is_a_schema_and_refuses_other_fields(kind: str) -> None:
    schema = model_of(kind).model_json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    assert not jsonschema.Draft202012Validator(schema).is_valid({"kind": kind, "id": "x", "name": "X", "colour": "red"})


def test_the_schema_agrees_with_the_model() -> None:
    schema = jsonschema.Draft202012Validator(model_of("pan").model_json_schema())
    good = {
        **PAN,
        "sump_depth": ["190 +/- 1 mm", {"value": "189 mm", "with": "caliper"}],
        "shelf_depth": "90 mm",
        "flange": [{"id": "R1", "height": {"value": "0.1 mm"}}],
        "known": {"how": "listing"},
    }
    assert schema.is_valid(good)
    normalise(good)
    for bad in ({"sump_depth": 188}, {"rear_seal": "glue"}, {"price": -1}, {"flange": [{"height": "1 mm"}]}):
        assert not schema.is_valid({**PAN, **bad}), bad
        fault_texts({**PAN, **bad})


def test_the_description_says_meaning_unit_range_and_how_to_measure() -> None:
    words = describe(KINDS["pan"].features["sump_depth"])
    for piece in ("rail face to inside floor", "shown in mm", "40 mm to 320 mm", "straight edge", "depth-gauge"):
        assert piece in words


def test_a_dimension_is_a_text_a_reading_or_several() -> None:
    half_inch = 0.0127  # 25.4 mm an inch by definition
    facts = normalise(
        {
            **PAN,
            "sump_depth": "190 +/- 1 mm",
            "shelf_depth": {"value": "90 mm", "tolerance": "0.5 mm", "shape": "triangular", "note": "at the ramp"},
            "flange_width": ["1/2 in", {"value": "12.6 mm", "with": "caliper", "date": "2024-05", "by": "Sam"}],
        }
    )
    assert facts["sump_depth"] == [{"si": 0.19, "half": 0.001, "text": "190 +/- 1 mm"}]
    shelf = {"si": 0.09, "half": 0.0005, "shape": "triangular", "note": "at the ramp", "text": "90 mm +/- 0.5 mm"}
    assert facts["shelf_depth"] == [shelf]
    assert facts["flange_width"][0] == {"si": pytest.approx(half_inch), "text": "1/2 in"}
    assert facts["flange_width"][1] == {
        "si": pytest.approx(0.0126), "how": "measured", "with": "caliper", "date": "2024-05", "by": "Sam",
        "text": "12.6 mm",
    }  # fmt: skip


def test_the_other_sorts_in_normal_form() -> None:
    pickup = normalise({"kind": "pickup", "id": "p", "name": "P", "bends": 2, "brace": True, "foot_x": "120 mm"})
    assert pickup["bends"] == 2
    assert pickup["brace"] is True
    assert pickup["foot_x"] == {"si": 0.12, "text": "120 mm"}
    controller = {"kind": "controller", "id": "c", "name": "C", "senses": ["hall_biased"], "patterns": []}
    facts = normalise(controller)
    assert facts["senses"] == ["hall_biased"]
    assert facts["patterns"] == []
    open_share = normalise({"kind": "pickup", "id": "p", "name": "P", "screen_open": 0.6})["screen_open"]
    assert open_share == [{"si": 0.6, "text": "0.6"}]  # a plain number needs no unit


def test_known_fills_what_readings_leave_open_but_not_readings_known_otherwise() -> None:
    known = {"how": "listing", "source": "catalogue", "date": "2023", "by": "Kim"}
    facts = normalise(
        {**PAN, "known": known, "sump_depth": ["190 mm", {"value": "189 mm", "with": "caliper", "by": "Sam"}],
         "flange": [{"id": "R1", "height": "0.1 mm"}]}
    )  # fmt: skip
    first, second = facts["sump_depth"]
    assert first == {"si": 0.19, "text": "190 mm", **known}
    assert second == {"si": 0.189, "text": "189 mm", "how": "measured", "with": "caliper", "by": "Sam"}
    assert facts["flange"][0]["height"][0]["source"] == "catalogue"


def test_a_tolerance_may_be_a_share_or_a_difference_of_temperature() -> None:
    facts = normalise({**PAN, "sump_depth": {"value": "200 mm", "tolerance": "0.5 %"}})
    assert facts["sump_depth"][0]["half"] == pytest.approx(0.001)  # 0.5 % of 200 mm
    duty = normalise({"kind": "duty", "id": "d", "name": "D", "hot_oil": {"value": "110 degC", "tolerance": "5 degC"}})
    assert duty["hot_oil"][0]["si"] == pytest.approx(383.15)  # 273.15 K is 0 degC by definition
    assert duty["hot_oil"][0]["half"] == pytest.approx(5.0)


def test_a_bare_number_is_refused_with_what_to_write() -> None:
    assert one_fault({**PAN, "sump_depth": 188}) == 'sump_depth: 188 has no unit\n  next: write "188 mm"'
    assert 'write "4.5 L"' in one_fault({**PAN, "capacity": 4.5})
    assert "has no unit" in one_fault({**PAN, "sump_depth": "188"})
    assert "has no unit" in one_fault({"kind": "pickup", "id": "p", "name": "P", "foot_x": 120})


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("sump_depth", "190 in", "4826 mm is absurd"),  # 190 in = 4826 mm by definition
        ("sump_depth", "-190 mm", "is negative"),
        ("sump_depth", "0 mm", "cannot be"),
        ("sump_depth", "3 bar", "a pressure (bar) where a length is due"),
        ("sump_depth", "nan mm", "a number is due"),
        ("sump_depth", "inf mm", "a number is due"),
        ("sump_depth", "1e999 mm", "out of any range"),
        ("sump_depth", math.nan, "has no unit"),
        ("sump_depth", "1/2-20", ""),
        ("sump_depth", "x" * 10_000, "too long"),
        ("sump_depth", {"value": "190 +/- 1 mm", "tolerance": "1 mm"}, "states its tolerance twice"),
        ("sump_depth", {"value": "190 mm", "tolerance": "-1 mm"}, "no tolerance"),
        ("sump_depth", {"value": "190 mm", "tolerance": "2 m"}, "a tolerance of 2000 mm is absurd"),
        ("sump_depth", {"value": "190 mm", "shape": "triangular"}, "names a shape without a tolerance"),
        ("sump_depth", {"value": "190 mm", "shape": "round"}, "none of its choices"),
        ("sump_depth", {"value": "190 mm", "how": "guessed"}, "none of its choices"),
        ("sump_depth", {"value": "190 mm", "date": "31.5.2024"}, "is no date"),
        ("sump_depth", {"value": "190 mm", "date": "2024-02-30"}, "is no date"),
        ("sump_depth", {"tolerance": "1 mm"}, "has no field 'value'"),
        ("sump_depth", {"value": "190 mm", "tolernce": "1 mm"}, "did you mean tolerance"),
        ("sump_depth", [], "is an empty list"),
        ("sump_depth", None, "is empty"),
        ("sump_depth", True, "is true or false where a text is due"),
        ("rear_seal", "one_pice", "did you mean one_piece"),
        ("rear_seal", True, "none of its choices"),
        ("rear_seal", None, "is empty"),
        ("rail_pattern", "Calder 38", "is no code"),
        ("price", "12", "where a number is due"),
        ("price", math.nan, "is not a finite number"),
        ("price", math.inf, "is not a finite number"),
        ("price", -1, "out of range"),
        ("currency", "euro", "is no code"),
        ("name", "x" * 10_000, "too long: 10000 characters, at most 200"),
        ("name", "", "is empty"),
        ("name", "a\x00b", "control character"),
        ("name", "two\nlines", "line break"),
        ("name", "\ud800", "half a character"),
        ("notes", 3, "whole number where a text is due"),
        ("id", "Deep Pan", "is no id"),
        ("id", "x" * 10_000, "is no id"),
        ("based_on", "../etc", "is no id"),
        ("sump_dpth", "190 mm", "did you mean sump_depth"),
        ("ports", [{"id": "a"}, {"id": "a"}], "two entries 'a'"),
        ("ports", [{"id": "a.b"}], "is no name of an entry"),
        ("ports", [{"bore": "12 mm"}], "has no field 'id'"),
        ("ports", [{"id": "a", "closed": "no"}], "neither true nor false"),
        ("ports", {"id": "a"}, "where a list is due"),
        ("known", "listing", "where fields are due"),
    ],
)  # fmt: skip
def test_what_a_pan_refuses(field: str, value: object, message: str) -> None:
    text = one_fault({**PAN, field: value})
    assert message in text
    assert field in text
    assert len(text) < 600


def test_counts_flags_and_positions_are_strict() -> None:
    pickup = {"kind": "pickup", "id": "p", "name": "P"}
    assert "whole number is due" in one_fault({**pickup, "bends": "2"})
    assert "whole number is due" in one_fault({**pickup, "bends": 2.5})
    assert "out of range" in one_fault({**pickup, "bends": -1})
    assert "neither true nor false" in one_fault({**pickup, "brace": 1})
    assert "taken as exact" in one_fault({**pickup, "foot_x": "120 +/- 1 mm"})
    assert "beyond any engine bay" in one_fault({**pickup, "foot_x": "120 m"})


def test_slightly_implausible_is_taken_absurd_is_not() -> None:
    low, high = KINDS["pan"].features["sump_depth"].plausible or (0.0, 0.0)
    width = high - low
    inside = f"{(high + 0.99 * width) * 1000:.3f} mm"
    outside = f"{(high + 1.01 * width) * 1000:.3f} mm"
    assert normalise({**PAN, "sump_depth": inside})["sump_depth"][0]["si"] > high
    assert "absurd" in one_fault({**PAN, "sump_depth": outside})


def test_all_faults_are_told_at_once() -> None:
    assert len(fault_texts({"kind": "pan", "id": "X", "sump_depth": 1, "shelf_depth": "x", "colour": "red"})) == 5


def test_a_record_without_a_kind_or_of_none_says_what_kinds_there_are() -> None:
    assert "names no kind" in one_fault({"id": "x"})
    assert "names its kind by something else" in one_fault({"kind": 3})
    assert "did you mean pan" in one_fault({"kind": "pann"})
    with pytest.raises(UnknownName):
        model_of("pann")
    with pytest.raises(KeyError):
        MODELS["pann"]


def test_a_fault_names_file_line_and_field() -> None:
    lines = {(): 3, ("flange",): 7, ("flange", 0): 8, ("flange", 0, "height"): 9}
    given = Given({**PAN, "flange": [{"id": "R1", "height": 0.1}]}, "pans.yaml", lines)
    with pytest.raises(Faults) as caught:
        check(given)
    assert caught.value.faults[0].place == "pans.yaml:9: flange.R1.height"


def test_normal_form_is_json_and_keeps_the_record() -> None:
    record = {**PAN, "sump_depth": "190 mm", "flange": [{"id": "R1", "height": "0.1 mm"}]}
    checked = check(Given(record))
    assert json.loads(json.dumps(checked.facts)) == checked.facts
    assert checked.record == record


def test_a_model_used_directly_is_as_strict() -> None:
    with pytest.raises(ValidationError):
        model_of("pan").model_validate({**PAN, "price": "3"})


def test_a_part_of_records() -> None:
    part = part_of({**PAN, "sump_depth": "190 +/- 1 mm"})
    assert part.kind == "pan"
    assert part.facts["sump_depth"].value == 0.19


JUNK = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=12)
    | st.sampled_from(["190 mm", "1e5 in"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["id", "value", "part", "role", "where", "how", "<text>"]) | st.text(max_size=5), inner
        )
    ),
    max_leaves=8,
)


@settings(max_examples=300, deadline=None)
@given(kind=st.sampled_from(record_kinds()), data=st.data())
def test_junk_is_refused_in_words_and_never_otherwise(kind: str, data: st.DataObject) -> None:
    fields = [field.alias or name for name, field in model_of(kind).model_fields.items()]
    record = data.draw(st.dictionaries(st.sampled_from(fields) | st.text(max_size=5), JUNK, max_size=5))
    try:
        facts = normalise({**record, "kind": kind})
    except Faults as faults:
        for fault in faults.faults:
            assert fault.message
            assert fault.step
            assert len(str(fault)) < 3000
    else:
        json.dumps(facts, allow_nan=False)
