"""The table of our addresses. A test classifies each: who may do what there."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, NamedTuple

from datasette.app import Datasette
from datasette.utils.asgi import Request, Response

from kb.web import host, showing
from kb.web.asking import Ask, Go, Page, Sent
from kb.web.guard import Form
from kb.web.pages import (
    audit,
    build,
    buy,
    circuits,
    clash,
    clash_form,
    compare,
    find,
    fit,
    here,
    home,
    measure,
    part,
    part_measure,
    photo,
    plan,
    readings,
    rule,
    sheet,
    sign,
)
from kb.web.pages import search as searching
from kb.web.pages import trace as tracing

_ID = r"(?P<id>[^/.]{1,200})"


class Route(NamedTuple):
    """An address, as a regular expression; `form` takes a POST there; `twin`: the same with .json gives the data.

    least: the rank that the form asks for (see `kb.web.asking.RANKS`); files: the form may send pictures.
    """

    path: str
    page: Callable[[Ask], Page | Go | Sent]
    form: Callable[[Ask], Page | Go] | None = None
    twin: bool = False
    least: str = "contributor"
    files: bool = False


ROUTES = (
    Route("/", home.show),
    Route("/fit", fit.show, twin=True),
    Route("/find", find.show, twin=True),
    Route("/here", here.show, form=here.take, twin=True),
    Route("/part", part.listed, twin=True),
    Route(f"/part/{_ID}", part.show, twin=True),
    Route(f"/part/{_ID}/measure", part_measure.show, form=part_measure.take, files=True),
    Route("/incompatibility", clash.listed, twin=True),
    Route("/incompatibility/new", clash_form.show, form=clash_form.take, files=True),
    Route(f"/incompatibility/{_ID}", clash.show, twin=True),
    Route(f"/incompatibility/{_ID}/review", clash.to_page, form=clash.review, least="keeper"),
    Route("/audit", audit.show, twin=True),
    Route("/photo/(?P<id>[0-9a-z.]{1,100})", photo.show),
    Route(f"/build/{_ID}", build.show, twin=True),
    Route(f"/build/{_ID}/tick", build.to_page, form=build.tick),
    Route(f"/build/{_ID}/fill", build.to_page, form=build.fill),
    Route(f"/build/{_ID}/reading", build.to_page, form=build.reading),
    Route(f"/build/{_ID}/readings", readings.show, form=readings.take, twin=True),
    Route(f"/build/{_ID}/measure", measure.show, form=measure.take, twin=True),
    Route(f"/build/{_ID}/measure/sheet", measure.sheet, twin=True),
    Route(f"/build/{_ID}/trace", tracing.show, twin=True),
    Route(f"/build/{_ID}/plan", plan.show, form=plan.take, twin=True),
    Route(f"/build/{_ID}/buy", buy.show, twin=True),
    Route(f"/build/{_ID}/circuits", circuits.show, twin=True),
    Route(f"/build/{_ID}/sheet", sheet.show, twin=True),
    Route(f"/build/{_ID}/compare", compare.with_another),
    Route("/compare", compare.show, twin=True),
    Route("/rule", rule.listed, twin=True),
    Route(f"/rule/{_ID}", rule.show, twin=True),
    Route("/search", searching.show, twin=True),
    Route("/sign-in", sign.into),
    Route("/sign-out", sign.to_home, form=sign.out, least="reader"),
)


def form_at(path: str) -> Form | None:
    """What the form at this address asks for; None where no form is taken."""
    for each in ROUTES:
        if each.form is not None and re.fullmatch(each.path, path):
            return Form(each.least, each.files)
    return None


def registered() -> list[tuple[str, Any]]:
    """(regular expression, view) as Datasette takes them."""
    found: list[tuple[str, Any]] = [(r"/-/matchmark/(?P<name>[a-z.-]+)$", own_file), (r"/favicon\.ico$", icon)]
    for each in ROUTES:
        found.append((rf"{each.path}$", host.view(each.page, form=each.form, least=each.least)))
        if each.twin:
            found.append((rf"{each.path}\.json$", host.view(each.page, as_json=True)))
    return found


async def own_file(request: Request, datasette: Datasette) -> Response:
    """Style sheets and the icon; they are the same for everybody, so no permission is asked."""
    name = request.url_vars["name"]
    try:
        content, digest = showing.asset(name)
    except (FileNotFoundError, OSError):
        return Response.text("There is no such file.", status=404)
    kept = "public, max-age=31536000, immutable" if request.query_string == digest else "no-cache"
    kind = showing.TYPES.get(name.rpartition(".")[2], "text/plain; charset=utf-8")
    return Response(content, headers={"Cache-Control": kept}, content_type=kind)


own_file._datasette_static = True  # type: ignore[attr-defined]  # it may be kept even by who is signed in


async def icon(request: Request, datasette: Datasette) -> Response:
    """Browsers ask for it by this name."""
    return Response.redirect(showing.asset_url("icon.svg"), status=302)
