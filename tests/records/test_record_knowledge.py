"""Builds, incompatibilities, sources, instruments, terms. Figures are chosen for the tests."""

from __future__ import annotations

from typing import Any

import pytest

from kb.errors import Fault, Faults
from kb.records.models import normalise
from kb.records.values import feature_at, instrument_reads, read_condition

CLASH: dict[str, Any] = {
    "kind": "incompatibility", "id": "c", "title": "Shallow pan", "parties": [{"role": "pan"}], "symptom": "no oil",
    "found": "bench", "harm": "destroys", "milestone": "prime",
}  # fmt: skip
TOOL: dict[str, Any] = {
    "kind": "instrument", "id": "my-caliper", "name": "Mine", "measures": ["depth", "inside"], "half_width": "0.03 mm",
}  # fmt: skip


def one_fault(record: dict[str, Any]) -> str:
    with pytest.raises(Faults) as caught:
        normalise(record)
    assert len(caught.value.faults) == 1, str(caught.value)
    assert caught.value.faults[0].step
    return str(caught.value.faults[0])


def test_a_role_takes_a_part_id_or_its_fields() -> None:
    roles = {"pan": "deep-pan", "pickup": {"part": "long", "owned": True, "price": 40, "note": "from the shelf"}}
    facts = normalise({"kind": "build", "id": "drover", "name": "Drover", "roles": roles})
    assert facts["roles"]["pan"] == {"part": "deep-pan"}
    assert facts["roles"]["pickup"] == {"part": "long", "owned": True, "price": 40.0, "note": "from the shelf"}


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"roles": {"Pan!": "x"}}, "is no role"),
        ({"roles": {"pan": 3}}, "where fields are due"),
        ({"roles": {"pan": {"part": "x", "ownd": True}}}, "did you mean owned"),
        ({"roles": {"pan": {"part": "x", "owned": "yes"}}}, "neither true nor false"),
        ({"roles": ["pan"]}, "where fields are due"),
        ({"own_limits": [{"rule": "r", "limit": "low", "value": 3, "why": "w"}]}, "where a text is due"),
        ({"own_limits": [{"rule": "r", "limit": "low", "value": "3 mm"}]}, "has no field 'why'"),
        ({"fits_at": 1.0}, "fits_at"),
        ({"not_at": 0.6}, "out of range"),
    ],
)
def test_what_a_build_refuses(more: dict[str, Any], message: str) -> None:
    assert message in one_fault({"kind": "build", "id": "b", "name": "B", **more})


def test_a_clash_in_normal_form() -> None:
    facts = normalise({**CLASH, "parties": [{"role": "pan", "where": {"sump_depth": "< 180 mm"}}]})
    assert facts["harm"] == ["destroys"]
    assert facts["status"] == "reported"
    assert facts["parties"][0]["where"] == {"sump_depth": ["< 180 mm"]}


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"parties": []}, "is an empty list"),
        ({"harm": "explodes"}, "none of its choices"),
        ({"harm": []}, "is an empty list"),
        ({"milestone": "start"}, "none of its choices"),
        ({"status": "confirmed"}, "without a review"),
        ({"symptom": ""}, "is empty"),
        (
            {"reviews": [{"status": "refuted", "by": "x", "date": "2024", "reason": "y"}]},
            "its last review says refuted",
        ),
        ({"reviews": [{"status": "refuted", "by": "x", "date": "2024"}], "status": "refuted"}, "no field 'reason'"),
        ({"evidence": [{"role": "pan"}]}, "has no field 'text'"),
        ({"parties": [{"role": "pan", "where": {"brace": True}}]}, "put it in quotes"),
    ],
)
def test_what_a_clash_refuses(more: dict[str, Any], message: str) -> None:
    with pytest.raises(Faults) as caught:
        normalise({**CLASH, **more})
    assert message in str(caught.value)
    assert all(fault.step for fault in caught.value.faults)


