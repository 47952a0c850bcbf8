"""The guard: Host check, headers, sizes, forged forms, sign-in."""

from __future__ import annotations

import pytest

from kb.web import guard
from kb.web.asking import OneUse, Site
from kb.web.guard import LARGEST_BODY, MOST_FACETS, host_is_ours
from tests.web.visiting import House, Read, Visitor
from tests.web.wire import Sent, cookies_of, sent

HERE = Site("", "base", hosts=frozenset({"127.0.0.1", "localhost", "[::1]"}))


@pytest.mark.parametrize("header", ["127.0.0.1", "127.0.0.1:8640", "localhost:1", "[::1]:8640", "[::1]"])
def test_our_own_names_pass(header: str) -> None:
    assert host_is_ours(header, HERE)


@pytest.mark.parametrize(
    "header",
    ["evil.example", "localhost.evil.example", "127.0.0.1.evil.example:8640", "", "192.168.1.5:8640", "evil@localhost",
     "localhost:", "localhost:port", "localhost:8640:1"],
)  # fmt: skip
def test_other_names_do_not(header: str) -> None:
    assert not host_is_ours(header, HERE)


def test_a_server_open_to_the_network_takes_addresses_but_no_other_names() -> None:
    site = HERE._replace(any_address=True)
    assert host_is_ours("192.168.1.5:8640", site)
    assert host_is_ours("[fe80::1]:8640", site)
    assert not host_is_ours("evil.example:8640", site)
    assert not host_is_ours("1.2.3.4.evil.example", site)


@pytest.mark.parametrize("address", ["/", "/fit.json", "/base/pan.json", "/-/matchmark/style.css", "/base"])
def test_a_rebound_name_reads_nothing(address: str, stranger: Visitor) -> None:
    response = stranger.get(address, headers={"host": "evil.example"})
    assert response.status_code == 403
    assert "pan" not in response.text.replace("matchmark serve", "")


@pytest.mark.parametrize(
    "address",
    ["/", "/fit?build=drover", "/base/pan", "/nothing", "/-/plugins", "/base/pan.csv", "/-/matchmark/style.css"],
)
def test_every_answer_carries_the_headers(address: str, stranger: Visitor) -> None:
    headers = stranger.get(address).headers
    csp = headers["content-security-policy"]
    assert "default-src 'none'" in csp
    assert "unsafe" not in csp
    assert "frame-ancestors 'none'" in csp
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"


@pytest.mark.parametrize(
    "address", ["/", "/fit?build=drover", "/part/deep-pan", "/base", "/base/pan?_facet=rail_pattern",
                "/base/pan/deep-pan", "/incompatibility/new", "/rule/pickup-floor-gap", "/nothing",
                "/base/pan?id__contains=a&_sort_desc=id"]
)  # fmt: skip
def test_no_page_holds_inline_script_or_style(address: str, signed_in: Visitor) -> None:
    page = Read(signed_in.get(address).text)
    assert page.all("html"), "no page came"
    assert not page.strange_scripts()
    assert not page.all("style")
    for tag, found in page.tags:
        assert "style" not in found, tag
        assert not [name for name in found if name.startswith("on")], tag


def test_a_form_that_is_too_large_is_refused(writer: Visitor) -> None:
    response = writer.post("/incompatibility/new", {"title": "x" * (LARGEST_BODY + 1)})
    assert response.status_code == 413
    assert "shorten" in response.text


def test_a_large_form_in_pieces_is_refused_too(writer: Visitor) -> None:
    async def pieces():
        for _ in range(70):
            yield b"x" * 1024

    headers = {"content-type": "application/x-www-form-urlencoded"}
    response = writer.ask("POST", "/incompatibility/new", headers=headers, content=pieces())
    assert response.status_code == 413


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS"])
def test_other_methods_are_refused(method: str, writer: Visitor) -> None:
    assert writer.ask(method, "/fit").status_code == 405


def test_too_long_an_address_is_refused(stranger: Visitor) -> None:
    assert stranger.get("/part/" + "x" * 3000).status_code == 400
    assert stranger.get("/fit?pan=" + "x" * 33_000).status_code == 400
    assert stranger.get("/fit?" + "&".join(f"pan.f{n}=1" for n in range(600))).status_code == 400


