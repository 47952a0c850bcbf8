"""Files, texts and questions that would take all memory or time there is, if they were taken as they come."""

from __future__ import annotations

import gzip
import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from kb.reading_files import MAX_FAULTS
from tests.cli.running import TOP, environment
from tests.hostile.bombs import BOMBS
from tests.hostile.campaign import HANG, MOST_MEMORY
from tests.hostile.hostile_records import part
from tests.hostile.long import LONG
from tests.web import small
from tests.web.visiting import House, Visitor

# Those that once took a gigabyte, one of each form; the long form of the tests tries all.
QUICK = ("yaml lists", "json twice", "json records", "load one record", "csv titles", "csv short rows")


@pytest.mark.parametrize("name", BOMBS if LONG else QUICK)
def test_a_file_takes_little_whatever_it_holds(name: str) -> None:
    words = [sys.executable, "-m", "tests.hostile.bombs", name]
    done = subprocess.run(words, capture_output=True, text=True, cwd=TOP, env=environment(), check=True, timeout=120)
    told = json.loads(done.stdout)
    assert told["said"], "it was accepted"
    assert "next: " in told["said"]
    assert told["memory"] < MOST_MEMORY
    assert told["seconds"] < HANG
    assert told["length"] < 400 * (MAX_FAULTS + 1)


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    made = House(small.make(tmp_path_factory.mktemp("bombs")), writer="sam")
    yield made
    made.close()


@pytest.fixture(scope="module")
def visitor(house: House) -> Visitor:
    found = Visitor(house).sign_in()
    found.get("/incompatibility/new")
    return found


@pytest.mark.parametrize("sort", ["gzip", "deflate", "br"])
def test_a_packed_form_is_not_unpacked(sort: str, house: House, visitor: Visitor) -> None:
    """A few hundred bytes could be gigabytes: what says that it is packed is read as it stands, and has no token."""
    before = house.stamp()
    headers = {"content-type": "application/x-www-form-urlencoded", "content-encoding": sort}
    answer = visitor.ask(
        "POST", "/incompatibility/new", headers=headers, content=gzip.compress(b"title=" + b"x" * 10_000_000)
    )
    assert answer.status_code in (400, 403)
    assert house.stamp() == before


@pytest.mark.parametrize(
    "address",
    [
        "/search?q=" + "a* OR " * 1500,
        "/search?q=" + '"' * 4000,
        "/part?q=" + "%25" * 5000,
        "/fit?" + "&".join(f"pan.f{number}=1" for number in range(490)),
        "/fit?build=drover&" + "&".join(f"limit=pickup-floor-gap.least={number} mm" for number in range(400)),
        "/find?role=pan&build=drover&" + "&".join("and=pickup" for _ in range(400)),
        "/compare?a=drover&b=" + "x" * 20_000,
        "/base/pan?_search=" + "a*+" * 3000,
        "/base/pan?" + "&".join(f"id__contains={number}" for number in range(2000)),
        "/base/pan?" + "&".join("_sort=id" for _ in range(2000)),
        "/base/pan?id__glob=" + "*a" * 150,
        "/base/history?_facet=before&_facet=after&_facet_array=after&_facet_date=at",
        "/base/pan?_size=max&_shape=array&_nl=on",
    ],
    ids=lambda address: address[:30],
)
def test_a_question_beyond_all_bounds_is_answered_or_refused(address: str, house: House) -> None:
    for end in ("", ".json"):
        path, _, query = address.partition("?")
        answer = Visitor(house).get(f"{path}{end}?{query}")
        assert answer.status_code in (200, 302, 400, 404)
        assert "Traceback" not in answer.text
        assert len(answer.content) < 5_000_000


def test_the_largest_record_of_texts_has_a_page(tmp_path: Path) -> None:
    from kb.store.load import init
    from kb.store.write import write_record

    path = str(tmp_path / "large.db")
    init(path)
    record = {
        **part("pan"),
        "notes": "x" * 20_000,
        "sump_depth": [{"value": "190 mm", "how": "listing", "note": "y" * 20_000}] * 100,
    }
    record = {name: value for name, value in record.items() if name in ("kind", "id", "name", "notes", "sump_depth")}
    write_record(path, record, by="tests", origin="tests")
    house = House(path, writer="sam")
    try:
        answer = Visitor(house).get("/part/hostile-pan")
        assert answer.status_code == 200
        assert len(answer.content) < 5_000_000
    finally:
        house.close()
