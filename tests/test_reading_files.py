"""The strict readers. What each trap must come out as is derived from the rules stated in the readers' docstrings."""

from __future__ import annotations

import os
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import Fault, Faults
from kb.reading_files import MAX_BYTES, MAX_DEPTH, read, read_file, read_text
from kb.reading_files._csv import csv_text
from kb.reading_files._yaml import yaml_text


def fault_of(text: str, form: str = "yaml", name: str = "f") -> str:
    with pytest.raises(Fault) as caught:
        read_text(text, f"{name}.{form}", form)
    faults = caught.value.faults if isinstance(caught.value, Faults) else (caught.value,)
    assert all(fault.step and fault.place.startswith(f"{name}.{form}") for fault in faults), str(caught.value)
    return str(caught.value)


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("no", "no"), ("yes", "yes"), ("on", "on"), ("off", "off"), ("No", "No"), ("True", "True"), ("true", True),
        ("false", False), ("012", "012"), ("0o12", "0o12"), ("0x1F", "0x1F"), ("0b1", "0b1"), ("1_000", "1_000"),
        ("1:30", "1:30"), ("2024-05-31", "2024-05-31"), ("12", 12), ("-3", -3), ("1.5", 1.5), ("1.5e+3", 1500.0),
        ("1e5", "1e5"), (".5", ".5"), ("+3", "+3"), (".nan", ".nan"), (".inf", ".inf"), ("nan", "nan"), ("~", None),
        ("", None), ("null", None), ("'12'", "12"), ('"true"', "true"), ("'no'", "no"), ("36-1", "36-1"),
        ("190 +/- 1 mm", "190 +/- 1 mm"), ("9" * 40, "9" * 40), ("1.0e+999", "1.0e+999"), ("<<", "<<"),
        ("=", "="),
    ],
)  # fmt: skip
def test_a_yaml_scalar_is_what_it_looks_like(written: str, value: Any) -> None:
    (record,) = read_text(f"field: {written}\n", "f.yaml", "yaml")
    assert record.data == {"field": value}
    assert type(record.data["field"]) is type(value)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("a: 1\na: 2\n", "f.yaml:2: names 'a' twice"),
        ("a: {b: 1, b: 2}\n", "names 'b' twice"),
        ("a: &x 1\nb: *x\n", "f.yaml:1: uses an anchor"),
        ("b: *x\n", "uses an alias"),
        ("a: !!python/object/apply:os.system ['true']\n", "uses a tag"),
        ("a: !!str 3\n", "uses a tag"),
        ("a: [1, 2\n", "is not YAML"),
        ("a: 1\n b: 2\n", "f.yaml:2: is not YAML"),
        ("a:\tb: c\n", "is not YAML"),
        ("a: \x01\n", "a character that YAML forbids"),
        ("? [a, b]\n: 1\n", "as a field name"),
        ("", "holds no record"),
        ("# only a comment\n", "holds no record"),
        ("just words\n", "is not a record"),
        ("- words\n- more\n", "an entry of the list is not a record"),
        ("a: " + "[" * 60 + "]" * 60, f"more than {MAX_DEPTH} deep"),
        ("a:\n" + "".join("  " * n + "- b:\n" for n in range(1, 40)), f"more than {MAX_DEPTH} deep"),
    ],
)
def test_yaml_refused(text: str, message: str) -> None:
    assert message in fault_of(text)


def test_a_bomb_of_aliases_is_refused_at_once() -> None:
    levels = ["a0: &a0 [x, x]"] + [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 12)]
    assert "uses an anchor" in fault_of("\n".join(levels))


def test_all_duplicate_keys_are_told() -> None:
    with pytest.raises(Faults) as caught:
        read_text("a: 1\na: 2\nb: 1\nb: 2\n", "f.yaml", "yaml")
    assert [fault.place for fault in caught.value.faults] == ["f.yaml:2", "f.yaml:4"]