# -- forged forms --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("token", ["", "wrong", "\N{SNOWMAN}"])
@pytest.mark.parametrize(
    "address", ["/incompatibility/new", "/incompatibility/hostile-clash/review", "/sign-out"]
)  # fmt: skip
def test_a_form_without_a_good_token_writes_nothing(token: str, address: str, writer: Visitor) -> None:
    before = writer.get("/incompatibility.json").json()
    response = writer.post(address, {"title": "forged", "status": "refuted", "reason": "forged"}, token=token)
    assert response.status_code in (403, 500)
    assert "Traceback" not in response.text
    assert writer.get("/incompatibility.json").json() == before
    assert writer.get("/incompatibility/new").status_code == 200  # still signed in


def test_the_refusal_says_what_to_do(writer: Visitor) -> None:
    response = writer.post("/incompatibility/new", {}, token="wrong")
    assert response.status_code == 403
    assert "reload the page" in response.text


def test_a_form_of_another_sort_is_refused(writer: Visitor) -> None:
    headers = {"content-type": "application/json"}
    assert writer.ask("POST", "/incompatibility/new", headers=headers, content=b"{}").status_code == 403
    assert writer.ask("POST", "/incompatibility/new", content=b"\xff\xfe").status_code == 403


FORM = "application/x-www-form-urlencoded"


@pytest.mark.parametrize(
    ("said", "passes"),
    [
        ({"sec-fetch-site": "same-origin", "origin": "http://127.0.0.1:8640"}, True),
        ({"sec-fetch-site": "none"}, True),  # typed or reloaded by the visitor (Fetch Metadata, W3C)
        ({"origin": "http://127.0.0.1:8640"}, True),
        ({"origin": "https://127.0.0.1:8640"}, True),  # TLS ends at a proxy
        ({}, True),  # a program, or an old browser: the token alone decides
        ({"sec-fetch-site": "cross-site"}, False),
        ({"sec-fetch-site": "same-site"}, False),  # another port or name of the same site
        ({"sec-fetch-site": "cross-site", "origin": "http://127.0.0.1:8640"}, False),
        ({"origin": "http://evil.example"}, False),
        ({"origin": "http://127.0.0.1:9999"}, False),
        ({"origin": "null"}, False),
    ],
)
def test_a_form_of_another_site_is_refused_even_with_a_good_token(
    said: dict[str, str], passes: bool, signed_in: Visitor
) -> None:
    token = Read(signed_in.get("/incompatibility/new").text).hidden["csrftoken"]
    response = signed_in.ask(
        "POST", "/incompatibility/new", headers={"content-type": FORM, **said}, content=f"csrftoken={token}".encode()
    )
    assert response.status_code == (400 if passes else 403)  # 400: the empty form has reached its page
    assert ("reload the page" in response.text) is not passes


def test_a_forged_form_is_told_apart_without_a_look_at_the_hosts_headers(own_house: House) -> None:
    """Our own refusals come with their own words; only what the token's check refused is reworded."""
    reader = Visitor(own_house).sign_in("bob")
    assert "who only reads" in reader.post("/incompatibility/new", {}).text
    contributor = Visitor(own_house).sign_in("ann")
    response = contributor.post("/build/drover/reading", {"where": "pan.x", "value": "1 mm", "supersedes": "yes"})
    assert (response.status_code, "only a keeper" in response.text) == (403, True)
    assert "reload the page" in contributor.post("/build/drover/reading", {}, token="wrong").text


# -- before the body ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("who", ["", "bob"])
@pytest.mark.parametrize(
    "path", ["/incompatibility/new", "/incompatibility/hostile-clash/review", "/nothing", "/base/pan", "/fit"]
)
def test_what_is_refused_is_refused_before_its_body_is_read(who: str, path: str, own_house: House) -> None:
    visitor = Visitor(own_house).sign_in(who) if who else Visitor(own_house)
    done = sent(own_house, path, cookies_of(visitor), [])  # nothing of the body ever comes
    assert done.status in (403, 405)
    assert done.read == 0
    assert done.headers["connection"] == "close"


def test_a_body_that_does_not_come_is_cut(own_house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "SECONDS", 0.05)
    visitor = Visitor(own_house).sign_in()
    done: Sent = sent(own_house, "/incompatibility/new", cookies_of(visitor), [b"title=", None])
    assert (done.status, done.headers["connection"]) == (408, "close")
    assert "nothing was written" in done.text


def test_drops_of_a_body_do_not_lengthen_its_time(own_house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "SECONDS", 0.1)
    visitor = Visitor(own_house).sign_in()
    done = sent(own_house, "/incompatibility/new", cookies_of(visitor), [b"a"] * 1000, pause=0.02)
    assert done.status == 408
    assert done.read < 100


