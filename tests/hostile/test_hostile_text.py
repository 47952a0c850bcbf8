"""A hostile text in every text field of every kind of record: on no page, file or terminal is it more than a text."""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from html.parser import HTMLParser
from pathlib import Path

import pytest

from kb.records import KINDS
from kb.records.models import record_kinds
from kb.store.dump import content_hash
from kb.store.load import init, load
from kb.web.routes import ROUTES
from tests.browser.pages import named
from tests.cli.running import Ran
from tests.hostile.hostile_records import every
from tests.hostile.words import SCRIPT
from tests.web.test_web_access import TABLE
from tests.web.visiting import House, Visitor

IDS = {
    "drover": "hostile",
    "deep-pan": "hostile-pan",
    "my-pan": "hostile-pan",
    "hostile-clash": "hostile-clash",
}
MORE = (
    "/fit?build=hostile",
    "/fit?build=hostile&pan.sump_depth=<script>alert(1)</script>",
    "/here?build=hostile&role=pan",
    "/part?kind=pan",
    "/part?q=<script>",
    "/search?q=script",
    "/search?q=<script>alert(1)</script>",
    "/compare?a=hostile-few&b=hostile",
    "/part/hostile-pan/measure?where=sump_depth",
    "/incompatibility?harm=leaks&q=<script>",
    "/build/hostile/trace",
    "/build/hostile/circuits?circuit=<script>",
    "/build/<script>alert(1)</script>",
    "/sign-in?token=<script>alert(1)</script>",
    "/base/pan?_search=<script>alert(1)</script>",
    "/base/part?name=<script>alert(1)</script>&_facet=maker&_facet=name",
    "/base/pan?_sort=<script>alert(1)</script>",
    "/base/<script>alert(1)</script>",
    "/base/pan/<script>alert(1)</script>",
    "/base/part?_size=max",
    "/base/history?_facet=by",
    "/<script>alert(1)</script>",
)


