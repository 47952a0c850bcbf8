"""What every request and answer passes: Host check, size limit, closed paths, security headers, a last resort.

DNS rebinding: a page of another site lets its own name point to this machine and so reads our pages. Its requests
carry its name in the Host header, so names that are not ours are refused.
"""

from __future__ import annotations

import asyncio
import re
import sys
import traceback
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, NamedTuple
from urllib.parse import unquote_to_bytes, urlencode

from kb.errors import Fault
from kb.web.asking import Refused, Site, must_be
from kb.web.multipart import boundary_of, take_apart

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Message, Receive, Send], Awaitable[None]]

LARGEST_BODY = 64 * 1024
LARGEST_WITH_PHOTOS = 24 * 1024 * 1024
# A form is typed before it is sent, so its body comes at once; pictures take their time over a weak signal.
SECONDS, SECONDS_WITH_PHOTOS = 20.0, 240.0
MOST_FACETS = 12  # each may take its own time in the database
CSP = (
    "default-src 'none'; style-src 'self'; img-src 'self'; script-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = (
    (b"content-security-policy", CSP.encode()),
    (b"x-content-type-options", b"nosniff"),
    # Not no-referrer: with that, browsers send our own forms with `Origin: null`.
    (b"referrer-policy", b"same-origin"),
    (b"x-frame-options", b"DENY"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
STALE = (
    "This form is too old, or came from another page, so nothing was written. "
    "Go back, reload the page, and send it again."
)
# Of Datasette's pages about itself none is for visitors: they show paths, settings and plugins.
OPEN_TO_STRANGERS = re.compile(r"(?:/sign-in|/favicon\.ico|/-/matchmark/[a-z.-]+)\Z")  # on a private server
OPEN_INSIDE = re.compile(r"/-/matchmark/[a-z.-]+\Z")
STEP = "Go back to the page and send it again."
UNREADABLE = f"This form cannot be read. {STEP}"
FILES = "matchmark.files"
CHECKED = "matchmark.checked"  # a list in the scope: our view adds to it, so a form reached it past the token's check
_ADDRESS = re.compile(r"(?:[0-9]{1,3}(?:\.[0-9]{1,3}){3}|\[[0-9a-f:.]+\])\Z")
_READING = ("GET", "HEAD")


class Form(NamedTuple):
    """What a form's address asks for: least rank, and whether pictures may come with it."""

    least: str
    files: bool


FormAt = Callable[[str], Form | None]


def guarded(app: App, site: Callable[[], Site], who: Callable[[Message], str], form_at: FormAt) -> App:
    """`app` behind the guard. who: the name that a request is signed in under; form_at: the form at a path."""

    async def inner(scope: Message, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await app(scope, receive, send)
            return
        started = reworded = ours = False
        checked: list[bool] = []

        async def sealed(message: Message) -> None:
            nonlocal started, reworded
            if message["type"] == "http.response.start":
                started = True
                headers = message.get("headers", [])
                # No view of ours was reached, so the check for forged forms refused it.
                reworded = scope["method"] == "POST" and message["status"] == 403 and not checked and not ours
                message = {**message, "headers": [*_careful(headers, scope), *HEADERS]}
            elif reworded:
                message = {**message, "body": STALE.encode()}
            await send(message)

        form = form_at(scope["path"]) if scope["method"] == "POST" else None
        refusal = _refusal(scope, site(), who, form)
        body = b""
        if not refusal and scope["method"] not in _READING:
            with_files = form is not None and form.files and _is_multipart(scope)
            largest = LARGEST_WITH_PHOTOS if with_files else LARGEST_BODY
            try:
                async with asyncio.timeout(SECONDS_WITH_PHOTOS if with_files else SECONDS):
                    body, too_much, whole = await _body(scope, receive, largest)
            except TimeoutError:
                refusal = 408, "This form came too slowly, so nothing was written. Send it again."
                too_much, whole = False, True
            if not whole:  # half a form would write half of what was meant
                return
            if too_much and with_files:
                limit = f"{largest // 1024 // 1024} MiB"
                refusal = 413, f"That is more than {limit}: send fewer or smaller pictures."
            elif too_much:
                limit = f"{largest // 1024} KiB"
                refusal = 413, f"That is more than {limit}: shorten the texts and send the form again."
            elif with_files and not refusal:
                try:
                    scope, body = _plain(scope, body)
                except Fault as fault:
                    refusal = 400, f"{fault.message[0].upper()}{fault.message[1:]}. {STEP}"
        if refusal:
            ours = True
            await _say(sealed, *refusal, close=scope["method"] not in _READING)
            return
        if scope["method"] not in _READING:
            receive = _replay(body, receive)
            scope = {**scope, CHECKED: checked}
        try:
            await app(scope, receive, sealed)
        except Exception as error:  # what nobody below has caught; the visitor gets words
            if form and not checked and not started and isinstance(error, ValueError | TypeError):
                # The check for forged forms compares text of ASCII only, and reads UTF-8 only.
                ours = True
                await _say(sealed, 403, STALE)
                return
            traceback.print_exc(file=sys.stderr)
            if started:
                raise
            await _say(
                sealed, 500, "This is a fault in Matchmark; your records are as they were. Go back and try again."
            )

    return inner


def _refusal(scope: Message, site: Site, who: Callable[[Message], str], form: Form | None) -> tuple[int, str] | None:
    """(status, words) when the request goes no further; all that can be said before its body is read."""
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
    if site.private and not OPEN_TO_STRANGERS.match(path) and not site.rank_of(who(scope)):
        return 403, "Only members read here. Open the sign-in address that you were given."
    if unquote_to_bytes(scope.get("query_string", b"")).count(b"_facet") > MOST_FACETS:
        return 400, "That is more to count than one page shows. Go back and choose fewer columns."
    return _refused_form(scope, site, who, form, hosts[0]) if scope["method"] == "POST" else None


def _refused_form(
    scope: Message, site: Site, who: Callable[[Message], str], form: Form | None, host: str
) -> tuple[int, str] | None:
    """(status, words) for a form that is not for this visitor, or not for this address."""
    if not site.people:
        return 403, "This server is read-only: nothing can be written here."
    if len(_types_of(scope)) > 1:  # who reads the form could take another one to be meant than we do
        return 400, UNREADABLE
    if f"{scope['path']}/".startswith(f"/{site.name}/"):
        return 405, "The tables take no form. Go to the first page: /"
    if _is_multipart(scope) and not (form is not None and form.files and boundary_of(_type_of(scope))):
        return 400, UNREADABLE
    if form is None:
        return 403, "This address takes no form. Go to the first page: /"
    if _is_foreign(scope, host):
        return 403, STALE
    try:
        must_be(site, who(scope), form.least)
    except Refused as refused:
        return 403, f"{refused.message[0].upper()}{refused.message[1:]}. Next: {refused.step}."
    return None


def _is_foreign(scope: Message, host: str) -> bool:
    """Whether the browser says that a page of another site sent this form.

    Browsers say it in Sec-Fetch-Site over TLS and on the machine itself, in Origin everywhere (Fetch standard). What
    says neither is judged by the form's token alone, as every form is.
    """
    said = {name.lower(): value.decode("latin-1").strip().lower() for name, value in scope["headers"]}
    site = said.get(b"sec-fetch-site")
    if site is not None:
        return site not in ("same-origin", "none")
    origin = said.get(b"origin")
    return origin is not None and origin.partition("://")[2] != host


def host_is_ours(header: str, site: Site) -> bool:
    """Whether the Host header names this server; the port does not matter, since a rebound name keeps it."""
    name = re.sub(r":[0-9]{1,5}\Z", "", header)
    return name in site.hosts or (site.any_address and bool(_ADDRESS.match(name)))


def _careful(headers: Any, scope: Message) -> list[Any]:
    """The headers without those that we set ourselves; cookies out of reach of scripts and of plain connections."""
    ours = {name for name, _ in HEADERS}
    found = []
    for name, value in headers:
        if name.lower() == b"set-cookie":
            flags = {piece.strip().lower() for piece in value.split(b";")}
            value += b"" if b"httponly" in flags else b"; HttpOnly"
            value += b"; Secure" if scope.get("scheme") == "https" and b"secure" not in flags else b""
        if name.lower() not in ours:
            found.append((name, value))
    return found


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


async def _say(send: Send, status: int, words: str, close: bool = False) -> None:
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"cache-control", b"no-store")]
    if close:  # what is left of the body is not read
        headers.append((b"connection", b"close"))
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": words.encode()})