def test_cookies_are_out_of_reach_of_scripts_and_secure_over_tls(own_house: House) -> None:
    for scheme in ("http", "https"):
        done = sent(own_house, f"/sign-in?token={own_house.token_of('sam' if scheme == 'http' else 'ann')}", "", [],
                    method="GET", scheme=scheme)  # fmt: skip
        assert done.status == 303
        cookie = done.headers["set-cookie"].lower()
        assert "httponly" in cookie
        assert ("secure" in cookie) is (scheme == "https")
    form = sent(own_house, "/trace", "", [], method="GET", scheme="https")
    assert form.status == 404


def test_too_many_facets_are_refused(stranger: Visitor) -> None:
    many = "&".join(["_facet=rail_pattern"] * (MOST_FACETS + 1))
    assert stranger.get(f"/base/pan?{many}").status_code == 400
    assert stranger.get(f"/base/pan?{many.replace('_', '%5f')}").status_code == 400
    assert stranger.get("/base/pan?_facet=rail_pattern").status_code == 200


def test_the_database_takes_no_giants(house: House) -> None:
    database = house.datasette.get_database("base")
    for sql in ("select zeroblob(30000000)", f"select 'a' like '{'%a' * 200}'", "attach ':memory:' as other"):
        with pytest.raises(Exception, match=r"too big|pattern too complex|attached|not authorized") as caught:
            house.wait_for(database.execute(sql))
        assert "Interrupted" not in type(caught.value).__name__


@pytest.mark.parametrize("size", ["_size=1000000", "_size=max", "_size=-1"])
def test_no_page_of_a_table_is_longer_than_the_limit(size: str, stranger: Visitor) -> None:
    response = stranger.get(f"/base/history.json?_shape=array&{size}")
    assert response.status_code == 400 or len(response.json()) <= 1000


# -- sign-in -------------------------------------------------------------------------------------------------------


def test_the_sign_in_address_opens_once(own_house: House) -> None:
    first, second = Visitor(own_house), Visitor(own_house)
    assert first.get("/incompatibility/new").status_code == 403
    assert first.ask("HEAD", f"/sign-in?token={own_house.token}").status_code == 303  # a look does not use it up
    first.sign_in()
    assert first.get("/incompatibility/new").status_code == 200
    response = second.get(f"/sign-in?token={own_house.token}")
    assert response.status_code == 403
    assert "used up" in response.text
    assert second.get("/incompatibility/new").status_code == 403
    assert first.get(f"/sign-in?token={own_house.token}").status_code == 303  # who is in may follow it again


def test_the_cookie_is_signed_and_out_of_reach_of_scripts(own_house: House) -> None:
    visitor = Visitor(own_house)
    response = visitor.get(f"/sign-in?token={own_house.token}")
    cookie = next(
        value for name, value in response.headers.multi_items() if name == "set-cookie" and "ds_actor" in value
    )
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    value = cookie.partition("=")[2].partition(";")[0]
    forged = Visitor(own_house)
    headers = {"cookie": f"ds_actor={value[:-3]}abc"}
    assert forged.get("/incompatibility/new", headers=headers).status_code == 403


def test_signing_out(writer: Visitor) -> None:
    assert writer.post("/sign-out", {}).status_code == 303
    assert writer.get("/incompatibility/new").status_code == 403


def test_each_address_signs_in_who_it_was_made_for(own_house: House) -> None:
    visitor = Visitor(own_house).sign_in("bob")
    assert "bob" in visitor.get("/").text
    visitor.sign_in("ann")  # another address for another person
    assert visitor.get("/incompatibility/new").status_code == 200
    assert Visitor(own_house).get(f"/sign-in?token={own_house.token_of('ann')}").status_code == 403


def test_no_token_is_on_a_page(own_house: House) -> None:
    visitor = Visitor(own_house).sign_in()
    tokens = [own_house.token_of(name) for name in ("sam", "ann", "bob")]
    for address in ("/", "/sign-in?token=x", "/build/drover", "/base", "/base.json", "/nothing"):
        text = visitor.get(address).text
        assert not [token for token in tokens if token in text], address


def test_a_token_is_compared_whole() -> None:
    key = OneUse()
    assert not key.take("")
    assert not key.take(key.token[:-1])
    assert not key.take("\N{SNOWMAN}")
    assert key.take(key.token)
    assert not key.take(key.token)


def test_two_servers_have_two_tokens() -> None:
    assert OneUse().token != OneUse().token
    assert len(OneUse().token) >= 43  # 32 random bytes in base64, derived from the definition
