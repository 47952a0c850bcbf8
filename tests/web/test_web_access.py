"""Who may do what where: every address, for a stranger, for who is signed in, and on a public server."""

from __future__ import annotations

import re

import pytest

from kb.web.guard import OPEN_INSIDE
from kb.web.routes import ROUTES, registered
from tests.web.visiting import House, Visitor

# path -> (address, GET by a stranger / signed in / public, POST by the same with a good token and an empty form)
CLOSED = (403, 403, 403)
TABLE: dict[str, tuple[str, tuple[int, int, int], tuple[int, int, int]]] = {
    "/": ("/", (200, 200, 200), CLOSED),
    "/fit": ("/fit", (200, 200, 200), CLOSED),
    "/find": ("/find?role=pan&build=drover", (200, 200, 200), CLOSED),
    "/part": ("/part", (200, 200, 200), CLOSED),
    "/part/ID": ("/part/deep-pan", (200, 200, 200), CLOSED),
    "/incompatibility": ("/incompatibility", (200, 200, 200), CLOSED),
    "/incompatibility/new": ("/incompatibility/new", (403, 200, 403), (403, 400, 403)),
    "/incompatibility/ID": ("/incompatibility/hostile-clash", (200, 200, 200), CLOSED),
    "/incompatibility/ID/review": ("/incompatibility/hostile-clash/review", (303, 303, 303), (403, 400, 403)),
    "/audit": ("/audit", (200, 200, 200), CLOSED),
    "/build/ID": ("/build/drover", (200, 200, 200), CLOSED),
    "/build/ID/tick": ("/build/drover/tick", (303, 303, 303), (403, 400, 403)),
    "/build/ID/fill": ("/build/drover/fill", (303, 303, 303), (403, 400, 403)),
    "/build/ID/reading": ("/build/drover/reading", (303, 303, 303), (403, 400, 403)),
    "/photo/ID": (f"/photo/{'0' * 64}.jpg", (404, 404, 404), CLOSED),  # the base of these tests keeps no picture
    "/build/ID/readings": ("/build/drover/readings", (200, 200, 200), (403, 400, 403)),
    "/build/ID/measure": ("/build/drover/measure", (200, 200, 200), (403, 400, 403)),
    "/build/ID/measure/sheet": ("/build/drover/measure/sheet", (200, 200, 200), CLOSED),
    "/build/ID/trace": ("/build/drover/trace?symptom=oil-prime", (200, 200, 200), CLOSED),
    "/build/ID/plan": ("/build/drover/plan", (200, 200, 200), (403, 400, 403)),
    "/build/ID/buy": ("/build/drover/buy", (200, 200, 200), CLOSED),
    "/build/ID/circuits": ("/build/drover/circuits", (200, 200, 200), CLOSED),
    "/build/ID/sheet": ("/build/drover/sheet", (200, 200, 200), CLOSED),
    "/build/ID/compare": ("/build/drover/compare?b=hostile", (303, 303, 303), CLOSED),
    "/compare": ("/compare", (200, 200, 200), CLOSED),
    "/rule": ("/rule", (200, 200, 200), CLOSED),
    "/rule/ID": ("/rule/pickup-floor-gap", (200, 200, 200), CLOSED),
    "/search": ("/search?q=pan", (200, 200, 200), CLOSED),
    "/sign-in": ("/sign-in?token=wrong", (403, 303, 403), CLOSED),
    "/sign-out": ("/sign-out", (303, 303, 303), (403, 303, 403)),
}
# Datasette's own addresses that stay open: tables and rows, read-only.
TABLES = {
    "/(\\.(?P<format>jsono?))?$": "/.json",
    "/(?P<database>[^\\/\\.]+)(\\.(?P<format>\\w+))?$": "/base",
    "/(?P<database>[^\\/\\.]+)/(?P<table>[^\\/\\.]+)(\\.(?P<format>\\w+))?$": "/base/pan",
    "/(?P<database>[^\\/\\.]+)/(?P<table>[^/]+?)/(?P<pks>[^/]+?)(\\.(?P<format>\\w+))?$": "/base/pan/deep-pan",
}
# ... and those that lead nowhere: pattern -> (address, status).
NOWHERE = {
    "/favicon.ico": ("/favicon.ico", 302),  # ours goes before it
    "/:memory:(?P<rest>.*)$": ("/:memory:", 301),
    "/(?P<database>[^\\/\\.]+)\\.db$": ("/base.db", 403),
}


def named(path: str) -> str:
    return re.sub(r"\(\?P<id>[^)]*\)", "ID", path)


def test_every_address_of_ours_is_classified() -> None:
    assert {named(route.path) for route in ROUTES} == set(TABLE)


