"""A small base that each test may hurt."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.web import small


@pytest.fixture
def base(tmp_path: Path) -> str:
    return small.make(tmp_path)
