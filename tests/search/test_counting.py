"""Counting without listing: the same as judging every combination, exact or uncertain, known or not."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kb.base import Base
from kb.build import Build
from kb.chance import FITS, NOT, OPEN, Settings
from kb.measure import Dimension, Term
from kb.search import _column_axis, find
from kb.search.candidates import Candidate
from kb.search.columns import Column, Columns
from kb.search.counting import Counts, Factored, Unranged
from tests.benchmarks import search_catalogue
from tests.benchmarks.search_catalogue import ROLES, Catalogue
from tests.search.brute import Combination, combinations
from tests.search.random_parts import builds, candidates

USUAL = Settings(draws=3000)
DRAWN = settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
Domains = Mapping[str, Sequence[Candidate]]


def judged(domains: Domains, fixed: Build, how: Settings) -> tuple[Counts, list[tuple[int, ...]]]:
    """The counts, and those that fit in the order of price and ids, by the judge."""
    every = combinations(domains, fixed, how)
    verdicts = [each.verdict for each in every]
    counts = Counts(verdicts.count(FITS), verdicts.count(OPEN), verdicts.count(NOT))

    def key(row: Combination) -> tuple[object, ...]:
        prices = [each.price for each in row.cell]
        unknown = sum(each is None for each in prices)
        whole = sum(round(100 * (each or 0.0)) for each in prices)  # whole cents
        return unknown, whole, [(each.price is None, each.price or 0.0, each.id) for each in row.cell]

    fits = sorted((each for each in every if each.verdict == FITS), key=key)
    at = {role: {each.id: place for place, each in enumerate(several)} for role, several in domains.items()}
    return counts, [tuple(at[role][each.id] for role, each in zip(domains, row.cell, strict=True)) for row in fits]


def same(domains: Domains, fixed: Build, how: Settings = USUAL, limit: int = 7) -> Factored:
    """Compare both ways of counting, and the cheapest rows. Unranged comes through."""
    search = Factored({role: Columns.of(several) for role, several in domains.items()}, fixed, how)
    found, rows = search.counts(), search.cheapest(limit)
    quick = Factored(search.domains, fixed, how, fits_only=True)
    assert (quick.counts().fitting, quick.cheapest(limit)) == (found.fitting, rows)
    counts, fits = judged(domains, fixed, how)
    assert found == counts
    assert rows == fits[:limit]
    return search


@pytest.fixture
def exact_engine(sample: str) -> Build:
    with Base(sample) as base:
        return search_catalogue.fixed(base)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_exact_parts(exact_engine: Build, seed: int) -> None:
    made = Catalogue(seed, 12, 12, 3, 4)
    domains = {kind: made.candidates(kind) for kind in ROLES}
    same(domains, exact_engine)
    same({kind: domains[kind] for kind in ("pickup_seal", "pickup", "pan_gasket", "pan")}, exact_engine)


def test_the_catalogue_s_columns_are_its_parts(exact_engine: Build) -> None:
    made = Catalogue(4, 300, 300)
    by_parts = {kind: Columns.of(made.candidates(kind)) for kind in ROLES}
    one, other = Factored(made.domains(), exact_engine, USUAL), Factored(by_parts, exact_engine, USUAL)
    assert one.counts() == other.counts()
    assert one.counts().fitting > 0
    assert one.cheapest(20) == other.cheapest(20)


@DRAWN
@given(st.data())
def test_uncertain_and_unknown_figures(data: st.DataObject) -> None:
    how = data.draw(st.sampled_from((USUAL, USUAL, Settings(0.99, 0.01, 3000), Settings(0.6, 0.4, 3000))))
    fixed = data.draw(builds(("oil_pump",)))
    domains = {
        "pan": data.draw(candidates("pan", 5)),
        "pickup": data.draw(candidates("pickup", 5)),
        "pan_gasket": data.draw(candidates("pan_gasket", 3)),
        "pickup_seal": data.draw(candidates("pickup_seal", 2)),
    }
    try:
        same(domains, fixed, how)
    except Unranged:
        TALLY.append(0)
    else:
        TALLY.append(1)


TALLY: list[int] = []


def test_most_of_these_were_counted_so() -> None:
    if not TALLY:
        pytest.skip("the test before was not run")
    assert sum(TALLY) > 0.5 * len(TALLY)


@DRAWN
@given(st.data())
def test_two_roles_with_a_tray_between(data: st.DataObject) -> None:
    fixed = data.draw(builds(("windage_tray", "pan_gasket")))
    domains = {"pickup": data.draw(candidates("pickup", 6)), "pan": data.draw(candidates("pan", 6))}
    try:
        same(domains, fixed)
    except Unranged:
        TALLY.append(0)
    else:
        TALLY.append(1)


def spread(made: Catalogue, seed: int) -> dict[str, list[Candidate]]:
    """The catalogue's parts with errors of a few sorts, some figures and prices taken away."""
    draw = numpy.random.Generator(numpy.random.PCG64(seed))
    errors = (
        (),
        (Term("rectangular", 2e-4),),
        (Term("normal", 3e-4),),
        (Term("triangular", 1e-4), Term("normal", 1e-4)),
    )
    found: dict[str, list[Candidate]] = {}
    for kind in ROLES:
        found[kind] = []
        small = 0.1 if kind == "pickup_seal" else 1.0
        for each in made.candidates(kind):
            assert each.part is not None
            facts = {}
            for name, value in each.part.facts.items():
                if isinstance(value, Dimension):
                    if draw.random() < 0.04:
                        continue
                    terms = errors[int(draw.integers(4))]
                    scale = small * (0.1 if "groove" in name else 1.0)
                    value = Dimension(value.value, tuple(term.scaled(scale) for term in terms))
                facts[name] = value
            price = None if draw.random() < 0.04 else each.price
            found[kind].append(Candidate(each.part._replace(facts=facts), price))
    return found


