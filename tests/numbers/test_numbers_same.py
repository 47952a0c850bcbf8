"""The same parts give the same answer: in inches, with lists begun elsewhere, asked again, in another process."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kb.base import Base
from kb.judge import Answer
from kb.reading_files import read
from kb.records import KINDS, Feature
from kb.records.models import normalise
from kb.store.load import init, load
from tests.cli.running import process

SAMPLES = Path(__file__).parent.parent.parent / "sample_db" / "records"
BUILDS = ("drover", "drover-good", "drover-manual", "drover-pile", "farm-33")
# SI units in one unit of the inch shop: the international yard and pound agreement of 1959, and g = 9.80665 m/s2.
INCH = {
    "length": ("in", 0.0254),
    "pressure": ("psi", 4.4482216152605 / 0.0254**2),
    "torque": ("ft-lb", 4.4482216152605 * 0.3048),
    "force": ("lbf", 4.4482216152605),
    "mass": ("lb", 0.45359237),
}


def samples() -> list[dict[str, Any]]:
    return [json.loads(json.dumps(each.data)) for each in read([SAMPLES]).records]


def base_of(records: list[dict[str, Any]], folder: Path) -> str:
    folder.mkdir(exist_ok=True)
    for number, record in enumerate(records):
        (folder / f"{number}.json").write_text(json.dumps(record), encoding="utf-8")
    path = folder / "made.db"
    init(path)
    load(path, [folder], by="tests")
    return str(path)


def answers(path: str, builds: tuple[str, ...] = BUILDS) -> dict[str, Answer]:
    with Base(path) as base:
        return {build: base.check(build) for build in builds}


def alike(here: Answer, there: Answer) -> None:
    """Equal verdicts and margins to 1e-9 of their size; a nanometre in a kilometre where a margin is none."""
    one, other = ({each.name: each for each in answer.findings} for answer in (here, there))
    assert one.keys() == other.keys()
    for name, first in one.items():
        second = other[name]
        assert (first.verdict, first.because) == (second.verdict, second.because), name
        if first.margin is None:
            assert second.margin is None, name
        else:
            scale = max(abs(first.quantity or 0.0), *(abs(each.bound) for each in first.checks), 1e-3)
            assert second.margin == pytest.approx(first.margin, rel=1e-9, abs=1e-9 * scale), name
        # Where a figure is drawn or summed up numerically, its last digits follow the last digits of the inputs.
        assert second.probability == pytest.approx(first.probability, abs=5e-3), name


# -- inches ---------------------------------------------------------------------------------------------------------


def in_inches(record: dict[str, Any]) -> tuple[dict[str, Any], int]:
    """The record with all that has a unit of the inch shop written in it, and how many figures that were."""
    kind = KINDS.get(record["kind"]) if record["kind"] in KINDS else None
    if kind is None:
        return record, 0
    facts = normalise({**record, "known": record.get("known", {})})
    bare = normalise({name: value for name, value in record.items() if name != "known"})
    found, count = dict(record), 0
    for name, feature in kind.features.items():
        if name in record:
            found[name], more = _turned(feature, record[name], bare[name])
            count += more
    assert normalise(found).keys() == facts.keys()
    return found, count


def _turned(feature: Feature, given: Any, facts: Any) -> tuple[Any, int]:
    if feature.sort == "list" and feature.item is not None:
        entries, count = [], 0
        for entry, normal in zip(given, facts, strict=True):
            made = dict(entry)
            for name, inner in feature.item.features.items():
                if name in entry:
                    made[name], more = _turned(inner, entry[name], normal[name])
                    count += more
            entries.append(made)
        return entries, count
    if feature.quantity not in INCH:
        return given, 0
    unit, size = INCH[feature.quantity]
    if feature.sort == "position":
        return f"{facts['si'] / size:.15f} {unit}", 1
    if feature.sort != "dimension":
        return given, 0
    made = []
    for reading in facts:
        said = {name: value for name, value in reading.items() if name not in ("si", "half", "text")}
        said["value"] = f"{reading['si'] / size:.15f} {unit}"
        if "half" in reading:
            said["tolerance"] = f"{reading['half'] / size:.15f} {unit}"
        made.append(said)
    return made, len(made)


def test_the_whole_sample_in_inches_gives_the_same_answers(tmp_path: Path, sample: str) -> None:
    turned = [in_inches(record) for record in samples()]
    assert sum(count for _, count in turned) > 1500  # a guard: most figures of the sample are lengths
    inch, metric = answers(base_of([record for record, _ in turned], tmp_path / "inch")), answers(sample)
    for build in BUILDS:
        alike(metric[build], inch[build])


# -- order ----------------------------------------------------------------------------------------------------------

# Lists whose order says something; the first two close upon themselves, so that only where they begin says nothing.
ORDERED = {
    "belt_layout.pulleys": "the belt runs from each to the next and from the last to the first",
    "block.stations": "they stand in their order around the flange",
    "block.firing": "cylinders fire in this order, beginning with cylinder 1",
}


def lists() -> list[tuple[str, str]]:
    return [(kind, name) for kind, made in KINDS.items() for name, each in made.features.items() if each.sort == "list"]


def reordered(
    records: list[dict[str, Any]], change: Callable[[str, list[Any]], list[Any]]
) -> tuple[list[dict[str, Any]], int]:
    names, count = set(lists()), 0
    for record in records:
        for name, value in record.items():
            if (record["kind"], name) in names and len(value) > 1:
                made = change(f"{record['kind']}.{name}", value)
                count += made != value
                record[name] = made
    return records, count


def test_where_a_belt_and_a_rail_begin_says_nothing(tmp_path: Path, sample: str) -> None:
    rnd = random.Random(5)

    def turn(name: str, some: list[Any]) -> list[Any]:
        at = rnd.randrange(1, len(some))
        return [*some[at:], *some[:at]] if name in list(ORDERED)[:2] else some

    records, count = reordered(samples(), turn)
    assert count >= 5
    made, here = answers(base_of(records, tmp_path / "turned")), answers(sample)
    for build in BUILDS:
        alike(here[build], made[build])


def test_the_order_of_other_lists_says_nothing(tmp_path: Path, sample: str) -> None:
    rnd = random.Random(6)
    records, count = reordered(samples(), lambda name, some: some if name in ORDERED else rnd.sample(some, len(some)))
    assert count > 50
    made, here = answers(base_of(records, tmp_path / "mixed")), answers(sample)
    for build in BUILDS:
        alike(here[build], made[build])


def test_the_order_in_which_roles_are_filled_says_nothing(tmp_path: Path, sample: str) -> None:
    rnd = random.Random(7)
    records = samples()
    for record in records:
        if record["kind"] == "build":
            record["roles"] = dict(rnd.sample(list(record["roles"].items()), len(record["roles"])))
    made, here = answers(base_of(rnd.sample(records, len(records)), tmp_path / "roles")), answers(sample)
    for build in BUILDS:
        alike(here[build], made[build])


# -- again, and elsewhere ---------------------------------------------------------------------------------------------

COMMANDS = (
    ("check", "drover", "--full", "--json"),
    ("check", "drover-pile", "--full", "--json"),
    ("ready", "drover", "--all", "--json"),
    ("find", "pan", "drover", "--all", "--json"),
    ("measure", "drover-pile", "--json"),
    ("trace", "drover", "--symptom", "oil-prime", "--json"),
    ("circuits", "drover", "--json"),
    ("buy", "drover", "--json"),
)


def _same(text: str) -> Any:
    """What was said, without how long it took."""
    said = json.loads(text)
    return (
        {name: value for name, value in said.items() if not name.startswith("took")} if isinstance(said, dict) else said
    )


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_every_process_gives_the_same_answer(words: tuple[str, ...], sample: str) -> None:
    """Python mixes the order of sets anew with each seed of its hashes; no answer may rest on it."""
    ran = [process(*words, "--db", sample, PYTHONHASHSEED=seed) for seed in ("0", "1", "4242")]
    assert len({each.status for each in ran}) == 1
    assert ran[0].status in (0, 1, 3)
    assert _same(ran[0].out) == _same(ran[1].out) == _same(ran[2].out)


def test_asking_again_changes_nothing(sample: str) -> None:
    with Base(sample) as base:
        first, again = (base.check("drover-pile") for _ in range(2))
    for one, other in zip(first.findings, again.findings, strict=True):
        assert (one.name, one.verdict, one.probability, one.margin) == (
            other.name,
            other.verdict,
            other.probability,
            other.margin,
        )
