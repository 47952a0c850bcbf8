"""What a part mates with: the same verdicts as the check of the pair, and nothing that concerns one of them alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from kb.base import Base
from kb.errors import UnknownName
from kb.mating import Neighbour
from kb.store.write import write_record
from tests.web import small


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> str:
    return small.make(tmp_path_factory.mktemp("mating"))


def of(neighbours: tuple[Neighbour, ...], role: str) -> Neighbour:
    return next(each for each in neighbours if each.role == role)


def verdicts(neighbour: Neighbour) -> dict[str, str]:
    return {each.part.id: each.verdict for each in neighbour.mates}


def test_beside_a_build_its_gasket_stands_in(path: str) -> None:
    with Base(path) as base:
        found = of(base.mates("deep-pan", "drover"), "pickup")
    # 190 + 2 - 184 = 8 mm of gap lies inside the limits, 190 + 2 - 191.8 = 0.2 mm outside (hand sums of
    # tests/web/small.py); the other questions between pan and pickup lack values, so the short tube cannot be told.
    assert found.beside == {"pan_gasket": "thin-gasket"}
    assert verdicts(found)["long-tube"] == "does not fit"
    assert verdicts(found)["short-tube"] == "cannot tell"
    assert next(each for each in found.mates if each.part.id == "long-tube").because == ("pickup-floor-gap",)


def test_alone_a_pair_that_needs_a_third_part_is_not_judged(path: str) -> None:
    with Base(path) as base:
        found = of(base.mates("deep-pan"), "pickup")
    assert set(verdicts(found).values()) == {""}
    assert ("pickup-floor-gap", ("pan_gasket",)) in found.waiting
    assert not found.beside


def test_what_the_build_has_comes_first(path: str) -> None:
    with Base(path) as base:
        found = of(base.mates("short-tube", "drover"), "pan")
    assert found.mates[0].part.id == "my-pan"
    assert [each.now for each in found.mates].count(True) == 1
    assert found.recorded == 4  # pans in tests/web/small.py
    assert len(found.mates) == 4


def test_every_verdict_is_that_of_the_check(path: str) -> None:
    """What decides a pair is just what the check of the same parts says of the rules that read both."""
    with Base(path) as base:
        for neighbour in base.mates("deep-pan", "drover"):
            for mate in neighbour.mates:
                roles = {neighbour.own: "deep-pan", neighbour.role: mate.part.id, **neighbour.beside}
                said = {
                    each.rule.id: each.verdict
                    for each in base.check("", roles).findings
                    if {neighbour.own, neighbour.role} <= {*each.rule.roles, *each.rule.optional_roles}
                }
                worst = [word for word in ("does not fit", "cannot tell", "fits") if word in said.values()]
                assert mate.verdict == (worst[0] if worst else "")
                assert set(mate.because) == {rule for rule, word in said.items() if word == worst[0] != "fits"}


def test_a_recorded_clash_decides(path: str, tmp_path: Path) -> None:
    own = small.make(tmp_path)
    clash = {
        "kind": "incompatibility", "id": "rubs", "title": "Foot rubs", "symptom": "rubs", "found": "bench",
        "parties": [{"role": "pan", "part": "deep-pan"}, {"role": "pickup", "part": "short-tube"}],
        "evidence": [{"text": "seen"}], "harm": ["wears"], "milestone": "drive", "by": "E. Marsh",
    }  # fmt: skip
    write_record(own, clash, by="tests", origin="tests")
    with Base(own) as base:
        for part in ("deep-pan", "my-pan"):  # who is based on a named part is named too
            found = of(base.mates(part), "pickup")
            mate = next(each for each in found.mates if each.part.id == "short-tube")
            assert (mate.verdict, mate.because) == ("does not fit", ())
            assert [each.id for each in mate.clashes] == ["rubs"]


def test_no_time_leaves_the_costly_rules_to_the_check(path: str) -> None:
    from kb.mating import _UNCOMPUTED, _mate
    from kb.rules import load_rules
    from kb.search import tables

    rules = load_rules()
    with Base(path) as base:
        part = base.part("deep-pan")
    late = [(rules["pickup-floor-gap"], tables.FITS), (rules["rail-sealing"], _UNCOMPUTED)]
    assert _mate(late, part, False)[1:] == ("cannot tell", (), (), ("rail-sealing",), False)
    said_no = [(rules["pickup-floor-gap"], tables.NOT), (rules["rail-sealing"], _UNCOMPUTED)]
    assert _mate(said_no, part, False).verdict == "does not fit"


def test_names_that_are_none(path: str) -> None:
    with Base(path) as base:
        with pytest.raises(UnknownName):
            base.mates("no-such-part")
        with pytest.raises(UnknownName):
            base.mates("deep-pan", "no-such-build")
