"""The pages: a Datasette plugin package with templates/ and static/, thin over the same core as the command line.

host.py     every call that depends on the version of Datasette
guard.py    what every answer passes: host check, who may send a form, limits, closed paths, security headers
routes.py   the table of our addresses; tests classify each one
pages/      one subject a file: what a page shows, as plain functions of a question
serve.py    `matchmark serve`; patient.py closes connections on which nobody asks anything in time

Datasette finds the plugin by its entry point and calls the hooks below.
"""

from kb.web.hooks import (
    asgi_wrapper,
    extra_template_vars,
    filters_from_request,
    forbidden,
    get_metadata,
    handle_exception,
    permission_allowed,
    prepare_connection,
    prepare_jinja2_environment,
    register_routes,
    render_cell,
)

__all__ = [
    "asgi_wrapper",
    "extra_template_vars",
    "filters_from_request",
    "forbidden",
    "get_metadata",
    "handle_exception",
    "permission_allowed",
    "prepare_connection",
    "prepare_jinja2_environment",
    "register_routes",
    "render_cell",
]