def test_lists_and_several_documents_give_several_records_with_their_lines() -> None:
    records = read_text("- id: a\n- id: b\n  list:\n  - id: R1\n    height: 1 mm\n---\nid: c\n", "f.yaml", "yaml")
    assert [record.data["id"] for record in records] == ["a", "b", "c"]
    assert records[1].origin() == "f.yaml:2"
    assert records[1].place(("list", 0, "height")) == "f.yaml:5: list.R1.height"
    assert records[1].place(("list", 0, "width")) == "f.yaml:4: list.R1.width"
    assert records[2].place(("id",)) == "f.yaml:7: id"


def test_json_lines_and_values() -> None:
    text = '{"$schema": "pan.json",\n "id": "a", "n": -1.5e3, "i": 12,\n "list": [{"id": "R1",\n "ok": true}],'
    text += ' "s": "\\u00e9\\n"}'
    (record,) = read_text(text, "f.json", "json")
    assert record.data == {"id": "a", "n": -1500.0, "i": 12, "list": [{"id": "R1", "ok": True}], "s": "é\n"}
    assert record.place(("list", 0, "ok")) == "f.json:4: list.R1.ok"
    assert [one.data["id"] for one in read_text('[{"id": "a"}, {"id": "b"}]', "f.json", "json")] == ["a", "b"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('{"a": 1, "a": 2}', "names 'a' twice"),
        ('{"a": NaN}', "NaN is not a value"),
        ('{"a": Infinity}', "Infinity is not a value"),
        ('{"a": -Infinity}', "is not a value"),
        ('{"a": 1e999}', "too large"),
        ('{"a": ' + "9" * 5000 + "}", "too large"),
        ('{"a": 012}', "is not JSON"),
        ('{"a": 1,}', "a field name in quotes"),
        ("{'a': 1}", "a field name in quotes"),
        ('{"a": [1 2]}', "','"),
        ('{"a": 1} x', "the end"),
        ('{"a": "b', "is not JSON"),
        ('{"a": "b\nc"}', "is not JSON"),
        ('{"a"\n 1}', "f.json:2: is not JSON"),
        ("", "a value is due"),
        ("3", "is not a record"),
        ('{"a": ' + "[" * 100 + "]" * 100 + "}", f"more than {MAX_DEPTH} deep"),
    ],
)
def test_json_refused(text: str, message: str) -> None:
    assert message in fault_of(text, "json")


def test_csv_takes_units_from_the_header() -> None:
    text = (
        "id,name,sump_depth_mm,shelf_depth_in,capacity,price,known.how,known.source\n"
        'deep,"Deep, wide",190,3 1/2 in,4.5 L,120,listing,aldine\n'
        "low,Low,150 +/- 1,,,,,\n"
    )
    deep, low = read_text(text, "pan.csv", "csv")
    assert deep.data == {
        "kind": "pan", "id": "deep", "name": "Deep, wide", "sump_depth": "190 mm", "shelf_depth": "3 1/2 in",
        "capacity": "4.5 L", "price": 120, "known": {"how": "listing", "source": "aldine"},
    }  # fmt: skip
    assert low.data["sump_depth"] == "150 +/- 1 mm"
    assert "shelf_depth" not in low.data
    assert low.place(("sump_depth",)) == "pan.csv:3: column sump_depth_mm"


def test_csv_sorts_and_separators() -> None:
    text = "kind;id;name;bends;brace;foot_x_mm\npickup;p;P;2;true;120\npickup;q;Q;two;yes;\n"
    first, second = read_text(text, "any.csv", "csv")
    assert first.data == {
        "kind": "pickup", "id": "p", "name": "P", "bends": 2, "brace": True, "foot_x": "120 mm",
    }  # fmt: skip
    assert second.data["bends"] == "two"  # the model refuses it, with its place
    (controller,) = read_text("id,name,senses\nc,C,hall_biased; hall_bare\n", "controller.csv", "csv")
    assert controller.data["senses"] == ["hall_biased", "hall_bare"]
    (none,) = read_text("id,name,senses\nc,C,-\n", "controller.csv", "csv")
    assert none.data["senses"] == []


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("id,name,sump_dpth_mm\na,A,1\n", "did you mean sump_depth"),
        ("id,name,colour\na,A,red\n", "has no column 'colour'"),
        ("id,name,sump_depth_furlongs\na,A,1\n", "has no column 'sump_depth_furlongs'"),
        ("id,name,rear_seal_mm\na,A,1\n", "has no column 'rear_seal_mm'"),
        ("id,name,ports\na,A,1\n", "ports is a list"),
        ("name\nA\n", "has no column 'id'"),
        ("id,name,name\na,A,B\n", "two columns 'name'"),
        ("id,name\na,A,B\n", "pan.csv:2: has 3 cells, the header has 2 columns"),
        ("id,name\na\n", "has 1 cells"),
        ('id,name\na,"A\n', "is not CSV"),
        ("kind,id,name\npan,a,A\npickup,b,B\n", "is of another kind"),
        ("kind,id,name\npann,a,A\n", "did you mean pan"),
        ("kind,id,name\nbuild,a,A\n", "does not fit a table"),
        ("id,name\n", "holds no record"),
        ("", "holds no record"),
    ],
)
def test_csv_refused(text: str, message: str) -> None:
    assert message in fault_of(text, "csv", "pan")


