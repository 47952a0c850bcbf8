"""What is generated is current; and the generated JSON Schemas take the sample's records and refuse broken ones."""

from __future__ import annotations

import copy
import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry

from kb.publish import cli_page, from_sample, pages, sample_is_stale
from kb.reading_files import read
from kb.records.models import record_kinds
from kb.rules import entries
from tests.cli.test_cli_output import subcommands

TOP = Path(__file__).parent.parent
SAMPLE = TOP / "sample_db" / "sample.db"
PAGES = {**dict(pages()), **dict(from_sample(str(SAMPLE), str(TOP)))}
RECORDS = sorted(
    ((one.data["kind"], one.data) for one in read([TOP / "sample_db" / "records"]).records),
    key=lambda pair: (pair[0], pair[1]["id"]),
)


# -- currency ---------------------------------------------------------------------------------------------------------


def test_what_is_generated_is_current() -> None:
    stale = [
        path
        for path, text in PAGES.items()
        if not (TOP / path).exists() or (TOP / path).read_text(encoding="utf-8") != text
    ]
    assert stale == [], "run: python -m kb.publish"


@pytest.mark.parametrize("folder", ["schemas", "docs/rules", "docs/kinds", "docs/pictures"])
def test_nothing_stale_is_left_in_a_generated_folder(folder: str) -> None:
    there = {f"{folder}/{path.name}" for path in (TOP / folder).iterdir() if path.is_file()}
    assert there == {path for path in PAGES if path.startswith(f"{folder}/")}


def test_the_built_sample_holds_what_its_record_files_say(sample: str) -> None:
    assert not sample_is_stale(str(TOP), sample), "run: python -m kb.publish"


@pytest.mark.skipif(not (TOP / ".git").exists() or not shutil.which("git"), reason="no checkout to ask")
def test_no_record_of_the_sample_is_kept_out_of_the_repository() -> None:
    """A pattern such as `build/` once hid the sample's builds from every fresh clone."""
    files = [str(path.relative_to(TOP)) for path in (TOP / "sample_db" / "records").rglob("*.yaml")]
    ignored = subprocess.run(["git", "check-ignore", *files], cwd=TOP, capture_output=True, text=True)
    assert (ignored.returncode, ignored.stdout, ignored.stderr) == (1, "", "")  # 1: none of them


def test_every_command_and_flag_is_documented() -> None:
    page = cli_page()
    for words in subcommands():
        if words:
            assert re.search(rf"^#+ matchmark {' '.join(words)}$", page, re.MULTILINE), words
    for flag in ("--db", "--json", "--units", "--rule", "--limit", "--sample", "--keep-good", "--party", "--reason"):
        assert f"`{flag}`" in page
    assert "$MATCHMARK_DB" in page  # and not $matchmark_db
    assert "(YAML, JSON, CSV)" in page
    assert not re.search(r"\| \.|\|  \||None", page), "an argument without words"


def test_every_rule_and_kind_has_its_page() -> None:
    assert {f"docs/rules/{each.id}.md" for each in entries()} <= set(PAGES)
    for each in entries():
        assert f"[{each.id}]({each.id}.md)" in PAGES["docs/rules/README.md"]
    assert {f"schemas/{kind}.schema.json" for kind in record_kinds()} == {
        path for path in PAGES if path.startswith("schemas/")
    }


def test_pages_name_no_path_of_this_machine() -> None:
    for path, text in PAGES.items():
        assert str(TOP) not in text, path


# -- schemas ----------------------------------------------------------------------------------------------------------


def refuse_to_fetch(uri: str) -> Any:
    raise AssertionError(f"a schema refers to {uri}: it must stand alone")


SCHEMAS: dict[str, Any] = {kind: json.loads(PAGES[f"schemas/{kind}.schema.json"]) for kind in record_kinds()}
VALIDATORS = {
    kind: Draft202012Validator(schema, registry=Registry(retrieve=refuse_to_fetch)) for kind, schema in SCHEMAS.items()
}


def faults(kind: str, record: dict[str, Any]) -> list[str]:
    return [error.message for error in VALIDATORS[kind].iter_errors(record)]


@pytest.mark.parametrize("kind", record_kinds())
def test_a_schema_is_one(kind: str) -> None:
    Draft202012Validator.check_schema(SCHEMAS[kind])
    assert SCHEMAS[kind]["additionalProperties"] is False
    described = SCHEMAS[kind]["properties"]
    assert [name for name, each in described.items() if not each.get("description") and "$ref" not in each] == []


@pytest.mark.parametrize(("kind", "record"), RECORDS, ids=[f"{kind}/{record['id']}" for kind, record in RECORDS])
def test_a_record_of_the_sample_is_taken(kind: str, record: dict[str, Any]) -> None:
    assert faults(kind, record) == []


def broken(kind: str, record: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Twins of a good record, each spoilt in one place."""
    for name, value in (("colour", "red"), ("id", "Not An Id"), ("id", 3), ("id", "x" * 81), ("kind", "wing")):
        yield f"{name}={value!r:.20}", {**record, name: value}
    yield "no id", {name: value for name, value in record.items() if name != "id"}
    title = next((name for name in ("name", "title", "meaning") if name in record), None)
    if title:
        yield f"{title} too long", {**record, title: "x" * 10_000}
        yield f"{title} a number", {**record, title: 3}
        yield f"no {title}", {name: value for name, value in record.items() if name != title}
    for name, value in record.items():
        if isinstance(value, list):
            yield f"{name} a text", {**record, name: 3}
            if value and isinstance(value[0], dict):
                spoilt = copy.deepcopy(value)
                spoilt[0]["colour"] = "red"
                yield f"{name}.1.colour", {**record, name: spoilt}
        elif isinstance(value, dict):
            yield f"{name} a flag", {**record, name: True}


@pytest.mark.parametrize("kind", sorted({kind for kind, _ in RECORDS}))
def test_a_broken_twin_is_refused(kind: str) -> None:
    some = [record for each, record in RECORDS if each == kind][:5]
    for record in some:
        for what, twin in broken(kind, record):
            assert faults(kind, twin), (record["id"], what)


@pytest.mark.parametrize(
    ("kind", "change"),
    [
        ("pan", {"price": "much"}), ("pan", {"price": -1}), ("pan", {"construction": "brass"}),
        ("pan", {"sump_depth": ["190 mm", 3]}), ("pan", {"sump_depth": {"value": "190 mm", "colour": "red"}}),
        ("pan", {"sump_depth": True}), ("pan", {"currency": "euro"}), ("pickup", {"brace": "yes"}),
        ("pickup", {"flange_bolts": 2.5}), ("pickup", {"flange_bolts": -1}), ("build", {"fits_at": 2}),
        ("build", {"roles": []}), ("incompatibility", {"harm": "leeks"}), ("incompatibility", {"milestone": "drove"}),
        ("incompatibility", {"parties": []}), ("incompatibility", {"found": "guessed"}), ("source", {"sort": "rumour"}),
        ("instrument", {"shape": "square"}),
    ],
)  # fmt: skip
def test_a_wrong_value_is_refused(kind: str, change: dict[str, Any]) -> None:
    record = next(record for each, record in RECORDS if each == kind)
    assert faults(kind, record) == []
    assert faults(kind, {**record, **change})
