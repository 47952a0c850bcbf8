"""Every call that depends on the version of Datasette (0.65), in one place."""

from __future__ import annotations

import asyncio
import sqlite3
import sys
import traceback
from collections.abc import Awaitable, Callable, Mapping, MutableMapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from http.cookies import CookieError
from json import dumps
from typing import Any, NamedTuple
from urllib.parse import parse_qs
from weakref import WeakKeyDictionary

from datasette.app import Datasette
from datasette.database import Database
from datasette.plugins import pm
from datasette.utils.asgi import Base400, Forbidden, Request, Response
from datasette.views.base import DatasetteError
from itsdangerous import BadSignature

from kb.errors import Fault, StoreFault, UnknownName
from kb.store.opening import look
from kb.store.read import open_readonly
from kb.web.asking import Ask, Go, Key, OneUse, Page, Refused, Sent, Site, must_be
from kb.web.guard import CHECKED, FILES

PLUGIN = "matchmark"
NAME = "base"  # the database in addresses, whatever its file is called
LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})
SETTINGS: dict[str, Any] = {
    "default_page_size": 50,
    "max_returned_rows": 1000,
    "sql_time_limit_ms": 1000,
    "facet_time_limit_ms": 300,
    "default_cache_ttl": 0,
    "default_allow_sql": False,
    "allow_download": False,
    "suggest_facets": False,
    "truncate_cells_html": 300,
    "max_csv_mb": 20,
    "num_sql_threads": 3,
}

_SITES: WeakKeyDictionary[Datasette, Site] = WeakKeyDictionary()
_WORKERS = ThreadPoolExecutor(max_workers=4, thread_name_prefix="page")

View = Callable[[Request, Datasette], Awaitable[Response]]


def make(
    path: str,
    *,
    public: bool = False,
    hosts: frozenset[str] = LOOPBACK,
    any_address: bool = False,
    writer: str = "",
    people: Sequence[tuple[str, str]] = (),
    private: bool = False,
    metadata: Mapping[str, Any] | None = None,
) -> Datasette:
    """A Datasette that serves the knowledge base at `path`, locked down. StoreFault if it is none.

    writer: the local user, a keeper. people: (name, rank) of more; a name that is there twice gets two addresses.
    """
    open_readonly(path).close()
    import kb.web

    if not pm.is_registered(kb.web):
        pm.register(kb.web, PLUGIN)
    found = Datasette([], settings=SETTINGS, metadata=dict(metadata or {}))
    for name in list(found.databases):
        if name != "_internal":
            found.remove_database(name)
    found.add_database(Database(found, _uri_path(path), is_mutable=True), name=NAME)
    signing = [] if public else [*([(writer, "keeper")] if writer else []), *people]
    keys = tuple(Key(name, OneUse()) for name, _ in signing)
    _SITES[found] = Site(path, NAME, public, hosts, any_address, dict(signing), keys, private and not public)
    return found


def _uri_path(path: str) -> str:
    """Datasette puts the path into a URI as it is."""
    for mark, code in (("%", "%25"), ("?", "%3f"), ("#", "%23")):
        path = path.replace(mark, code)
    return path


def site_of(datasette: Datasette) -> Site:
    """What is served: made by `make`, else (under a plain `datasette`) the first file that is a knowledge base."""
    if datasette not in _SITES:
        # Not plugin_config(): that asks our own get_metadata, which asks here.
        given = ((getattr(datasette, "_metadata_local", None) or {}).get("plugins") or {}).get(PLUGIN) or {}
        hosts = LOOPBACK | frozenset(given.get("hosts", ()))
        wanted = given.get("database")
        for name, database in datasette.databases.items():
            if database.path and wanted in (None, name) and _is_ours(database.path):
                _SITES[datasette] = Site(database.path, name, public=True, hosts=hosts)
                break
        else:
            return Site("", "", public=True, hosts=hosts)
    return _SITES[datasette]


