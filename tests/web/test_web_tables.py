"""The table pages: what columns are called, which of them show, what the words of `_search` find."""

from __future__ import annotations

import pytest

from kb.records import KINDS
from kb.records._kind import SHOWN
from kb.web import tables
from tests.web.visiting import House, Read, Visitor


def test_a_column_is_called_by_its_feature_and_its_unit() -> None:
    assert tables.heading("sump_depth_mm", "pan") == "sump depth, mm"
    assert tables.heading("rail_pattern", "pan") == "rail pattern"
    assert tables.heading("flange_modulus_kpa", "pan") == "flange modulus, kPa"
    assert tables.heading("part_number", "part") == "part number"


def test_every_column_of_every_kind_has_words_without_a_code() -> None:
    seen = 0
    for name, kind in KINDS.items():
        for feature in kind.features.values():
            if feature.sort != "list":
                words = tables.heading(feature.column, name)
                assert words.startswith(feature.name.replace("_", " "))
                assert "_" not in words
                suffix = SHOWN[feature.quantity][0] if feature.quantity else ""
                assert ("," in words) == bool(suffix)
                seen += 1
    assert seen > 100


def test_columns_without_a_value_and_those_for_programs_stand_aside() -> None:
    found = tables.columns_of(["id", "notes", "price", "record"], [["a", None, 0, "{}"], ["b", "", None, "{}"]])
    assert found.shown == (0, 2)  # a price of nothing is a value
    assert found.empty == ("notes",)
    assert found.inner == ("record",)


def test_a_phone_shows_the_first_filled_columns_of_a_row() -> None:
    row = ["id", None, 1, 2, "", 3, 4, 5, 6, 7]
    assert tables.first(row, range(len(row))) == {0, 2, 3, 5, 6, 7}
    assert tables.first(["id"], (0,)) == {0}


@pytest.mark.parametrize("words", ["", "  ", "\0"])
def test_no_words_are_no_condition(words: str) -> None:
    assert tables.searched("pan", words) is None


def test_tables_stand_in_groups() -> None:
    found = dict(tables.groups(["part", "pan", "block_station"]))
    assert list(found.values()) == [["part"], ["pan"], ["block_station"]]
    assert list(dict(tables.groups(["pan"]))) == ["Kinds of part"]


@pytest.mark.parametrize(
    ("address", "due"),
    [
        ("/base/pan.json?_search=two+tales", ["two-tales"]),
        ("/base/pan.json?_search=tales+tw", ["two-tales"]),  # all the words, the last unfinished
        ("/base/pan.json?_search=pickup", []),
        ("/base/part.json?_search=tube", ["long-tube", "short-tube"]),
        ("/base/pan.json?_search=aldine&id__contains=deep", ["deep-pan"]),
        ("/base/pan.json?_search=%22*+%28OR", []),
        ("/base/build.json?_search=trial", ["drover"]),
    ],
)
def test_words_search_the_rows(address: str, due: list[str], house: House) -> None:
    rows = Visitor(house).get(f"{address}&_shape=objects").json()["rows"]
    assert sorted(row["id"] for row in rows) == due


def test_the_words_stay_in_the_form_and_the_answer_says_them(stranger: Visitor) -> None:
    page = Read(stranger.get("/base/pan?_search=%22%3Cb%3E").text)
    assert [found["value"] for found in page.all("input") if found.get("name") == "_search"] == ['"<b>']
    assert 'the record holds ""<b>"' in page.words


@pytest.mark.parametrize("address", ["/base/dimension", "/base/term"])
def test_no_search_is_offered_where_none_is_made(address: str, stranger: Visitor) -> None:
    page = Read(stranger.get(address).text)
    assert page.all("table") or "No row" in page.words
    assert not [found for found in page.all("input") if found.get("name") == "_search"]


@pytest.mark.parametrize("address", ["/base/pan", "/base/pan?_facet=rail_pattern&id__contains=a&_search=pan"])
def test_every_control_of_a_table_has_a_label(address: str, stranger: Visitor) -> None:
    assert not Read(stranger.get(address).text).unlabelled()
