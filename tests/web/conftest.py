"""Bases and visitors for the tests of the pages."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.web import small
from tests.web.visiting import House, Visitor

PEOPLE = (("ann", "contributor"), ("bob", "reader"))  # besides sam, the keeper


@pytest.fixture(scope="session")
def small_base(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A base that no test writes to."""
    return small.make(tmp_path_factory.mktemp("small"))


@pytest.fixture(scope="session")
def house(small_base: str) -> Iterator[House]:
    made = House(small_base, writer="sam", people=PEOPLE)
    yield made
    made.close()


@pytest.fixture(scope="session")
def public_house(small_base: str) -> Iterator[House]:
    made = House(small_base, public=True, writer="sam")
    yield made
    made.close()


@pytest.fixture(scope="session")
def signed_in(house: House) -> Visitor:
    """The one who used the sign-in address."""
    return Visitor(house).sign_in()


@pytest.fixture(scope="session")
def by_rank(house: House, signed_in: Visitor) -> dict[str, Visitor]:
    """One of each rank."""
    return {
        "stranger": Visitor(house),
        "reader": Visitor(house).sign_in("bob"),
        "contributor": Visitor(house).sign_in("ann"),
        "keeper": signed_in,
    }


@pytest.fixture
def stranger(house: House) -> Visitor:
    return Visitor(house)


@pytest.fixture
def own_house(small_base: str, tmp_path: Path) -> Iterator[House]:
    """A base of the test's own, to write to."""
    made = House(shutil.copy(small_base, tmp_path / "small.db").as_posix(), writer="sam", people=PEOPLE)
    yield made
    made.close()


@pytest.fixture
def writer(own_house: House) -> Visitor:
    return Visitor(own_house).sign_in()