def _is_ours(path: str) -> bool:
    try:
        look(path)
    except StoreFault:
        return False
    return True


# -- from a page function to a view --------------------------------------------------------------------------------


def view(
    page: Callable[[Ask], Page | Go | Sent],
    *,
    form: Callable[[Ask], Page | Go] | None = None,
    as_json: bool = False,
    least: str = "contributor",
) -> View:
    """The view of a page: checks the permission, runs it beside the event loop, words its faults.

    form: what takes a POST, from who has at least the rank `least`. as_json: answer with the page's data.
    """

    async def answer(request: Request, datasette: Datasette) -> Response:
        site = site_of(datasette)
        request.scope.get(CHECKED, []).append(True)
        for wanted in ("view-instance", ("view-database", site.name)):
            await datasette.ensure_permissions(request.actor, [wanted])
        posted = request.method == "POST"
        try:
            body = (await request.post_body()).decode(errors="replace") if posted else ""
            ask = Ask(
                site,
                request.url_vars,
                _values(request.query_string),
                _values(body),
                user_of(request),
                request.method == "HEAD",
                request.scope.get(FILES),
            )
            if not site.path:
                raise StoreFault("no knowledge base is served here", step="start it with: matchmark serve")
            if posted and form is None:
                raise Refused("this address takes no form", step="open it in the browser")
            if posted:
                must_be(site, ask.user, least)
            function = form if posted and form else page
            found = await run(lambda: _finish(function, ask))
        except Fault as fault:
            found = fault_page(fault, site.path)
        except Exception:  # a person gets words, never a traceback
            traceback.print_exc(file=sys.stderr)
            found = own_fault()
        return await respond(found, request, datasette, as_json)

    return answer


def _values(text: str) -> dict[str, list[str]]:
    try:
        return parse_qs(text, keep_blank_values=True, max_num_fields=500)
    except ValueError:
        raise Fault("that is more fields than any page has", step="go back to the page and use its form") from None


def _finish(page: Callable[[Ask], Page | Go | Sent], ask: Ask) -> Page | Go | Sent:
    try:
        return page(ask)
    finally:
        ask.close()


async def run(function: Callable[[], Any]) -> Any:
    """Run beside the event loop, so that a long check does not stop the others."""
    return await asyncio.get_running_loop().run_in_executor(_WORKERS, function)


def user_of(request: Request) -> str:
    """The name of who is signed in, or an empty text."""
    actor = request.actor or {}
    return str(actor.get("id") or "")


def signed_in(datasette: Datasette, scope: MutableMapping[str, Any]) -> str:
    """The name in the sign-in cookie of a request that is not yet a Request; empty where there is no good one."""
    try:
        given = Request(scope, None).cookies.get("ds_actor")
        actor = datasette.unsign(given, "actor") if given else None
        return str(actor["a"]["id"]) if isinstance(actor, dict) else ""
    except (BadSignature, CookieError, KeyError, TypeError, UnicodeError):
        return ""


class Visitor(NamedTuple):
    """Who looks at a page, as templates know it: name and rank, empty for a stranger, and what the rank allows."""

    name: str
    rank: str
    may_write: bool
    may_keep: bool


def visitor_of(site: Site, user: str) -> Visitor:
    """`user` as the templates know him or her."""
    rank = site.rank_of(user)
    return Visitor(user if rank else "", rank, site.allows(user, "contributor"), site.allows(user, "keeper"))


def fault_page(fault: Fault, path: str = "") -> Page:
    """The page for a fault; its status says whose it is."""
    status, heading = 400, "That cannot be answered"
    if isinstance(fault, Refused):
        status, heading = 403, "Not allowed"
    elif isinstance(fault, UnknownName):
        status, heading = 404, "Not found"
    elif isinstance(fault, StoreFault):
        status, heading = 503, "The database cannot be used just now"
        return error_page(status, heading, fault.message, _without_path(fault.step, path))
    return error_page(status, heading, fault.message, fault.step, fault.place)


