"""What every request and answer passes: Host check, size limit, closed paths, security headers, a last resort.

DNS rebinding: a page of another site lets its own name point to this machine and so reads our pages. Its requests
carry its name in the Host header, so names that are not ours are refused.
"""

from __future__ import annotations

import re
import sys
import traceback
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any
from urllib.parse import urlencode

from kb.errors import Fault
from kb.web.asking import Site
from kb.web.multipart import boundary_of, take_apart

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Message, Receive, Send], Awaitable[None]]

LARGEST_BODY = 64 * 1024
LARGEST_WITH_PHOTOS = 24 * 1024 * 1024
WITH_PHOTOS = ("/incompatibility/new",)  # the forms that send files
CSP = (
    "default-src 'none'; style-src 'self'; img-src 'self'; script-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
HEADERS = (
    (b"content-security-policy", CSP.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"x-frame-options", b"DENY"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
# What Datasette's router never saw (it sets Vary on all it answers) was refused by the check for forged forms.
STALE = (
    "This form is too old, or came from another page, so nothing was written. "
    "Go back, reload the page, and send it again."
)
# Of Datasette's pages about itself none is for visitors: they show paths, settings and plugins.
OPEN_INSIDE = re.compile(r"/-/matchmark/[a-z.-]+\Z")
STEP = "Go back to the page and send it again."
UNREADABLE = f"This form cannot be read. {STEP}"
FILES = "matchmark.files"
_ADDRESS = re.compile(r"(?:[0-9]{1,3}(?:\.[0-9]{1,3}){3}|\[[0-9a-f:.]+\])\Z")
_READING = ("GET", "HEAD")


def guarded(app: App, site: Callable[[], Site]) -> App:
    """`app` behind the guard."""

    async def inner(scope: Message, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await app(scope, receive, send)
            return
        started = reworded = ours = False

        async def sealed(message: Message) -> None:
            nonlocal started, reworded
            if message["type"] == "http.response.start":
                started = True
                headers = message.get("headers", [])
                forged = scope["method"] == "POST" and message["status"] == 403 and not _named(headers, b"vary")
                reworded = forged and not ours
                message = {**message, "headers": [*_without(headers), *HEADERS]}
            elif reworded:
                message = {**message, "body": STALE.encode()}
            await send(message)

        refusal = _refusal(scope, site())
        body = b""
        if not refusal and scope["method"] not in _READING:
            with_files = _sends_files(scope)
            largest = LARGEST_WITH_PHOTOS if with_files else LARGEST_BODY
            body, too_much, whole = await _body(scope, receive, largest)
            if not whole:  # half a form would write half of what was meant
                return
            if too_much and with_files:
                limit = f"{largest // 1024 // 1024} MiB"
                refusal = 413, f"That is more than {limit}: send fewer or smaller pictures."
            elif too_much:
                limit = f"{largest // 1024} KiB"
                refusal = 413, f"That is more than {limit}: shorten the texts and send the form again."
            elif with_files:
                try:
                    scope, body = _plain(scope, body)
                except Fault as fault:
                    refusal = 400, f"{fault.message[0].upper()}{fault.message[1:]}. {STEP}"
        if refusal:
            ours = True
            await _say(sealed, *refusal)
            return
        if scope["method"] not in _READING:
            receive = _replay(body, receive)
        try:
            await app(scope, receive, sealed)
        except Exception:  # what nobody below has caught; the visitor gets words
            traceback.print_exc(file=sys.stderr)
            if started:
                raise
            await _say(
                sealed, 500, "This is a fault in Matchmark; your records are as they were. Go back and try again."
            )

    return inner


def _refusal(scope: Message, site: Site) -> tuple[int, str] | None:
    """(status, words) when the request goes no further."""
    hosts = [value.decode("latin-1").strip().lower() for name, value in scope["headers"] if name.lower() == b"host"]
    if len(hosts) != 1 or not host_is_ours(hosts[0], site):
        return 403, "This address is not one of this server's own. Open the address that matchmark serve printed."
    path = (scope.get("raw_path") or scope["path"].encode()).decode("latin-1").partition("?")[0]
    if not path.isascii() or len(path) > 2000 or len(scope.get("query_string", b"")) > 32_000:
        return 400, "This address is too long or holds signs that no address has. Go back to the first page."
    if path.startswith("/-/") and not OPEN_INSIDE.match(path):
        return 404, "There is no such page. Go to the first page: /"
    if path.startswith("/_internal"):
        return 404, "There is no such page. Go to the first page: /"
    if scope["method"] not in (*_READING, "POST"):
        return 405, "This server takes GET and POST."
    if scope["method"] == "POST" and not site.writable:
        return 403, "This server is read-only: nothing can be written here."
    if len(_types_of(scope)) > 1:  # who reads the form could take another one to be meant than we do
        return 400, UNREADABLE
    if _is_multipart(scope) and not (_sends_files(scope) and boundary_of(_type_of(scope))):
        return 400, UNREADABLE
    if scope["method"] == "POST" and f"{path}/".startswith(f"/{site.name}/"):
        return 405, "The tables take no form. Go to the first page: /"
    return None


def host_is_ours(header: str, site: Site) -> bool:
    """Whether the Host header names this server; the port does not matter, since a rebound name keeps it."""
    name = re.sub(r":[0-9]{1,5}\Z", "", header)
    return name in site.hosts or (site.any_address and bool(_ADDRESS.match(name)))


def _named(headers: Any, name: bytes) -> bool:
    return any(pair[0].lower() == name for pair in headers)


def _without(headers: Any) -> list[Any]:
    ours = {name for name, _ in HEADERS}
    return [pair for pair in headers if pair[0].lower() not in ours]


def _sends_files(scope: Message) -> bool:
    """Whether this is a form with files for a page that takes some."""
    return scope["path"] in WITH_PHOTOS and _is_multipart(scope)


def _is_multipart(scope: Message) -> bool:
    return _type_of(scope).lower().startswith("multipart/")


def _plain(scope: Message, body: bytes) -> tuple[Message, bytes]:
    """A form with files as one without: its fields in the body, the files beside it in the scope under FILES.

    So what checks forms against forgery, and every page, reads one sort of form. Fault if it cannot be taken apart.
    """
    form = take_apart(body, _type_of(scope))
    fields = [(name, value) for name, values in form.fields.items() for value in values]
    plain = urlencode(fields, errors="replace").encode()
    if len(plain) > LARGEST_BODY:
        raise Fault("the texts are too long: shorten them")
    said = {b"content-type": b"application/x-www-form-urlencoded", b"content-length": str(len(plain)).encode()}
    headers = [pair for pair in scope["headers"] if pair[0].lower() not in said]
    return {**scope, "headers": [*headers, *said.items()], FILES: form.files}, plain


def _type_of(scope: Message) -> str:
    return next(iter(_types_of(scope)), "")


def _types_of(scope: Message) -> list[str]:
    return [value.decode("latin-1") for name, value in scope["headers"] if name.lower() == b"content-type"]


async def _body(scope: Message, receive: Receive, largest: int) -> tuple[bytes, bool, bool]:
    """(body, whether it was too large, whether it came to its end)."""
    for name, value in scope["headers"]:
        if name.lower() == b"content-length" and (not value.isdigit() or int(value) > largest):
            return b"", True, True
    body = bytearray()
    while True:
        message = await receive()
        body += message.get("body", b"")
        if len(body) > largest:
            return b"", True, True
        if message["type"] != "http.request":
            return b"", False, False
        if not message.get("more_body", False):
            return bytes(body), False, True


def _replay(body: bytes, receive: Receive) -> Receive:
    told = False

    async def again() -> Message:
        nonlocal told
        if told:
            return await receive()
        told = True
        return {"type": "http.request", "body": body, "more_body": False}

    return again


async def _say(send: Send, status: int, words: str) -> None:
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"cache-control", b"no-store")]
    if status == 413:
        headers.append((b"connection", b"close"))
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": words.encode()})
