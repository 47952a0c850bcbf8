"""Who may do what where: every address, for each rank and on a public server."""

from __future__ import annotations

import re
from typing import NamedTuple

import pytest

from kb.web.asking import RANKS
from kb.web.guard import OPEN_INSIDE
from kb.web.routes import ROUTES, registered
from tests.web.visiting import House, Visitor

ANYBODY, READER, CONTRIBUTOR, KEEPER, NOBODY = *RANKS, "nobody"
VISITORS = {"stranger": ANYBODY, "reader": READER, "contributor": CONTRIBUTOR, "keeper": KEEPER, "public": ANYBODY}


class Due(NamedTuple):
    """Whoever has the rank `reads` gets the page with `status`, whoever has `writes` may send its form.

    empty: what an empty form with a good token gives then. Everybody else is refused (403).
    """

    address: str
    status: int
    reads: str
    writes: str = NOBODY
    empty: int = 0


def allowed(visitor: str, least: str) -> bool:
    order = (*RANKS, NOBODY)
    return order.index(VISITORS[visitor]) >= order.index(least)


TABLE = {
    "/": Due("/", 200, ANYBODY),
    "/fit": Due("/fit", 200, ANYBODY),
    "/find": Due("/find?role=pan&build=drover", 200, ANYBODY),
    "/here": Due("/here?build=drover&role=pan&part=my-pan", 200, ANYBODY, CONTRIBUTOR, 400),
    "/part": Due("/part", 200, ANYBODY),
    "/part/ID": Due("/part/deep-pan", 200, ANYBODY),
    "/part/ID/measure": Due("/part/deep-pan/measure", 200, CONTRIBUTOR, CONTRIBUTOR, 400),
    "/incompatibility": Due("/incompatibility", 200, ANYBODY),
    "/incompatibility/new": Due("/incompatibility/new", 200, CONTRIBUTOR, CONTRIBUTOR, 400),
    "/incompatibility/ID": Due("/incompatibility/hostile-clash", 200, ANYBODY),
    "/incompatibility/ID/review": Due("/incompatibility/hostile-clash/review", 303, ANYBODY, KEEPER, 400),
    "/audit": Due("/audit", 200, ANYBODY),
    "/build/ID": Due("/build/drover", 200, ANYBODY),
    "/build/ID/tick": Due("/build/drover/tick", 303, ANYBODY, CONTRIBUTOR, 400),
    "/build/ID/fill": Due("/build/drover/fill", 303, ANYBODY, CONTRIBUTOR, 400),
    "/build/ID/reading": Due("/build/drover/reading", 303, ANYBODY, CONTRIBUTOR, 400),
    "/photo/ID": Due(f"/photo/{'0' * 64}.jpg", 404, ANYBODY),  # the base of these tests keeps no picture
    "/build/ID/readings": Due("/build/drover/readings", 200, ANYBODY, CONTRIBUTOR, 400),
    "/build/ID/measure": Due("/build/drover/measure", 200, ANYBODY, CONTRIBUTOR, 400),
    "/build/ID/measure/sheet": Due("/build/drover/measure/sheet", 200, ANYBODY),
    "/build/ID/trace": Due("/build/drover/trace?symptom=oil-prime", 200, ANYBODY),
    "/build/ID/plan": Due("/build/drover/plan", 200, ANYBODY, CONTRIBUTOR, 400),
    "/build/ID/buy": Due("/build/drover/buy", 200, ANYBODY),
    "/build/ID/circuits": Due("/build/drover/circuits", 200, ANYBODY),
    "/build/ID/sheet": Due("/build/drover/sheet", 200, ANYBODY),
    "/build/ID/compare": Due("/build/drover/compare?b=hostile", 303, ANYBODY),
    "/compare": Due("/compare", 200, ANYBODY),
    "/rule": Due("/rule", 200, ANYBODY),
    "/rule/ID": Due("/rule/pickup-floor-gap", 200, ANYBODY),
    "/search": Due("/search?q=pan", 200, ANYBODY),
    "/sign-in": Due("/sign-in?token=wrong", 303, READER),
    "/sign-out": Due("/sign-out", 303, ANYBODY, READER, 303),
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


@pytest.mark.parametrize("visitor", VISITORS)
@pytest.mark.parametrize("name", TABLE)
def test_reading(name: str, visitor: str, by_rank: dict[str, Visitor], public_house: House) -> None:
    due = TABLE[name]
    status = due.status if allowed(visitor, due.reads) else 403
    who = Visitor(public_house) if visitor == "public" else by_rank[visitor]
    assert who.get(due.address).status_code == status
    if next(route for route in ROUTES if named(route.path) == name).twin:
        path, _, query = due.address.partition("?")
        response = who.get(f"{path}.json?{query}")
        assert response.status_code == status
        assert response.headers["content-type"].startswith("application/json")
        assert response.json() is not None


@pytest.mark.parametrize("visitor", VISITORS)
@pytest.mark.parametrize("name", [name for name in TABLE if name != "/sign-out"])
def test_writing(name: str, visitor: str, by_rank: dict[str, Visitor], public_house: House) -> None:
    due = TABLE[name]
    status = due.empty if allowed(visitor, due.writes) else 403
    who = Visitor(public_house) if visitor == "public" else by_rank[visitor]
    assert who.post(due.address, {}).status_code == status


@pytest.mark.parametrize("name", ["bob", "ann", "sam"])
def test_signing_out_is_for_who_is_signed_in(name: str, own_house: House) -> None:
    assert Visitor(own_house).post("/sign-out", {}).status_code == 403
    visitor = Visitor(own_house).sign_in(name)
    assert visitor.post("/sign-out", {}).status_code == TABLE["/sign-out"].empty
    assert visitor.post("/sign-out", {}).status_code == 403


WRONG = {  # path -> a form that replaces what others wrote down: a keeper's, the rest of each is good
    "/build/drover/reading": {"where": "pan.sump_depth", "value": "190 mm", "supersedes": "yes"},
    "/build/drover/measure": {"where": "pan.sump_depth", "value": "190 mm", "tool": "depth-gauge", "old": "yes"},
    "/incompatibility/hostile-clash/review": {"status": "confirmed", "reason": "I saw it"},
    "/part/deep-pan/measure": {"where": "sump_depth", "value": "190 mm", "tool": "depth-gauge", "supersedes": "yes"},
    "/here?build=drover&role=pan&part=my-pan": {
        "where": "pan.sump_depth", "value": "190 mm", "tool": "depth-gauge", "old": "yes",
        "build": "drover", "role": "pan", "part": "my-pan",
    },
}  # fmt: skip


@pytest.mark.parametrize("address", WRONG)
def test_only_a_keeper_judges_and_replaces(address: str, own_house: House) -> None:
    contributor = Visitor(own_house).sign_in("ann")
    before = own_house.stamp()
    response = contributor.post(address, WRONG[address])
    assert response.status_code == 403
    assert "only a keeper" in response.text
    assert own_house.stamp() == before
    keeper = Visitor(own_house).sign_in("sam")
    assert keeper.post(address, WRONG[address]).status_code in (200, 303)
    assert own_house.stamp() > before


def test_a_contributor_adds_under_the_own_name(own_house: House) -> None:
    contributor = Visitor(own_house).sign_in("ann")
    form = {"where": "pan.sump_depth", "value": "190 mm", "tool": "depth-gauge"}
    assert contributor.post("/build/drover/reading", form).status_code == 303
    history = contributor.get("/base/history.json?_shape=array&_sort_desc=id&_size=1").json()
    assert history[0]["by"] == "ann"


def test_forms_stand_where_they_may_be_sent(by_rank: dict[str, Visitor]) -> None:
    for name, address, least in (
        ("/review", "/incompatibility/hostile-clash", KEEPER),
        ("/fill", "/build/drover", CONTRIBUTOR),
        ("/incompatibility/new", "/incompatibility", CONTRIBUTOR),
        ("/sign-out", "/", READER),
    ):
        for rank, visitor in by_rank.items():
            found = f'{name}"' in visitor.get(address).text
            assert found == allowed(rank, least), (name, rank)


# -- a private server ----------------------------------------------------------------------------------------------


def test_on_a_private_server_a_stranger_sees_nothing(small_base: str) -> None:
    house = House(small_base, writer="sam", people=[("bob", "reader")], private=True)
    try:
        stranger = Visitor(house)
        others = [*TABLES.values(), "/nothing", "/base/pan.csv", "/fit.json", "/base?sql=select+1"]
        for address in [*(due.address for due in TABLE.values()), *others]:
            response = stranger.get(address)
            assert response.status_code == 403, address
            assert "drover" not in response.text.lower(), address
            assert "sump" not in response.text, address
        assert stranger.get("/-/matchmark/style.css").status_code == 200
        reader = Visitor(house).sign_in("bob")
        assert reader.get("/build/drover").status_code == 200
        assert reader.get("/base/pan").status_code == 200
        assert stranger.get("/build/drover").status_code == 403
    finally:
        house.close()


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
        for name, due in TABLE.items():
            if name != "/sign-in":
                assert stranger.get(due.address).status_code == 403, name
        for address in ("/base", "/base/pan", "/base/pan/deep-pan", "/fit.json?pan=deep-pan"):
            assert stranger.get(address).status_code == 403, address
    finally:
        house.close()
