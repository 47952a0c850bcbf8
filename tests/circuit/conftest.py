"""The good build of the sample, loaded once."""

from __future__ import annotations

import pytest

from kb.base import Base
from kb.build import Build


@pytest.fixture(scope="session")
def good(sample: str) -> Build:
    with Base(sample) as base:
        return base.build("drover-good")


@pytest.fixture(scope="session")
def first(sample: str) -> Build:
    """The same build with the first pan."""
    with Base(sample) as base:
        return base.build("drover")