@pytest.mark.parametrize("name", TABLE)
@pytest.mark.parametrize("column", [0, 1, 2], ids=["stranger", "signed in", "public"])
def test_reading(name: str, column: int, house: House, public_house: House, signed_in: Visitor) -> None:
    address, reading, _ = TABLE[name]
    visitor = (Visitor(house), signed_in, Visitor(public_house))[column]
    assert visitor.get(address).status_code == reading[column]
    if next(route for route in ROUTES if named(route.path) == name).twin:
        path, _, query = address.partition("?")
        response = visitor.get(f"{path}.json?{query}")
        assert response.status_code == reading[column]
        assert response.headers["content-type"].startswith("application/json")
        assert response.json() is not None


@pytest.mark.parametrize("name", TABLE)
@pytest.mark.parametrize("column", [0, 1, 2], ids=["stranger", "signed in", "public"])
def test_writing(name: str, column: int, own_house: House, public_house: House) -> None:
    address, _, writing = TABLE[name]
    visitor = Visitor(public_house if column == 2 else own_house)
    if column == 1:
        visitor.sign_in()
    assert visitor.post(address, {}).status_code == writing[column]


def test_every_address_of_the_host_is_classified(house: House) -> None:
    ours = {pattern for pattern, _ in registered()}
    left = [pattern.pattern for pattern, _ in house.datasette._routes() if pattern.pattern not in ours]
    inside = [pattern for pattern in left if pattern.startswith("/-/")]
    assert len(inside) > 10  # a guard against a change of the host that would make this test empty
    assert set(left) - set(inside) == {*TABLES, *NOWHERE}


def test_the_pages_of_the_host_about_itself_are_closed(house: House, signed_in: Visitor) -> None:
    for pattern, _ in house.datasette._routes():
        if pattern.pattern.startswith("/-/") and "matchmark" not in pattern.pattern:
            address = re.sub(r"\(.*?\)\??\$?|\$$|\(\?P<path>.*", "", pattern.pattern).rstrip("$") or "/-/"
            assert signed_in.get(address).status_code == 404, pattern.pattern
            assert not OPEN_INSIDE.match(address)
    for address in ("/-/plugins.json", "/-/databases.json", "/-/auth-token?token=x", "/-/static/app.css", "/-/logout"):
        assert signed_in.get(address).status_code == 404


@pytest.mark.parametrize("address", TABLES.values())
def test_tables_and_rows_are_open_and_read_only(address: str, stranger: Visitor, writer: Visitor) -> None:
    assert stranger.get(address).status_code == 200
    assert stranger.post(address, {}).status_code in (403, 405)
    assert writer.post(address, {}).status_code == 405 or address == "/.json"


@pytest.mark.parametrize("address", NOWHERE.values(), ids=str)
def test_what_leads_nowhere(address: tuple[str, int], signed_in: Visitor) -> None:
    assert signed_in.get(address[0]).status_code == address[1]


@pytest.mark.parametrize(
    ("address", "due"),
    [
        ("/base?sql=select+1", 403),
        ("/base.json?sql=select+1", 403),
        ("/base?sql=select+zeroblob(900000000)", 403),
        ("/base/pan?_where=1=1", 403),
        ("/base/pan.json?_where=1=1", 403),
        ("/_internal", 404),
        ("/_internal/databases", 404),
        ("/_memory", 404),
        ("/_memory?sql=select+1", 404),
        ("/base/nothing", 404),
        ("/base/pan/nothing", 404),
        ("/nothing/at/all/here", 404),
        ("/part/nothing", 404),
        ("/part/nothing.json", 404),
        ("/rule/nothing", 404),
        ("/incompatibility/nothing", 404),
        ("/part/%3Cscript%3E", 404),
    ],
)
def test_what_nobody_gets(address: str, due: int, signed_in: Visitor) -> None:
    response = signed_in.get(address)
    assert response.status_code == due
    assert "Traceback" not in response.text
    assert "<script>" not in response.text


def test_a_user_called_root_gets_no_more(small_base: str) -> None:
    house = House(small_base, writer="root")
    try:
        visitor = Visitor(house).sign_in()
        assert visitor.get("/-/permissions").status_code == 404
        assert visitor.get("/_internal").status_code == 404
        assert visitor.get("/base?sql=select+1").status_code == 403
        assert house.wait_for(
            house.datasette.permission_allowed({"id": "root"}, "view-database", "_internal", default=True)
        ) is False  # fmt: skip
    finally:
        house.close()


def test_view_instance_is_asked_everywhere(small_base: str) -> None:
    house = House(small_base, writer="sam", metadata={"allow": {"id": "sam"}})
    try:
        stranger = Visitor(house)
        for name, (address, _, _) in TABLE.items():
            if name != "/sign-in":
                assert stranger.get(address).status_code == 403, name
        for address in ("/base", "/base/pan", "/base/pan/deep-pan", "/fit.json?pan=deep-pan"):
            assert stranger.get(address).status_code == 403, address
    finally:
        house.close()
