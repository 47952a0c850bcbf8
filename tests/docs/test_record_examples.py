"""The records that docs/records.md shows are good records."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from kb.reading_files import read_text
from kb.records.models import check

PAGE = (Path(__file__).parents[2] / "docs" / "records.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```yaml\n(.*?)```", PAGE, re.DOTALL)


@pytest.mark.parametrize("block", BLOCKS, ids=[block.partition("\n")[0] for block in BLOCKS])
def test_the_records_of_the_page_are_good(block: str) -> None:
    (given,) = read_text(block, "records.md", "yaml")
    assert check(given).kind == block.partition("\n")[0].removeprefix("kind: ")