def test_an_instrument_in_si() -> None:
    facts = normalise(TOOL)
    assert facts["half_width"] == pytest.approx(3e-5)  # 0.03 mm in metres
    assert facts["measures"] == ["depth", "inside"]
    warm = {**TOOL, "measures": ["temperature"], "half_width": "2 degC"}
    assert normalise(warm)["half_width"] == pytest.approx(2.0)  # a difference of 2 degC is 2 K


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"half_width": "3 bar"}, "half_width"),
        ({"half_width": 0.03}, "where a text is due"),
        ({"half_width": "-1 mm"}, "is no width"),
        ({"measures": ["depth", "pressure"]}, "reads one quantity"),
        ({"where": ["moon"]}, "none of its choices"),
        ({"relative": -0.1}, "out of range"),
    ],
)
def test_what_an_instrument_refuses(more: dict[str, Any], message: str) -> None:
    assert message in one_fault({**TOOL, **more})


def test_source_and_term() -> None:
    source = {"kind": "source", "id": "aldine", "title": "Aldine catalogue", "sort": "trade", "date": "2024"}
    assert normalise(source)["sort"] == "trade"
    assert "none of its choices" in one_fault({**source, "sort": "rumour"})
    assert normalise({"kind": "term", "id": "tooth_pattern/60-2", "meaning": "60 less 2"})["id"] == "tooth_pattern/60-2"
    assert "no id of a term" in one_fault({"kind": "term", "id": "60-2", "meaning": "60 less 2"})


@pytest.mark.parametrize(
    ("kind", "path", "text", "op", "value"),
    [
        ("pan", "rail_pattern", "calder-38", "=", "calder-38"),
        ("pan", "rail_pattern", "!= calder-38", "!=", "calder-38"),
        ("pan", "rail_pattern", "in [calder-38, calder-33]", "in", ["calder-38", "calder-33"]),
        ("pan", "sump_depth", "< 180 mm", "<", 0.18),
        ("pan", "sump_depth", ">=7 in", ">=", 0.1778),  # 7 x 25.4 mm
        ("pan", "ports", "has rear-feed", "has", "rear-feed"),
        ("pan", "ports", "lacks rear-feed", "lacks", "rear-feed"),
        ("pan", "ports.rear-feed.bore", "<= 12 mm", "<=", 0.012),
        ("pickup", "bends", ">= 2", ">=", 2),
        ("pickup", "brace", "false", "=", False),
        ("pickup", "screen_open", "> 0.5", ">", 0.5),
        ("controller", "senses", "has hall_biased", "has", "hall_biased"),
    ],
)
def test_conditions(kind: str, path: str, text: str, op: str, value: Any) -> None:
    found = read_condition(kind, path, text)
    assert found == {"feature": path, "op": op, "value": pytest.approx(value) if type(value) is float else value}


@pytest.mark.parametrize(
    ("path", "text", "message"),
    [
        ("sump_dpth", "< 180 mm", "has no feature"),
        ("sump_depth.x", "< 180 mm", "has no feature"),
        ("ports.a", "x", "has no feature"),
        ("sump_depth", "< 180", "has no unit"),
        ("sump_depth", "< 3 bar", "where a length is due"),
        ("sump_depth", "< 190 in", "absurd"),
        ("sump_depth", "180 +/- 1 mm", "no tolerance"),
        ("sump_depth", "has x", "holds one value"),
        ("rear_seal", "< one_piece", "has no order"),
        ("rear_seal", "one_pice", "is never"),
        ("rear_seal", "in [one_piece", "does not end in ]"),
        ("ports", "rear-feed", "holds several values"),
        ("ports", "has", "does not say what"),
        ("sump_depth", "<", "a value is missing"),
    ],
)
def test_conditions_refused(path: str, text: str, message: str) -> None:
    with pytest.raises(Fault) as caught:
        read_condition("pan", path, text)
    assert message in str(caught.value)
    assert caught.value.step


def test_which_instruments_read_a_quantity() -> None:
    assert instrument_reads(["depth", "gap"], "length")
    assert instrument_reads(["pressure"], "pressure")
    assert not instrument_reads(["depth"], "volume")
    assert feature_at("pan", "ports.rear-feed.bore").quantity == "length"
