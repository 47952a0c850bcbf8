"""CSV of every kind: plain numbers under columns with units say the same as the record written as YAML."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest

from kb.blank import header, plain, unit_of
from kb.errors import Fault
from kb.reading_files import read_text
from kb.records import KINDS, SHOWN, Feature
from kb.records.models import check, normalise

FLAT = {kind: [each for each in KINDS[kind].features.values() if each.sort != "list"] for kind in KINDS}


def si(feature: Feature) -> float:
    low, high = feature.plausible or (0.0, 0.12)
    return low + 0.4 * (high - low)


def cell(feature: Feature) -> str:
    """What a table holds: a plain number in the unit of the column, a code, a count, true."""
    if feature.sort in ("dimension", "position"):
        return plain(si(feature) / feature.shown_scale)
    if feature.sort in ("choice", "codes"):
        some = feature.options or ("code-1",)
        return some[-1] if feature.sort == "choice" else "; ".join(some[:2])
    return {"count": "4", "flag": "false", "text": "some words"}[feature.sort]


def written(feature: Feature) -> Any:
    """The same as a YAML record has it: with its unit."""
    text = cell(feature)
    if feature.sort in ("dimension", "position"):
        unit = "K" if feature.quantity == "temperature" else unit_of(feature)
        return f"{text} {unit}".rstrip()
    made = {"codes": text.split("; "), "count": 4, "flag": False}
    return made.get(feature.sort, text)


def table(kind: str, row: dict[str, str]) -> str:
    out = io.StringIO(newline="")
    out.write(header(kind))
    csv.DictWriter(out, header(kind).strip().split(","), lineterminator="\n").writerow(row)
    return out.getvalue()


def figures(facts: dict[str, Any]) -> dict[str, Any]:
    """Facts without the words in which a figure was written."""
    plain_facts: dict[str, Any] = {}
    for name, value in facts.items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            plain_facts[name] = [{key: each[key] for key in each if key != "text"} for each in value]
        else:
            plain_facts[name] = {"si": value["si"]} if isinstance(value, dict) else value
    return plain_facts


@pytest.mark.parametrize("kind", KINDS)
def test_a_table_of_a_kind_says_what_its_yaml_says(kind: str) -> None:
    row = {"kind": kind, "id": "one", "name": "One", "price": "12.5", "known.how": "measured", "known.by": "Hanne"}
    row.update({each.column: cell(each) for each in FLAT[kind]})
    (given,) = read_text(table(kind, row), f"{kind}.csv", "csv")
    record = {"kind": kind, "id": "one", "name": "One", "price": 12.5, "known": {"how": "measured", "by": "Hanne"}}
    record.update({each.name: written(each) for each in FLAT[kind]})
    facts = check(given).facts
    assert figures(facts) == figures(normalise(record))
    assert {each.name for each in FLAT[kind]} <= set(facts)
    for each in FLAT[kind]:
        if each.sort == "dimension":
            # derived from the definition: the figure times what SHOWN says one of the column's unit is
            assert facts[each.name][0]["si"] == pytest.approx(si(each), rel=1e-5, abs=1e-9), each


@pytest.mark.parametrize("kind", KINDS)
def test_an_empty_row_is_not_known(kind: str) -> None:
    (given,) = read_text(table(kind, {"kind": kind, "id": "one", "name": "One"}), "any.csv", "csv")
    assert check(given).facts == {"kind": kind, "id": "one", "name": "One"}


@pytest.mark.parametrize("kind", KINDS)
def test_no_two_features_share_a_column(kind: str) -> None:
    titles = header(kind).strip().split(",")
    assert len(titles) == len(set(titles))


@pytest.mark.parametrize("quantity", SHOWN)
def test_every_unit_of_a_column_is_read(quantity: str) -> None:
    from kb import units

    feature = Feature("dimension", "some figure", quantity=quantity)
    feature.__set_name__(object, "some")
    # derived from the definition: SHOWN states what one of the column's unit is in SI
    due = 3.0 + 273.15 if quantity == "temperature" else 3.0 * SHOWN[quantity][1]
    assert units.parse(f"3 {unit_of(feature)}".rstrip(), quantity).value == pytest.approx(due)


@pytest.mark.parametrize("kind", KINDS)
def test_a_wrong_column_names_the_near_one(kind: str) -> None:
    for feature in FLAT[kind]:
        wrong = feature.column[:-1] + feature.column[-1] * 2 + "x"
        text = f"kind,id,name,{wrong}\n{kind},one,One,1\n"
        with pytest.raises(Fault, match=f"a {kind} has no column") as caught:
            read_text(text, "any.csv", "csv")
        assert feature.name in caught.value.step, wrong


@pytest.mark.parametrize("kind", [kind for kind in KINDS if any(each.item for each in KINDS[kind].features.values())])
def test_a_list_is_sent_to_yaml(kind: str) -> None:
    for feature in KINDS[kind].features.values():
        if feature.item is not None:
            with pytest.raises(Fault, match="is a list and does not fit a cell") as caught:
                read_text(f"id,name,{feature.name}\none,One,1\n", f"{kind}.csv", "csv")
            assert "YAML" in caught.value.step


@pytest.mark.parametrize(
    ("column", "text", "due"),
    [
        # derived from the definition of the inch (25.4 mm) and of the bar (100 kPa)
        ("sump_depth_in", "7 1/2", 0.1905),
        ("sump_depth_in", "7.5", 0.1905),
        ("sump_depth_in", "190.5 mm", 0.1905),
        ("sump_depth_mm", "190.5", 0.1905),
        ("sump_depth", "7 1/2 in", 0.1905),
        ("flange_modulus_kpa", "7.00E+07", 7.0e10),  # as a spreadsheet writes it
        ("flange_modulus_gpa", "70", 7.0e10),
        ("flange_modulus_bar", "700000", 7.0e10),
    ],
)
def test_a_cell_in_another_unit(column: str, text: str, due: float) -> None:
    (given,) = read_text(f"id,name,{column}\none,One,{text}\n", "pan.csv", "csv")
    (reading,) = check(given).facts[column.rpartition("_")[0] if column != "sump_depth" else column]
    assert reading["si"] == pytest.approx(due, rel=1e-12)
