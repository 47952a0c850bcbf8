"""The guard: Host check, headers, sizes, forged forms, sign-in."""

from __future__ import annotations

import pytest

from kb.web.asking import OneUse, Site
from kb.web.guard import LARGEST_BODY, host_is_ours
from tests.web.visiting import House, Read, Visitor

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
    assert headers["referrer-policy"] == "no-referrer"


@pytest.mark.parametrize(
    "address", ["/", "/fit?build=drover", "/part/deep-pan", "/base", "/base/pan?_facet=rail_pattern",
                "/base/pan/deep-pan", "/incompatibility/new", "/rule/pickup-floor-gap", "/nothing",
                "/base/pan?id__contains=a&_sort_desc=id"]
)  # fmt: skip
def test_no_page_holds_inline_script_or_style(address: str, signed_in: Visitor) -> None:
    page = Read(signed_in.get(address).text)
    assert page.all("html"), "no page came"
    assert not page.all("script")
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