def _without_path(words: str, path: str) -> str:
    """Where the file lies is nobody's business."""
    return words.replace(path, "FILE") if path else words


def error_page(status: int, heading: str, message: str, step: str = "", place: str = "") -> Page:
    """A page that says what went wrong and what to do."""
    data = {"ok": False, "status": status, "error": message, "place": place, "next": step}
    values = {"heading": heading, "message": message, "step": step, "place": place, "status": status}
    return Page("matchmark/error.html", heading, values, data, status)


def own_fault() -> Page:
    """The page for a fault of the program itself."""
    return error_page(
        500, "A fault in Matchmark", "this page cannot be made just now; your records are as they were",
        "go back and try again; if it stays, report what the server printed",
    )  # fmt: skip


async def respond(found: Page | Go | Sent, request: Request, datasette: Datasette, as_json: bool = False) -> Response:
    """The answer to send."""
    if isinstance(found, Go):
        response = Response.redirect(found.to, status=303)
        if found.sign == "in":
            actor = {"a": {"id": found.user}}
            response.set_cookie("ds_actor", datasette.sign(actor, "actor"), httponly=True)
        elif found.sign == "out":
            response.set_cookie("ds_actor", "", expires=0, max_age=0, httponly=True)
        return response
    if isinstance(found, Sent):  # named by its content, so it never changes
        kept = {"Cache-Control": "private, max-age=31536000, immutable"}
        return Response(found.content, headers=kept, content_type=found.kind)
    headers = {"Cache-Control": "no-cache"}
    if as_json:
        data = found.data() if callable(found.data) else found.data
        text = dumps(data, indent=2, ensure_ascii=False) + "\n"
        kind = "application/json; charset=utf-8"
        return Response(text, status=found.status, headers=headers, content_type=kind)
    values = {**found.values, "page_heading": found.heading}
    html = await datasette.render_template(found.template, values, request=request)
    return Response.html(html, status=found.status, headers=headers)


# -- what Datasette's own views throw ------------------------------------------------------------------------------


async def told(exception: BaseException, request: Request, datasette: Datasette) -> Response:
    """The answer to an exception of one of Datasette's views."""
    status = getattr(exception, "status", 500)
    message = str(getattr(exception, "message", "") or (exception.args[0] if exception.args else ""))
    if isinstance(exception, Forbidden):
        found = refused_page()
    elif status == 404:
        found = error_page(404, "Not found", "there is no such page, table or row", "look for it with the search")
    elif isinstance(exception, Base400) or status < 500:
        found = error_page(status, "That cannot be answered", message[:300], "go back and change the address")
    elif request.query_string and _asked_wrongly(exception):
        message = "this table cannot be asked so"
        found = error_page(400, "That cannot be answered", message, "leave out what stands behind the ? of the address")
    else:
        found = own_fault()
    as_json = request.path.partition("?")[0].endswith(".json")
    return await respond(found, request, datasette, as_json)


def _asked_wrongly(exception: BaseException) -> bool:
    """Whether a query that makes no sense explains what one of Datasette's views threw; a base in trouble does not.

    It says 500 of a column to sort by that a table lacks, of a page that nothing follows, of JSON that is none.
    """
    said = exception.__context__ if isinstance(exception, DatasetteError) else exception
    if isinstance(said, sqlite3.Error):
        words = (
            "no such column", "syntax error", "unrecognized token", "misuse", "malformed JSON", "too large",
            "not match",
        )  # fmt: skip
        return any(each in str(said) for each in words)
    return isinstance(exception, DatasetteError | LookupError | ValueError | TypeError | AssertionError)


def refused_page() -> Page:
    """The page for what Datasette forbids."""
    return fault_page(Refused("this page is closed to you here", step="go to the first page; sign in if you may write"))
