"""`matchmark buy`."""

from __future__ import annotations

import json

from tests.cli.running import process


def test_the_list_of_the_sample_on_a_phone(sample: str) -> None:
    done = process("buy", "farm-33", "--db", sample, "--phone")
    assert done.status == 0
    assert max(map(len, done.out.splitlines())) <= 40
    assert "From the breaker's yard" in done.out
    assert "price not known" in " ".join(done.out.split())


def test_the_list_as_data_and_up_to_a_milestone(sample: str) -> None:
    drive = json.loads(process("buy", "farm-33", "--db", sample, "--json").out)
    prime = json.loads(process("buy", "farm-33", "--db", sample, "--json", "--for", "prime").out)
    assert {each["role"] for each in prime["items"]} < {each["role"] for each in drive["items"]}


def test_a_misspelt_build_is_told(sample: str) -> None:
    done = process("buy", "farm-3", "--db", sample)
    assert (done.status, "did you mean farm-33" in done.step) == (2, True)
