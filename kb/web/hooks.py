"""The hooks that Datasette calls; each hands on to the module that knows.

Datasette looks for plugins while it is itself being imported, and takes a plugin as it is then. So this module must
be whole without `datasette.app`: the modules that need it are imported when a hook is called.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from datasette import hookimpl

if TYPE_CHECKING:
    from datasette.app import Datasette
    from datasette.utils.asgi import Request, Response
    from jinja2 import Environment


@hookimpl
def register_routes(datasette: Datasette) -> list[tuple[str, Any]]:
    """Our addresses; they go before Datasette's own."""
    from kb.web import routes

    return routes.registered()


@hookimpl
def asgi_wrapper(datasette: Datasette) -> Callable[[Any], Any]:
    """What every request and answer passes."""
    from kb.web import guard, host

    return lambda app: guard.guarded(app, lambda: host.site_of(datasette))


@hookimpl
def prepare_jinja2_environment(env: Environment) -> None:
    """Words and shapes that templates use."""
    from kb.web import showing

    env.filters.update(showing.FILTERS)
    env.globals.update(showing.GLOBALS)


@hookimpl
def extra_template_vars(datasette: Datasette, request: Request | None) -> dict[str, Any]:
    """What the frame of every page needs."""
    from kb.web import host

    return {"site": host.site_of(datasette), "user": host.user_of(request) if request else ""}


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
