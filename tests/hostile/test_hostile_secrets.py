"""What no page and no log may tell: the sign-in address, what signs cookies, where the file lies."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from kb.web.routes import ROUTES
from tests.browser.pages import named
from tests.web import small
from tests.web.test_web_access import NOWHERE, TABLE, TABLES
from tests.web.test_web_serve import running
from tests.web.visiting import House, Visitor

TROUBLE = (
    "/nothing",
    "/base/nothing",
    "/base/pan/nothing",
    "/base?sql=select+1",
    "/base/pan?_where=1",
    "/fit?build=nothing",
    "/base/pan?_sort=nothing",
    "/base/pan.json?_through=x",
    "/-/metadata",
    "/-/settings",
    "/.env",
    "/base.db",
)


def test_no_page_tells_a_secret(tmp_path: Path) -> None:
    folder = tmp_path / "a-folder-of-my-own"
    folder.mkdir()
    house = House(small.make(folder), writer="sam", people=[("ann", "contributor"), ("bob", "reader")])
    try:
        secrets = {
            "path": "a-folder-of-my-own",
            "file": house.path,
            "signing": house.datasette._secret,
            **{name: house.token_of(name) for name in ("sam", "ann", "bob")},
        }
        assert all(len(each) >= 18 for each in secrets.values())
        visitors = [Visitor(house), Visitor(house).sign_in("bob"), Visitor(house).sign_in("sam")]
        pages = [TABLE[named(route.path)].address for route in ROUTES]
        pages += [f"{page.partition('?')[0]}.json" for page in pages]
        pages += [
            *TABLES.values(),
            *(address for address, _ in NOWHERE.values()),
            *TROUBLE,
            "/base/history",
            "/base/meta",
        ]
        for visitor in visitors:
            for page in pages:
                answer = visitor.get(page)
                text = answer.text + str(answer.headers)
                assert not [name for name, secret in secrets.items() if secret in text], page
    finally:
        house.close()


@pytest.mark.parametrize("flags", [(), ("--contributor", "ann", "--private")], ids=["plain", "private"])
def test_no_log_tells_a_secret(flags: tuple[str, ...], tmp_path: Path) -> None:
    with running(small.make(tmp_path), *flags) as server:
        tokens = re.findall(r"token=([\w-]{20,})", server.said)
        assert tokens
        cookies = []
        for token in tokens:
            status, headers, _ = server.ask(f"/sign-in?token={token}")
            assert status == 303
            cookies.append(re.findall(r"ds_actor=([^;]+)", headers["set-cookie"])[0])
        for address in ("/", *TROUBLE):
            for cookie in cookies:
                server.ask(address, more={"Cookie": f"ds_actor={cookie}"})
            server.ask(address, host="evil.example")
        _, out, err = server.stop()
    for secret in (*tokens, *cookies):
        assert secret not in out + err


def test_what_signs_cookies_is_new_with_every_server(tmp_path: Path) -> None:
    path = small.make(tmp_path)
    first, second = House(path, writer="sam"), House(path, writer="sam")
    try:
        assert first.datasette._secret != second.datasette._secret
        assert len(first.datasette._secret) >= 32
        visitor = Visitor(first).sign_in()
        stranger = Visitor(second)
        stranger.cookies = visitor.cookies
        assert stranger.get("/incompatibility/new").status_code == 403
    finally:
        first.close()
        second.close()
