"""Searches of the catalogue: counts and rows as when every combination is judged."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import numpy
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kb.base import Base
from kb.build import Build
from kb.chance import FITS, NOT, OPEN, Settings
from kb.errors import Fault, UnknownName
from kb.judge import answer
from kb.rules import askable
from kb.search._best import Best, Member
from kb.search._join import RANK
from kb.search.candidates import Candidate, candidates_for
from kb.search.find import Found, find
from kb.search.tables import all_cells
from kb.store.read import BuildRecord, RoleEntry
from tests.benchmarks.catalogue import parts as generated
from tests.search.brute import Combination, combinations, ids
from tests.search.random_parts import builds, candidates

USUAL = Settings()
DRAWN = settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
Domains = Mapping[str, Sequence[Candidate]]


@pytest.fixture(scope="module")
def base(sample: str) -> Iterator[Base]:
    with Base(sample) as opened:
        yield opened


def stepwise(domains: Domains, fixed: Build, every: Sequence[Combination], clashes: Sequence[Any]) -> dict[str, int]:
    """How many combinations each rule rejects of those that the steps before it leave standing, one by one."""
    level: dict[str, tuple[int, int]] = {}
    for cells in all_cells(domains, fixed, USUAL):
        name = f"{cells.rule.id}:{cells.qualifier}" if cells.qualifier else cells.rule.id
        level[name] = (len(cells.roles), RANK[cells.rule.form])
    for clash in clashes:
        roles = [role for role in domains if role in {party.role for party in clash.parties}]
        level[f"clash:{clash.id}"] = (len(roles), RANK["count"])
    standing, counts = list(every), dict.fromkeys(level, 0)
    for step in sorted(set(level.values())):
        names = [name for name, at in level.items() if at == step and step[0]]
        for name in names:
            counts[name] = sum(each.codes.get(name) == 3 for each in standing)
        standing = [each for each in standing if not any(each.codes.get(name) == 3 for name in names)]
    return {name: count for name, count in counts.items() if count}


def same(
    found: Found, every: Sequence[Combination], domains: Domains, fixed: Build, clashes: Sequence[Any] = ()
) -> None:
    """Counts, rows and reasons against the list of all combinations."""
    verdicts = [each.verdict for each in every]
    assert (found.total, found.fitting, found.unknown, found.rejected) == (
        len(every), verdicts.count(FITS), verdicts.count(OPEN), verdicts.count(NOT),
    )  # fmt: skip
    assert {each.name: each.combinations for each in found.rejected_by} == stepwise(domains, fixed, every, clashes)
    assert sorted(ids(found.fits)) == sorted(ids([each for each in every if each.verdict == FITS]))
    assert sorted(ids(found.cannot_tell)) == sorted(ids([each for each in every if each.verdict == OPEN]))
    by_ids = {ids([each])[0]: each for each in every}
    for row in found.fits + found.cannot_tell:
        due = by_ids[ids([row])[0]]
        assert dict(row.codes) == {name: each for name, each in due.codes.items() if each}
        known = all(each.price is not None for each in row.parts)
        assert row.price == (due.price if known else None)
        assert row.undecided == tuple(name for name, each in row.codes.items() if each == 2)
    _sorted(found)


def _sorted(found: Found) -> None:
    def unknown(row: Any) -> int:
        return sum(each.price is None for each in row.parts)

    def price(row: Any) -> float:
        return math.fsum(each.price or 0.0 for each in row.parts)

    def margin(row: Any) -> float:
        return -math.inf if row.margin is None else -row.margin  # no margin: nothing that could be tight

    if found.order == "margin":
        keys: list[Any] = [(margin(row), unknown(row), price(row)) for row in found.fits]
    else:
        keys = [(unknown(row), price(row), margin(row)) for row in found.fits]
    assert keys == sorted(keys)
    keys = [(len(row.undecided), unknown(row), price(row)) for row in found.cannot_tell]
    assert keys == sorted(keys)


# -- against the whole list -------------------------------------------------------------------------------------------


@DRAWN
@given(st.data())
def test_pairs_of_random_catalogues(data: st.DataObject) -> None:
    fixed = data.draw(builds(("oil_pump", "pan_gasket")))
    domains = {"pan": data.draw(candidates("pan", 5)), "pickup": data.draw(candidates("pickup", 5))}
    found = find(domains, fixed, USUAL, limit=30, order=data.draw(st.sampled_from(("margin", "price"))))
    same(found, combinations(domains, fixed, USUAL), domains, fixed)


@DRAWN
@given(st.data())
def test_triples_of_random_catalogues(data: st.DataObject) -> None:
    fixed = data.draw(builds(("oil_pump", "pickup_seal")))
    domains = {
        "pan_gasket": data.draw(candidates("pan_gasket", 3)),
        "pan": data.draw(candidates("pan", 3)),
        "pickup": data.draw(candidates("pickup", 3)),
    }
    found = find(domains, fixed, USUAL, limit=30)
    same(found, combinations(domains, fixed, USUAL), domains, fixed)


@DRAWN
@given(st.data())
def test_the_best_rows_are_the_first_of_all_rows(data: st.DataObject) -> None:
    fixed = data.draw(builds(("oil_pump",)))
    domains = {"pickup": data.draw(candidates("pickup", 5)), "pickup_seal": data.draw(candidates("pickup_seal", 5))}
    order = data.draw(st.sampled_from(("margin", "price")))
    every = find(domains, fixed, USUAL, limit=30, order=order)
    limit = data.draw(st.integers(0, 4))
    few = find(domains, fixed, USUAL, limit=limit, order=order)
    assert ids(few.fits) == ids(every.fits)[:limit]
    assert ids(few.cannot_tell) == ids(every.cannot_tell)[:limit]
    assert (few.fitting, few.unknown, few.rejected) == (every.fitting, every.unknown, every.rejected)


def test_the_sample_with_its_recorded_clashes(base: Base) -> None:
    fixed = base.build("drover-good")
    recorded = base.incompatibilities()
    picked = {
        "pan": (
            "bench-38-pan", "calder-38-pan", "aldine-33-38-pan", "calder-33-pan", "bench-first-pan",
            "hob-lane-38-steel",
        ),
        "pickup": ("bench-38-pickup", "calder-38-pickup", "bench-38-pickup-unbraced", "calder-33-pickup"),
    }  # fmt: skip
    domains = {role: candidates_for(role, [base.part(id) for id in several]) for role, several in picked.items()}
    lines = base.lines_of([each.id for several in domains.values() for each in several] +
                          [part.id for part in fixed.parts.values()])  # fmt: skip
    found = find(domains, fixed, USUAL, clashes=recorded, lines=lines, limit=40)
    same(found, combinations(domains, fixed, USUAL, recorded), domains, fixed, recorded)
    assert found.fitting
    assert found.unknown
    assert any(each.name.startswith("clash:") for each in found.rejected_by)


def test_a_row_that_fits_is_a_build_that_fits(base: Base) -> None:
    """Put into the build, the best row turns it into one of which the whole check says the same."""
    found = base.find(["pan", "pickup", "pan_gasket"], "drover-good", limit=3)
    assert len(found.fits) == 3
    for row in found.fits:
        swapped = {role: each.id for role, each in zip(found.roles, row.parts, strict=True)}
        assert base.check("drover-good", swapped).verdict == FITS
    worst = base.find(["pan"], "drover-good", limit=50)
    for row in worst.misfits:
        assert base.check("drover-good", {"pan": row.parts[0].id}).verdict == NOT


@pytest.mark.parametrize("order", ["margin", "price"])
def test_a_generated_catalogue_is_searched_like_a_small_one(order: str) -> None:
    """Beyond what can be listed: the counts of a search in pieces add up to those of the whole."""
    made = generated(200, seed=7)
    fixed = Build("parts", "parts", {}, loose=True)
    domains = {kind: candidates_for(kind, made[kind]) for kind in ("pan", "pickup", "pan_gasket")}
    whole = find(domains, fixed, USUAL, order=order, limit=5)
    pieces = [
        find({**domains, "pan": domains["pan"][start:: 3]}, fixed, USUAL, order=order, limit=5) for start in range(3)
    ]  # fmt: skip
    assert whole.total == 40 * 40 * 20  # shares of the kinds in the generator, 0.2, 0.2 and 0.1 of 200
    for name in ("fitting", "unknown", "rejected", "total"):
        assert getattr(whole, name) == sum(getattr(each, name) for each in pieces)
    counted: dict[str, int] = {}
    for piece in pieces:
        for each in piece.rejected_by:
            counted[each.name] = counted.get(each.name, 0) + each.combinations
    assert {each.name: each.combinations for each in whole.rejected_by} == counted
    best = ids([row for piece in pieces for row in piece.cannot_tell])
    assert set(ids(whole.cannot_tell)) <= set(best)


def test_the_generator_draws_the_same_for_the_same_seed() -> None:
    first, again, other = generated(50, seed=3), generated(50, seed=3), generated(50, seed=4)
    assert first == again
    assert first != other
    figures = [part.facts.get("sump_depth") for part in generated(400, seed=3)["pan"]]
    assert None in figures  # some are missing
    assert {one.how for one in figures if one is not None} == {"drawing", "listing", "measured"}


# -- what costs what --------------------------------------------------------------------------------------------------


def test_candidates_carry_what_the_build_says_of_them(base: Base) -> None:
    record = BuildRecord(
        "b", "b", {"pan": RoleEntry("bench-38-pan", owned=True)},
        alternatives={"pan": (RoleEntry("calder-38-pan", price=99.0), RoleEntry("hob-lane-38-blank", owned=True))},
    )  # fmt: skip
    pans = [base.part(id) for id in ("calder-38-pan", "bench-38-pan", "hob-lane-38-blank", "calder-33-pan")]
    unpriced = base.part("calder-38-truck-pan")._replace(price=None)
    made = candidates_for("pan", [*pans, unpriced], record)
    assert [(each.id, each.price, each.owned, each.considered, each.now) for each in made] == [
        ("bench-38-pan", 0.0, True, False, True),
        ("hob-lane-38-blank", 0.0, True, True, False),
        ("calder-33-pan", base.part("calder-33-pan").price, False, False, False),
        ("calder-38-pan", 99.0, False, True, False),
        ("calder-38-truck-pan", None, False, False, False),
    ]
    assert [each.price for each in candidates_for("pan", pans)] == sorted(part.price or 0.0 for part in pans)


def test_under_a_price_nothing_dearer_or_unpriced_is_listed() -> None:
    class Side:
        def __init__(self) -> None:
            self.members = [[Member(5.0, 0, 0), Member(None, 2, 2)], [Member(7.0, 1, 1)]]

    best = Best(10, "margin", [0], under=5.0)
    best.add([numpy.array([0, 1])], [Side()], numpy.array([1.0, 2.0]))
    assert [row for _, row in best.rows([Side()])] == [(0,)]  # 7 is dearer, and what has no price might be
    best = Best(10, "margin", [0])
    best.add([numpy.array([0, 1])], [Side()], numpy.array([1.0, 2.0]))
    assert [row for _, row in best.rows([Side()])] == [(1,), (0,), (2,)]


# -- bad input, and nothing to find -----------------------------------------------------------------------------------


def test_parts_that_no_rule_joins_are_not_said_to_fit(base: Base) -> None:
    """As the check says it: of one pan alone, and of a pan and a pickup without a gasket."""
    alone = base.find(["pan"])
    assert (alone.fitting, alone.apart) == (0, ("pan",))
    pair = base.find(["pan"], roles={"pickup": "calder-38-pickup"})
    assert pair.fitting == 0
    assert pair.apart == ("pan",)
    joined = base.find(["pan"], roles={"pickup": "calder-38-pickup", "pan_gasket": "calder-38-gasket"})
    assert joined.apart == ()
    fixed = base.build("", {"pickup": "calder-38-pickup", "pan_gasket": "calder-38-gasket"})
    for row in joined.fits:
        whole = fixed._replace(parts={**fixed.parts, "pan": row.parts[0].part})
        assert answer(whole, askable(set(whole.parts))[0], USUAL).verdict == FITS
    assert joined.fits


@pytest.mark.parametrize(
    ("asked", "more", "words"),
    [
        (["pann"], {}, "pann"),
        (["pan", "pan"], {"id": "drover-good"}, "searched twice"),
        (["pan"], {"roles": {"pan": "bench-38-pan"}}, "searched and given"),
        (["pan"], {"id": "drover-good", "overrides": {"pan.sump_depth": "188 mm"}}, "searched and given"),
        (["coolant_hose"], {"id": "drover-good"}, "filled 2 times"),
        (["coolant_hose", "coolant_hose:upper"], {}, "searched together"),
        (["pan", "pickup", "pan_gasket", "pickup_seal"], {}, "4 roles"),
        (["pan"], {"id": "no-such"}, "no-such"),
        (["pan"], {"order": "colour"}, "colour"),
        (["pan"], {"makers": ["Nobody"]}, "Nobody"),
        (["pan"], {"id": "drover-good", "owned": True}, "at hand"),
    ],
)
def test_what_cannot_be_searched_says_what_to_do(
    base: Base, asked: list[str], more: dict[str, Any], words: str
) -> None:
    with pytest.raises(Fault) as caught:
        base.find(asked, **more)
    assert words in caught.value.message
    assert caught.value.step


def test_a_role_that_nothing_fills_says_so(tmp_path: Any, sample: str, run: Callable[..., Any]) -> None:
    path = str(tmp_path / "empty.db")
    assert run("init", path).status == 0
    with Base(path) as empty, pytest.raises(Fault, match="no part of kind windage tray is recorded") as caught:
        empty.find(["windage_tray"])
    assert "matchmark blank windage_tray" in (caught.value.step or "")
    with Base(path) as empty, pytest.raises(UnknownName):
        empty.find(["windage-tray"])


def test_no_role_is_no_search() -> None:
    with pytest.raises(Fault, match="0 roles"):
        find({}, Build("b", "b", {}), USUAL)


# -- the command ------------------------------------------------------------------------------------------------------


def test_the_command_lists_rows_reasons_and_what_to_measure(run: Callable[..., Any], sample: str) -> None:
    ran = run("find", "pan", "drover-good", "--db", sample)
    assert ran.status == 0
    assert ran.out.index("Fits") < ran.out.index("Cannot tell yet") < ran.out.index("Does not fit")
    for words in (
        "ok bench-38-pan",
        "in the build",
        "measure: pan.sump_depth",
        "rail-pattern: ",
        "never a certificate",
    ):
        assert words in " ".join(ran.out.split())
    assert max(map(len, ran.out.splitlines())) <= 80


def test_the_command_gives_plain_data(run: Callable[..., Any], sample: str) -> None:
    import json

    ran = run(
        "find", "pan", "--and", "pickup", "drover-good", "--json", "--limit", "2", "--sort", "price", "--db", sample
    )
    data = json.loads(ran.out)
    assert data["counts"]["combinations"] == math.prod(data["candidates"].values())
    assert sum(data["counts"][each] for each in (FITS, OPEN, NOT)) == data["counts"]["combinations"]
    assert [row["price"] for row in data["fits"]] == sorted(row["price"] for row in data["fits"])
    assert len(data["fits"]) == len(data["cannot_tell"]) == 2
    assert all(row["measure"] or row["do"] for row in data["cannot_tell"])
    assert {each["role"] for each in data["fits"][0]["parts"]} == {"pan", "pickup"}


def test_the_command_s_status_is_that_of_the_best_row(run: Callable[..., Any], sample: str) -> None:
    assert run("find", "pan", "--db", sample).status == 3
    none = run("find", "pan", "drover-good", "--maker", "Aldine Castings", "--db", sample)
    assert none.status in (1, 3)
    assert "ok " not in none.out
    cheap = run("find", "pan", "drover-good", "--under", "150", "--db", sample)
    assert "ok bench-38-pan" in cheap.out
    assert "ok calder-38-pan" not in cheap.out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("pan", "--limit", "0"), "0 rows"),
        (("pan", "--limit", "3", "--all"), "contradict"),
        (("pan", "--under", "-5"), "no price"),
        (("pan", "drover", "drover-good"), "two builds"),
        (("pan", "--and", "pan"), "twice"),
        (("pam",), "did you mean pan"),
    ],
)
def test_contradictions_are_refused(run: Callable[..., Any], sample: str, words: tuple[str, ...], said: str) -> None:
    ran = run("find", *words, "--db", sample)
    assert ran.status == 2
    assert said in ran.err
    assert "next:" in ran.err