def test_csv_needs_a_kind_from_somewhere() -> None:
    assert "there is no kind named 'parts'" in fault_of("id,name\na,A\n", "csv", "parts")


def test_csv_tells_all_faults_and_keeps_line_numbers_over_quoted_breaks() -> None:
    with pytest.raises(Faults) as caught:
        read_text('id,name,colour\na,"two\nlines",red\nb,B\n', "pan.csv", "csv")
    assert [fault.place for fault in caught.value.faults] == ["pan.csv:1", "pan.csv:4"]


def test_files_and_folders(tmp_path: Any) -> None:
    (tmp_path / "pan").mkdir()
    (tmp_path / "pan" / "b.yaml").write_text("id: b\n")
    (tmp_path / "pan" / "a.json").write_text('\ufeff{"id": "a"}', encoding="utf-8")
    (tmp_path / "README.md").write_text("words")
    (tmp_path / ".hidden.yaml").write_text("id: h\n")
    (tmp_path / "latin.yaml").write_bytes("id: a\nname: Käfer\n".encode("latin-1"))
    os.mkfifo(tmp_path / "pipe.yaml")
    result = read([tmp_path, tmp_path / "pan" / "b.yaml", tmp_path / "none.yaml", tmp_path / "README.md"])
    assert [record.data["id"] for record in result.records] == ["a", "b"]
    assert [os.path.basename(name) for name in result.skipped] == ["README.md"]
    told = "\n".join(str(fault) for fault in result.faults)
    assert "latin.yaml:2: is not UTF-8" in told
    assert "is not a plain file" in told
    assert "there is no such file" in told
    assert all(fault.step for fault in result.faults)


def test_a_huge_file_is_refused_unread(tmp_path: Any) -> None:
    name = tmp_path / "huge.yaml"
    with open(name, "wb") as file:
        file.truncate(MAX_BYTES + 1)
    with pytest.raises(Fault, match="is larger than"):
        read_file(name)


PLAIN = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=30)
SCALARS = st.booleans() | st.integers(-(10**15), 10**15) | st.floats(-1e15, 1e15) | PLAIN


def nested(inner: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return inner | st.lists(inner, max_size=4) | st.dictionaries(PLAIN, inner, max_size=4)


VALUES = nested(nested(nested(SCALARS)))  # a little deeper than any record is


@given(st.dictionaries(PLAIN, VALUES, min_size=1, max_size=6))
def test_what_is_written_as_yaml_reads_back(record: dict[str, Any]) -> None:
    record.pop("$schema", None)  # not part of a record
    (found,) = read_text(yaml_text({**record, "id": "a"}), "f.yaml", "yaml")
    assert found.data == {**record, "id": "a"}


@given(PLAIN.filter(lambda text: text.strip()))
def test_csv_holds_any_name_or_leaves_the_record_out(name: str) -> None:
    record = {"kind": "pan", "id": "a", "name": name, "sump_depth": "190 mm", "price": 12.5}
    text, left = csv_text("pan", [record])
    if left:
        assert left == [record]
        assert text == ""
    else:
        assert [one.data for one in read_text(text, "pan.csv", "csv")] == [record]
    assert left == [] or name != name.strip()
