"""Which addresses the browser opens: at least one for every page of ours, and for every sort of table page."""

from __future__ import annotations

import re

from kb.web.routes import ROUTES

# As the routes are named in tests/web/test_web_access.py -> addresses of the sample (with a few hostile records).
ADDRESSES: dict[str, tuple[str, ...]] = {
    "/": ("/",),
    "/fit": ("/fit", "/fit?build=drover", "/fit?build=nothing", "/fit?block=calder-38&pan=aldine-33-38-pan"),
    "/find": ("/find", "/find?role=pan&build=drover"),
    "/here": ("/here", "/here?build=drover&role=pan", "/here?build=drover&role=pan&part=aldine-33-38-pan"),
    "/part": ("/part",),
    "/part/ID": ("/part/aldine-33-38-pan", "/part/calder-38", "/part/hostile-pan"),
    "/part/ID/measure": ("/part/aldine-33-38-pan/measure",),
    "/incompatibility": ("/incompatibility",),
    "/incompatibility/new": ("/incompatibility/new",),
    "/incompatibility/ID": ("/incompatibility/aldine-pan-on-calder-38", "/incompatibility/hostile-clash"),
    "/audit": ("/audit",),
    "/build/ID": ("/build/drover", "/build/hostile"),
    "/build/ID/readings": ("/build/drover/readings",),
    "/build/ID/measure": ("/build/drover/measure",),
    "/build/ID/measure/sheet": ("/build/drover/measure/sheet",),
    "/build/ID/trace": ("/build/drover/trace", "/build/drover/trace?symptom=oil-prime"),
    "/build/ID/plan": ("/build/drover/plan?milestone=crank&change=fewest",),  # of those that take seconds, the quickest
    "/build/ID/buy": ("/build/drover/buy",),
    "/build/ID/circuits": ("/build/drover/circuits",),
    "/build/ID/sheet": ("/build/drover/sheet",),
    "/compare": ("/compare", "/compare?a=drover&b=drover-good"),
    "/rule": ("/rule",),
    "/rule/ID": ("/rule/pickup-floor-gap", "/rule/passage-sealing"),
    "/search": ("/search", "/search?q=pan", "/search?q=nothing-of-the-kind"),
    "/sign-in": ("/sign-in?token=wrong",),  # who is signed in is led home
}
# Addresses that lead on to another page, and pictures.
NO_PAGE = {
    "/incompatibility/ID/review", "/photo/ID", "/build/ID/tick", "/build/ID/fill", "/build/ID/reading",
    "/build/ID/compare", "/sign-out",
}  # fmt: skip
TABLES = (
    "/base", "/base/pan", "/base/pan?_facet=rail_pattern&id__contains=a", "/base/pan?_search=aldine",
    "/base/pan?_search=nothing-of-the-kind", "/base/part?_sort_desc=name", "/base/incompatibility", "/base/dimension",
    "/base/pan/aldine-33-38-pan", "/base/part/hostile-pan", "/base/nothing", "/nothing",
)  # fmt: skip
EVERY = (*(address for some in ADDRESSES.values() for address in some), *TABLES)
REFUSED = {"/fit?build=nothing": 400, "/base/nothing": 404, "/nothing": 404}


def named(path: str) -> str:
    """A route's regular expression as it stands in ADDRESSES."""
    return re.sub(r"\(\?P<id>[^)]*\)", "ID", path)


def missing() -> set[str]:
    """Routes that stand neither in ADDRESSES nor in NO_PAGE, and entries that no route has any more."""
    return {named(route.path) for route in ROUTES} ^ {*ADDRESSES, *NO_PAGE}
