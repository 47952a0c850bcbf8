"""The hooks that Datasette calls; each hands on to the module that knows.

Datasette looks for plugins while it is itself being imported, and takes a plugin as it is then. So this module must
be whole without `datasette.app`: the modules that need it are imported when a hook is called.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from datasette import hookimpl

if TYPE_CHECKING:
    from datasette.app import Datasette
    from datasette.utils.asgi import Request, Response
    from jinja2 import Environment

    from kb.web.asking import Site


@hookimpl
def register_routes(datasette: Datasette) -> list[tuple[str, Any]]:
    """Our addresses; they go before Datasette's own."""
    from kb.web import routes

    return routes.registered()


@hookimpl
def asgi_wrapper(datasette: Datasette) -> Callable[[Any], Any]:
    """What every request and answer passes."""
    from kb.web import guard, host, routes

    def site() -> Site:
        return host.site_of(datasette)

    return lambda app: guard.guarded(app, site, lambda scope: host.signed_in(datasette, scope), routes.form_at)


@hookimpl
def prepare_connection(conn: sqlite3.Connection) -> None:
    """Limits for what Datasette's views ask, should one ever be made to ask too much."""
    conn.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, 20_000_000)
    conn.setlimit(sqlite3.SQLITE_LIMIT_SQL_LENGTH, 200_000)
    conn.setlimit(sqlite3.SQLITE_LIMIT_LIKE_PATTERN_LENGTH, 300)
    conn.setlimit(sqlite3.SQLITE_LIMIT_ATTACHED, 0)


@hookimpl
def prepare_jinja2_environment(env: Environment) -> None:
    """Words and shapes that templates use."""
    from kb.web import showing, tables

    env.filters.update(showing.FILTERS)
    env.globals.update(showing.GLOBALS)
    env.filters["heading"] = tables.heading
    env.globals.update(columns_of=tables.columns_of, first_of=tables.first, table_groups=tables.groups)


@hookimpl
def extra_template_vars(datasette: Datasette, request: Request | None) -> dict[str, Any]:
    """What the frame of every page needs."""
    from kb.web import host

    site, user = host.site_of(datasette), host.user_of(request) if request else ""
    return {"site": site, "user": user, "visitor": host.visitor_of(site, user)}


@hookimpl
def get_metadata(datasette: Datasette) -> dict[str, Any]:
    """Titles, meanings and units of tables and columns."""
    from kb.web import host, tables

    name = host.site_of(datasette).name
    return {"databases": {name: {"tables": tables.descriptions()}}} if name else {}


@hookimpl
def render_cell(value: Any, column: str, table: str | None, database: str, datasette: Datasette) -> Any:
    """Links from the tables to our pages."""
    from kb.web import host, tables

    if database != host.site_of(datasette).name:
        return None
    return tables.cell(value, column, table or "")


@hookimpl
def filters_from_request(request: Request, database: str, table: str, datasette: Datasette) -> Any:
    """`_search` of a table asks our own index, which holds the records of all tables."""
    from datasette.filters import FilterArguments

    from kb.web import host, tables

    if database != host.site_of(datasette).name or not tables.searchable(table):
        return None
    words = (request.args.get("_search") or "").strip()[:200]
    found = tables.searched(table, words)
    context = {"searchable": True, "words": words}
    if found is None:
        return FilterArguments([], extra_context=context)
    return FilterArguments([found.sql], found.values, [found.said], context)


@hookimpl
def permission_allowed(datasette: Datasette, actor: Any, action: str, resource: Any) -> bool | None:
    """Nobody runs SQL or sees the server's insides, whatever the name of who is signed in."""
    if action in ("execute-sql", "permissions-debug", "debug-menu", "view-database-download"):
        return False
    if action in ("view-database", "view-table"):
        database = resource[0] if isinstance(resource, tuple) else resource
        return False if database == "_internal" else None
    return None


@hookimpl(tryfirst=True)
def handle_exception(datasette: Datasette, request: Request, exception: BaseException) -> Any:
    """Plain words for whatever Datasette's views throw."""
    from kb.web import host

    async def answer() -> Response:
        return await host.told(exception, request, datasette)

    return answer


@hookimpl(tryfirst=True)
def forbidden(datasette: Datasette, request: Request, message: str) -> Any:
    """Plain words for what is not allowed."""
    from kb.web import host

    async def answer() -> Response:
        as_json = request.path.partition("?")[0].endswith(".json")
        return await host.respond(host.refused_page(), request, datasette, as_json)

    return answer