class Live(HTMLParser):
    """What a browser would run or fetch because of a page, and the page's words."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.words = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            address = (value or "").strip().lower().removeprefix("http://127.0.0.1:8640")
            if name.startswith("on") or name in ("style", "srcdoc", "background", "formaction"):
                self.found.append(f"{tag} {name}")
            if name in ("href", "src", "action", "xlink:href") and not re.match(
                r"/(?!/)|#|\?|$|\.{0,2}/|[a-z0-9_~.-]*(\?|$)", address
            ):
                self.found.append(f"{tag} {name}={address[:80]}")
        given = dict(attrs)
        if tag in ("iframe", "object", "embed", "base", "style", "foreignobject", "animate", "set") or (
            tag == "script" and not (given.get("src") or "").startswith("/-/matchmark/")
        ):
            self.found.append(tag)
        if tag == "img" and given.get("src") == "x":
            self.found.append("img of the hostile text")

    def handle_data(self, data: str) -> None:
        self.words += data


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("hostile")
    (folder / "all.json").write_text(json.dumps(every()), encoding="utf-8")
    init(folder / "base.db")
    load(folder / "base.db", [folder / "all.json"], by=SCRIPT)
    return str(folder / "base.db")


@pytest.fixture(scope="module")
def house(path: str) -> Iterator[House]:
    made = House(path, writer="sam")
    yield made
    made.close()


@pytest.fixture(scope="module")
def keeper(house: House) -> Visitor:
    return Visitor(house).sign_in()


def addresses() -> list[str]:
    """Every page of ours, for the hostile records."""
    found = []
    for route in ROUTES:
        address = TABLE[named(route.path)].address
        for id, hostile in IDS.items():
            address = re.sub(rf"(?<![\w-]){id}(?![\w-])", hostile, address)
        # What a measurement would settle is worked out for each figure: of a build in which all are open, for long.
        address = re.sub("hostile(?=/(measure|buy|plan))", "hostile-few", address)
        found.append(address)
        if route.twin:
            before, _, query = address.partition("?")
            found.append(f"{before}.json?{query}")
    return [address for address in found if not address.startswith("/sign-in")]


def tables(path: str) -> list[str]:
    with closing(sqlite3.connect(path)) as con:
        names = [
            row[0]
            for row in con.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'")
        ]
    return [name for name in names if "fts" not in name]


def test_there_is_a_hostile_record_of_every_kind(path: str) -> None:
    assert {record["kind"] for record in every()} == set(record_kinds())
    with closing(sqlite3.connect(path)) as con:
        for kind in KINDS:
            ((name,),) = con.execute("SELECT name FROM part WHERE kind = ?", [kind]).fetchall()
            assert SCRIPT in name


@pytest.mark.parametrize("address", [*addresses(), *MORE])
def test_no_page_runs_it(address: str, keeper: Visitor) -> None:
    answer = keeper.get(address)
    assert answer.status_code in (200, 303, 302, 400, 404), answer.text[:300]
    assert answer.headers["x-content-type-options"] == "nosniff"
    if answer.headers.get("content-type", "").startswith("text/html"):
        live = Live(answer.text)
        assert not live.found
        assert "{49}" not in live.words
    else:
        assert "html" not in answer.headers.get("content-type", "")


def test_no_table_runs_it(path: str, keeper: Visitor) -> None:
    assert len(tables(path)) > 90
    for table in tables(path):
        answer = keeper.get(f"/base/{table}")
        assert answer.status_code == 200, table
        assert not Live(answer.text).found, table
    for kind in record_kinds():
        table = "part" if kind in KINDS else kind
        id = (
            "rail_pattern~2Fhostile" if kind == "term" else next(each["id"] for each in every() if each["kind"] == kind)
        )
        for each in {table, kind}:
            answer = keeper.get(f"/base/{each}/{id}")
            assert answer.status_code == 200, (each, id)
            assert not Live(answer.text).found, (each, id)
    for end in ("csv", "json"):
        assert "html" not in keeper.get(f"/base/part.{end}").headers["content-type"]


def test_the_texts_are_there(keeper: Visitor) -> None:
    """A guard: a page that leaves them out would show nothing live either."""
    for address in (
        "/part/hostile-pan",
        "/part/hostile-crank",
        "/incompatibility/hostile-clash",
        "/build/hostile",
        "/base/donor",
    ):
        words = Live(keeper.get(address).text).words
        assert SCRIPT in words, address
        assert "onerror=alert(2)" in words, address
    assert "{{7*7}}" in Live(keeper.get("/part/hostile-pan").text).words


def test_looking_changes_nothing(path: str, keeper: Visitor) -> None:
    """No text became SQL: after them every table holds what it held."""
    before = content_hash(path)
    for address in MORE:
        keeper.get(address)
    assert content_hash(path) == before


@pytest.mark.parametrize(
    ("words", "file"),
    [(("sheet", "hostile", "--out"), "sheet.html"), (("measure", "hostile-few", "--sheet"), "measure.html")],
)
def test_no_printed_sheet_runs_it(
    words: tuple[str, ...], file: str, path: str, run: Callable[..., Ran], tmp_path: Path
) -> None:
    run(*words, str(tmp_path / file), "--db", path)
    text = (tmp_path / file).read_text(encoding="utf-8")
    found = [
        each for each in Live(text).found if each not in ("style", "meta")
    ]  # a file by itself carries its own style
    assert not found
    assert SCRIPT in Live(text).words


@pytest.mark.parametrize(
    "words",
    [
        ("check", "hostile", "--full"),
        ("check", "hostile", "--json"),
        ("ready", "hostile"),
        ("measure", "hostile-few"),
        ("find", "pan", "hostile"),
        ("buy", "hostile-few"),
        ("incompat", "list"),
        ("incompat", "show", "hostile-clash"),
        ("audit",),
        ("circuits", "hostile"),
        ("readings", "hostile"),
        ("trace", "hostile", "--symptom", "oil-prime"),
        ("compare", "hostile-few", "hostile-few"),
        ("blank", "pan"),
    ],
    ids=" ".join,
)
def test_the_command_line_prints_it_as_text(words: tuple[str, ...], path: str, run: Callable[..., Ran]) -> None:
    ran = run(*words, "--db", path)
    assert ran.status in (0, 1, 2, 3)
    assert "\x1b" not in ran.out + ran.err
    if "--json" in words:
        assert json.loads(ran.out)


def test_what_went_in_comes_out(path: str, tmp_path: Path) -> None:
    from kb.store.dump import dump

    for form in ("yaml", "json"):
        dump(path, tmp_path / form, form=form)
        init(tmp_path / f"{form}.db")
        load(tmp_path / f"{form}.db", [tmp_path / form], by="tests")
        assert content_hash(tmp_path / f"{form}.db") == content_hash(path)
