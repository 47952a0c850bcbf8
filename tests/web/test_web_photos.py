"""Pictures as evidence on the pages: sent with the form, shown with the record, and nothing else."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.errors import Fault, UnknownName
from kb.store import photos, read
from kb.store.write import write_record
from kb.web.guard import LARGEST_WITH_PHOTOS
from kb.web.multipart import MOST_PIECES, boundary_of, take_apart
from tests.pictures import JPEG, PNG
from tests.web import small
from tests.web.visiting import House, Read, Visitor

TYPE = "multipart/form-data; boundary=----pieces"
FORM = [
    ("title", "Foot on the floor"), ("side_role", "pan"), ("side_part", "deep-pan"), ("side_where", ""),
    ("symptom", "no oil"), ("found", "bench"), ("harm", "destroys"), ("milestone", "prime"),
    ("seen_text", "the mark in the clay"), ("seen_feature", ""), ("seen_reading", ""), ("seen_photo", ""),
]  # fmt: skip


def body(fields: list[tuple[str, str]], files: list[tuple[str, bytes]], name: str = "x.jpg") -> bytes:
    pieces = [
        f'------pieces\r\nContent-Disposition: form-data; name="{key}"\r\n\r\n{value}'.encode() for key, value in fields
    ]
    for key, content in files:
        head = f'------pieces\r\nContent-Disposition: form-data; name="{key}"; filename="{name}"'
        pieces.append(head.encode() + b"\r\nContent-Type: image/jpeg\r\n\r\n" + content)
    return b"\r\n".join(pieces) + b"\r\n------pieces--\r\n"


def send(visitor: Visitor, fields: list[tuple[str, str]], files: list[tuple[str, bytes]], **more: Any) -> Any:
    token = Read(visitor.get("/incompatibility/new").text).hidden.get("csrftoken", "")
    content = body([("csrftoken", token), *fields], files, **more)
    return visitor.ask("POST", "/incompatibility/new", headers={"content-type": TYPE}, content=content)


def test_a_picture_sent_with_the_form_is_kept_named_and_shown(writer: Visitor, own_house: House) -> None:
    name = photos.name_of(JPEG)
    response = send(writer, FORM, [("seen_file", JPEG)], name="../../holiday.php")
    assert (response.status_code, response.headers["location"]) == (303, "/incompatibility/foot-on-the-floor")
    con = read.open_readonly(own_house.path)
    assert read.record(con, "incompatibility", "foot-on-the-floor")["evidence"] == [
        {"text": "the mark in the clay", "photo": name}
    ]
    con.close()
    page = Read(writer.get("/incompatibility/foot-on-the-floor").text)
    assert [each["src"] for each in page.all("img")] == [f"/photo/{name}"]
    assert all(each["alt"] for each in page.all("img"))
    shown = writer.get(f"/photo/{name}")
    assert shown.content == JPEG
    assert shown.headers["content-type"] == "image/jpeg"
    assert shown.headers["x-content-type-options"] == "nosniff"
    assert "default-src 'none'" in shown.headers["content-security-policy"]


def test_a_picture_outlives_a_fault_elsewhere_in_the_form(writer: Visitor, own_house: House) -> None:
    fields = [(key, "" if key == "title" else value) for key, value in FORM]
    response = send(writer, fields, [("seen_file", PNG)])
    assert response.status_code == 400
    assert "the title is missing" in response.text
    hidden = [each["value"] for each in Read(response.text).all("input") if each.get("name") == "seen_photo"]
    assert hidden[0] == photos.name_of(PNG)
    again = [(key, hidden[0] if key == "seen_photo" else value) for key, value in FORM]
    assert send(writer, again, [("seen_file", b"")]).status_code == 303
    con = read.open_readonly(own_house.path)
    assert read.record(con, "incompatibility", "foot-on-the-floor")["evidence"][0]["photo"] == hidden[0]
    con.close()


def test_each_picture_goes_to_its_own_row(writer: Visitor, own_house: House) -> None:
    second = [("seen_text", "the foot"), ("seen_feature", ""), ("seen_reading", ""), ("seen_photo", "")]
    assert send(writer, [*FORM, *second], [("seen_file", b""), ("seen_file", PNG)]).status_code == 303
    con = read.open_readonly(own_house.path)
    evidence = read.record(con, "incompatibility", "foot-on-the-floor")["evidence"]
    con.close()
    assert evidence == [{"text": "the mark in the clay"}, {"text": "the foot", "photo": photos.name_of(PNG)}]


def test_a_script_that_says_it_is_a_picture_is_told_at_its_field(writer: Visitor, own_house: House) -> None:
    response = send(writer, FORM, [("seen_file", b"<script>alert(1)</script>")])
    assert response.status_code == 400
    assert "this is no picture that can be kept" in response.text
    assert 'href="#seen-0-file"' in response.text
    assert photos.kept(own_house.path) == set()


def test_a_name_that_a_form_makes_up_is_not_taken(writer: Visitor, own_house: House) -> None:
    made_up = [(key, "../../secret.jpg" if key == "seen_photo" else value) for key, value in FORM]
    assert send(writer, made_up, []).status_code == 303
    con = read.open_readonly(own_house.path)
    assert "photo" not in read.record(con, "incompatibility", "foot-on-the-floor")["evidence"][0]
    con.close()


def test_too_much_is_refused_before_it_is_read(writer: Visitor) -> None:
    response = send(writer, FORM, [("seen_file", b"\0" * LARGEST_WITH_PHOTOS)])
    assert response.status_code == 413
    assert "fewer or smaller pictures" in response.text
    other = writer.ask("POST", "/sign-out", headers={"content-type": TYPE}, content=b"\0" * 100_000)
    assert other.status_code == 400  # a page that takes no files


@pytest.mark.parametrize(
    "kind", ["multipart/form-data", "multipart/form-data; boundary=", "multipart/mixed; boundary=a"]
)
def test_a_form_that_cannot_be_taken_apart_is_refused_in_words(writer: Visitor, kind: str) -> None:
    response = writer.ask("POST", "/incompatibility/new", headers={"content-type": kind}, content=b"x")
    assert (response.status_code, response.text[:29]) == (400, "This form cannot be read. Go ")


@pytest.mark.parametrize("token", ["", "wrong", None])
def test_a_form_with_a_picture_needs_the_token_of_its_page(
    writer: Visitor, own_house: House, token: str | None
) -> None:
    fields = FORM if token is None else [("csrftoken", token), *FORM]
    content = body(fields, [("seen_file", PNG)])
    response = writer.ask("POST", "/incompatibility/new", headers={"content-type": TYPE}, content=content)
    assert response.status_code == 403
    assert "nothing was written" in response.text
    assert photos.kept(own_house.path) == set()


def test_more_pieces_than_any_form_has_are_refused(writer: Visitor) -> None:
    many = send(writer, [("a", "")] * (MOST_PIECES + 1), [])
    assert (many.status_code, many.text[:38]) == (400, "That is more fields than any page has.")
    storm = b"--a\r\n" * 1_000_000 + b"--a--\r\n"
    kind = "multipart/form-data; boundary=a"
    response = writer.ask("POST", "/incompatibility/new", headers={"content-type": kind}, content=storm)
    assert response.status_code == 400


def test_texts_too_long_beside_a_picture_are_told(writer: Visitor, own_house: House) -> None:
    long = [(key, "x" * 70_000 if key == "symptom" else value) for key, value in FORM]
    response = send(writer, long, [("seen_file", PNG)])
    assert (response.status_code, response.text[:38]) == (400, "The texts are too long: shorten them. ")
    assert photos.kept(own_house.path) == set()


BROKEN = [
    b"",
    b"------pieces",
    b"------pieces--",
    b'------pieces\r\nContent-Disposition: form-data; name="title"\r\n\r\nx',  # never closed
    b"------pieces\r\n\r\nx\r\n------pieces--",  # no name
    b'------pieces\r\nContent-Disposition: form-data; name="title"\r\nx\r\n------pieces--',  # no empty line
    b'------pieces\r\nContent-Disposition: form-data; name="\xff\xfe\r\n\r\nx\r\n------pieces--',
    b'------piecesX\r\nContent-Disposition: form-data; name="title"\r\n\r\nx\r\n------other--',
]


@pytest.mark.parametrize("content", BROKEN)
def test_broken_forms_write_nothing_and_are_told(writer: Visitor, own_house: House, content: bytes) -> None:
    response = writer.ask("POST", "/incompatibility/new", headers={"content-type": TYPE}, content=content)
    assert response.status_code in (400, 403)
    assert "Traceback" not in response.text
    assert photos.kept(own_house.path) == set()


@settings(max_examples=200, deadline=None)
@given(data=st.binary(max_size=300) | st.lists(st.sampled_from([*BROKEN[3:], b"\r\n", b"--"])).map(b"".join))
def test_no_bytes_break_the_taking_apart(data: bytes) -> None:
    with suppress(Fault):
        form = take_apart(data, TYPE)
        assert sum(map(len, (*form.fields.values(), *form.files.values()))) <= MOST_PIECES
        assert all(isinstance(each, bytes) for several in form.files.values() for each in several)


@pytest.mark.parametrize(
    "name",
    ["../../../etc/passwd", "x.php\0.jpg", "a;b=c.png", "CON", "x" * 5000, "<script>.jpg", "=cmd|calc.jpg", "é😀.webp"],
)
def test_no_name_of_a_file_reaches_the_disk_or_the_page(writer: Visitor, own_house: House, name: str) -> None:
    assert send(writer, FORM, [("seen_file", PNG)], name=name).status_code == 303
    assert photos.kept(own_house.path) == {photos.name_of(PNG)}
    assert sorted(os.listdir(f"{own_house.path}.photos")) == [photos.name_of(PNG)]
    page = writer.get("/incompatibility/foot-on-the-floor").text
    assert name not in page


@pytest.mark.parametrize(
    "data",
    [
        b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>',
        b"<?xml version='1.0'?><svg/>",
        b"<!doctype html><script>alert(1)</script>" + PNG,
        b"GIF89a" + bytes(20),
        b"%PDF-1.7 " + JPEG,
        b"PK\x03\x04" + PNG,
        PNG[:-12],  # cut off
        PNG + b"<script>alert(1)</script>",
        JPEG[:-2],
        JPEG + b"<script>" + b" " * 1100,
        b"RIFF\x04\x00\x00\x00WEBP",
        b"BM" + bytes(60),
    ],
)
def test_what_only_looks_like_a_picture_is_refused(writer: Visitor, own_house: House, data: bytes) -> None:
    response = send(writer, FORM, [("seen_file", data)])
    assert response.status_code == 400
    assert "this is no picture that can be kept" in response.text
    assert photos.kept(own_house.path) == set()


def test_a_picture_that_is_a_script_as_well_is_sent_as_a_picture_only(writer: Visitor, own_house: House) -> None:
    """A comment segment may hold anything; type, nosniff and policy keep it from running."""
    script = b"<script>alert(1)</script>"
    both = JPEG[:2] + b"\xff\xfe" + (len(script) + 2).to_bytes(2, "big") + script + JPEG[2:]
    assert send(writer, FORM, [("seen_file", both)]).status_code == 303
    shown = writer.get(f"/photo/{photos.name_of(both)}")
    assert (shown.headers["content-type"], shown.headers["x-content-type-options"]) == ("image/jpeg", "nosniff")
    assert "default-src 'none'" in shown.headers["content-security-policy"]


def test_two_words_on_the_type_of_a_form_are_refused(own_house: House) -> None:
    for first, second in ((TYPE, "text/plain"), ("application/x-www-form-urlencoded", TYPE)):
        heads = [(b"content-type", first.encode()), (b"content-type", second.encode())]
        sent = own_house.wait_for(raw(own_house, heads, [{"type": "http.request", "body": b"", "more_body": False}]))
        assert sent[0]["status"] == 400


def test_a_form_that_breaks_off_is_not_taken(writer: Visitor, own_house: House) -> None:
    """All that is needed has come, the rest of a text has not: nothing may be written."""
    token = Read(writer.get("/incompatibility/new").text).hidden["csrftoken"]
    cookie = "; ".join(f"{name}={value}" for name, value in writer.cookies.items())
    part = urlencode([("csrftoken", token), *FORM]).encode()
    for kind, content in (("application/x-www-form-urlencoded", part), (TYPE, body([("csrftoken", token), *FORM], []))):
        heads = [(b"content-type", kind.encode()), (b"cookie", cookie.encode())]
        whole = [{"type": "http.request", "body": content, "more_body": True}, {"type": "http.disconnect"}]
        assert own_house.wait_for(raw(own_house, heads, whole)) == []
    con = read.open_readonly(own_house.path)
    with pytest.raises(UnknownName):
        read.record(con, "incompatibility", "foot-on-the-floor")
    con.close()


async def raw(house: House, heads: list[tuple[bytes, bytes]], messages: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """What the server sends for a POST of these messages, below what a client can be made to send."""
    waiting, sent = iter(messages), list[dict[str, Any]]()

    async def receive() -> Any:
        return next(waiting)

    async def take(message: Any) -> None:
        sent.append(message)

    path = "/incompatibility/new"
    scope = {
        "type": "http", "http_version": "1.1", "method": "POST", "scheme": "http", "path": path, "query_string": b"",
        "raw_path": path.encode(), "headers": [(b"host", b"127.0.0.1:8640"), *heads], "client": ("127.0.0.1", 1),
    }  # fmt: skip
    await house.app(scope, receive, take)
    return sent


def test_a_picture_can_be_asked_for_without_its_bytes(writer: Visitor, own_house: House) -> None:
    name = photos.put(own_house.path, PNG)
    head = writer.ask("HEAD", f"/photo/{name}")
    assert (head.status_code, head.headers["content-type"]) == (200, "image/png")
    assert writer.ask("HEAD", "/photo/" + "a" * 64 + ".jpg").status_code == 404
    assert writer.ask("POST", f"/photo/{name}").status_code in (403, 405)


def test_a_public_server_shows_pictures_and_takes_none(tmp_path: Path) -> None:
    house = House(small.make(tmp_path), public=True, writer="sam")
    try:
        name = photos.put(house.path, PNG)
        visitor = Visitor(house)
        assert visitor.get(f"/photo/{name}").content == PNG
        response = visitor.ask(
            "POST", "/incompatibility/new", headers={"content-type": TYPE}, content=body(FORM, [("seen_file", JPEG)])
        )
        assert (response.status_code, "read-only" in response.text) == (403, True)
        assert photos.kept(house.path) == {name}
    finally:
        house.close()


def test_no_page_says_where_the_base_lies(writer: Visitor, own_house: House) -> None:
    name = photos.put(own_house.path, PNG)
    os.remove(f"{own_house.path}.photos/{name}")
    os.mkdir(f"{own_house.path}.photos/{name}")  # in the way of a file
    pages = [send(writer, FORM, [("seen_file", PNG)]).text, writer.get(f"/photo/{name}").text]
    for text in pages:
        assert os.path.dirname(own_house.path) not in text
        assert own_house.token not in text


def test_who_is_not_signed_in_sends_no_picture(own_house: House) -> None:
    assert send(Visitor(own_house), FORM, [("seen_file", PNG)]).status_code == 403
    assert photos.kept(own_house.path) == set()


@pytest.mark.parametrize(
    "path",
    [
        "/photo/" + "a" * 64 + ".jpg",
        "/photo/..%2fsmall.db",
        "/photo/../small.db",
        "/photo/a.b",
        "/photo/",
        "/photo/x/y",
    ],
)
def test_no_other_address_gives_a_file(stranger: Visitor, path: str) -> None:
    response = stranger.get(path)
    assert response.status_code in (302, 403, 404)
    assert b"SQLite" not in response.content


def test_a_picture_that_is_not_kept_here_is_said_to_be_elsewhere(writer: Visitor, own_house: House) -> None:
    name = f"{'ab' * 32}.jpg"
    record = {
        "kind": "incompatibility", "id": "far", "title": "Far", "parties": [{"role": "pan", "part": "deep-pan"}],
        "symptom": "s", "found": "bench", "harm": "leaks", "milestone": "drive",
        "evidence": [{"text": "see", "photo": name}],
    }  # fmt: skip
    write_record(own_house.path, record, by="x", origin="test")
    page = writer.get("/incompatibility/far").text
    assert "its picture is not kept here" in page
    assert "<img" not in page


def test_forms_are_taken_apart() -> None:
    form = take_apart(body([("a", "1\r\n2"), ("a", "é"), ("b", "")], [("f", b"--\r\n\0\r\n--"), ("f", b"")]), TYPE)
    assert form.fields == {"a": ["1\r\n2", "é"], "b": [""]}
    assert form.files == {"f": [b"--\r\n\0\r\n--", b""]}
    assert boundary_of('multipart/form-data; boundary="a b"') == "a b"
    assert boundary_of("application/json") == ""
