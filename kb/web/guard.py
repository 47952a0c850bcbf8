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

from kb.web.asking import Site

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Message, Receive, Send], Awaitable[None]]

LARGEST_BODY = 64 * 1024
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
_ADDRESS = re.compile(r"(?:[0-9]{1,3}(?:\.[0-9]{1,3}){3}|\[[0-9a-f:.]+\])\Z")
_READING = ("GET", "HEAD")


def guarded(app: App, site: Callable[[], Site]) -> App:
    """`app` behind the guard."""

    async def inner(scope: Message, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await app(scope, receive, send)
            return
        started = reworded = False

        async def sealed(message: Message) -> None:
            nonlocal started, reworded
            if message["type"] == "http.response.start":
                started = True
                headers = message.get("headers", [])
                reworded = scope["method"] == "POST" and message["status"] == 403 and not _named(headers, b"vary")
                message = {**message, "headers": [*_without(headers), *HEADERS]}
            elif reworded:
                message = {**message, "body": STALE.encode()}
            await send(message)

        refusal = _refusal(scope, site())
        body = b""
        if not refusal and scope["method"] not in _READING:
            body, too_much = await _body(scope, receive)
            if too_much:
                limit = f"{LARGEST_BODY // 1024} KiB"
                refusal = 413, f"That is more than {limit}: shorten the texts and send the form again."
        if refusal:
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


async def _body(scope: Message, receive: Receive) -> tuple[bytes, bool]:
    """(body, whether it was too large)."""
    for name, value in scope["headers"]:
        if name.lower() == b"content-length" and (not value.isdigit() or int(value) > LARGEST_BODY):
            return b"", True
    body = b""
    while True:
        message = await receive()
        body += message.get("body", b"")
        if len(body) > LARGEST_BODY:
            return b"", True
        if message["type"] != "http.request" or not message.get("more_body", False):
            return body, False


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