@pytest.mark.parametrize("few", [0, 1000])
def test_a_catalogue_with_errors(exact_engine: Build, monkeypatch: pytest.MonkeyPatch, few: int) -> None:
    """Both ways of classing candidates (`_column_axis.FEW`)."""
    monkeypatch.setattr(_column_axis, "FEW", few)
    domains = spread(Catalogue(5, 14, 14, 3, 3), 6)
    search = same(domains, exact_engine, limit=20)
    assert search.counts().unknown > 0


def test_windows_decide_most_and_the_rest_is_asked(exact_engine: Build) -> None:
    """Of 90,000 pairs of uncertain parts few are asked one by one."""
    made = Catalogue(7, 300, 300, 6, 6)
    exact = {kind: Columns.of(made.candidates(kind)) for kind in ROLES}
    wide = (Term("rectangular", 2e-4),)
    depth = exact["pan"].facts["sump_depth"].value
    assert depth is not None
    exact["pan"].facts["sump_depth"] = Column.figures(depth, numpy.zeros(300), [wide])
    search = Factored(exact, exact_engine, USUAL)
    counts = search.counts()
    assert counts.fitting > 0
    assert 0 < search.strips.vague < 90_000
    few = {kind: [Candidate(exact[kind].part(at), None) for at in range(12)] for kind in ("pan", "pickup")}
    several = {
        kind: [Candidate(exact[kind].part(at), None) for at in range(3)] for kind in ("pan_gasket", "pickup_seal")
    }
    same({**few, **several}, exact_engine)


def test_a_search_of_another_shape_is_refused(exact_engine: Build) -> None:
    made = Catalogue(1, 20, 20, 3, 3)
    with pytest.raises(Unranged):
        Factored({"pan": made.columns("pan")}, exact_engine, USUAL)


def test_columns_keep_what_parts_say() -> None:
    made = Catalogue(1, 20, 20, 3, 3)
    for kind in ROLES:
        parts = [each.part for each in made.candidates(kind)]
        again = Columns.of(made.candidates(kind))
        for at, part in enumerate(parts):
            assert part is not None
            assert again.part(at).facts == {name: value for name, value in part.facts.items() if value is not None}
            assert again.part(at).price == part.price
    assert math.isnan(Columns.of([Candidate(part, None)]).price[0])


@pytest.mark.parametrize(
    "roles", [("pan", "pickup"), ("pan", "pan_gasket"), ("pickup", "pickup_seal"), ("radiator", "fan")]
)
@pytest.mark.parametrize("fixed", ["drover-good", "engine", "nothing"])
def test_find_counts_the_same_with_and_without_rows(
    sample: str, monkeypatch: pytest.MonkeyPatch, roles: tuple[str, ...], fixed: str
) -> None:
    """Recorded clashes, figures that follow from others and loose parts among them."""
    monkeypatch.setattr(find, "WORTH", 0)
    counted: list[object] = []
    real = find._counted
    monkeypatch.setattr(find, "_counted", lambda *given: counted.append(real(*given)) or counted[-1])
    named = {"block": "calder-38", "oil_pump": "calder-38-pump", "car": "bench-drover"} if fixed == "engine" else {}
    with Base(sample) as base:
        build = "drover-good" if fixed == "drover-good" else ""
        whole = base.find(roles, build, named, limit=1)
        counts = base.find(roles, build, named, limit=0)
    for name in ("candidates", "total", "fitting", "unknown", "rejected", "apart", "asked"):
        assert getattr(counts, name) == getattr(whole, name), name
    assert not counts.fits + counts.cannot_tell + counts.rejected_by
    assert counted
