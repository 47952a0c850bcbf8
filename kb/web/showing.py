"""Small helpers of the templates: words for codes, values in the chosen units, addresses of our own files."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from functools import cache
from importlib.resources import files
from typing import Any

from kb import units
from kb.chance import FITS, NOT, OPEN
from kb.explain import CAUTION
from kb.measuring_words import plain_name
from kb.records import KINDS
from kb.roles import ROLES
from kb.rules._rule import HARMS
from kb.unit_show import SYSTEMS
from kb.web.addresses import address, page_of, query
from kb.web.to_measure import feature_words

UNITS = {"mm": "millimetres", "in": "inches, decimal", "in64": "inches, nearest 1/64"}
FOUND = {
    "build": "while building",
    "bench": "on the bench",
    "listing": "from a listing",
    "report": "somebody told me",
}
MILESTONES = {
    "prime": "priming the oil",
    "crank": "cranking",
    "fire": "the first fire",
    "drive": "driving",
}
TYPES = {"css": "text/css; charset=utf-8", "js": "text/javascript; charset=utf-8", "svg": "image/svg+xml"}


def words(code: str) -> str:
    """`pan_gasket` -> `pan gasket`."""
    return str(code).replace("_", " ")


def plain(text: str) -> str:
    """A sentence of the core for people who read: `pan.sump_depth` in it becomes `the sump depth of the pan`.

    So does `car_loom` become `car loom`. Only names that there are are put into words, so that what somebody typed
    stays as it is.
    """
    return _CODE.sub(_code_in_words, _NAMED.sub(_in_words, str(text)))


def arrows(text: str) -> str:
    """As `plain`, with the arrow of a terminal as one sign."""
    return plain(text).replace(" -> ", " \N{RIGHTWARDS ARROW} ")


_CODE = re.compile(r"(?<![\w./:=-])[a-z][a-z0-9]*(?:_[a-z0-9]+)+(?![\w=-]|\.\w)")


def _code_in_words(found: re.Match[str]) -> str:
    return words(found.group()) if found.group() in _codes() else found.group()


@cache
def _codes() -> frozenset[str]:
    """Names of roles and features, and the choices that features leave."""
    features = [each for kind in KINDS.values() for each in kind.features.values()]
    options = [option for each in features for option in each.options or ()]
    return frozenset((*ROLES, *(each.name for each in features), *options))


_NAMED = re.compile(r"(?<![\w./:-])([a-z][a-z_]*)(:[a-z0-9_-]+)?\.([a-z][a-z0-9_]*)((?:\.[A-Za-z0-9_-]*[A-Za-z0-9_])*)")


def _in_words(found: re.Match[str]) -> str:
    name, qualifier, feature, rest = found.groups()
    declared = ROLES.get(name)
    if declared is None or feature not in declared.kind.features:
        return found.group()
    return plain_name(f"{name}{qualifier or ''}.{feature}{rest}")


def label(name: str) -> str:
    """A feature's name for a table or a field: `pan.sump_depth` -> `pan: sump depth`; other names with spaces."""
    return feature_words(name) if _NAMED.fullmatch(name) else words(name)


def short_class(verdict: str) -> str:
    """The class that colours a verdict."""
    return {FITS: "fits", NOT: "not", OPEN: "open"}.get(verdict, "open")


def quantity(value: float, kind: str, system: str = "mm") -> str:
    """A value with its unit."""
    return units.show(value, kind, system)


def percent(share: float) -> str:
    """`97.5 %`."""
    return f"{100 * share:g} %"


def harms(codes: Any) -> str:
    """Harm codes, as a list or joined by commas, in words."""
    given = codes.split(",") if isinstance(codes, str) else (codes or ())
    return ", ".join(HARMS.get(each.strip(' []"'), each.strip()) for each in given)


@cache
def asset(name: str) -> tuple[bytes, str]:
    """(content, its digest) of one of our own files; FileNotFoundError for any other name."""
    folder = files("kb.drawing") if name == "drawing.css" else files("kb.web") / "static"
    content = (folder / name).read_bytes()
    return content, hashlib.sha256(content).hexdigest()[:12]


def asset_url(name: str) -> str:
    """The address of one of our own files; it changes with its content, so it may be kept for ever."""
    return f"/-/matchmark/{name}?{asset(name)[1]}"


FILTERS: dict[str, Callable[..., Any]] = {
    "in_words": words,
    "plain_words": plain,
    "arrow_words": arrows,
    "feature_label": label,
    "verdict_class": short_class,
    "quantity": quantity,
    "harm_words": harms,
    "as_percent": percent,
}
GLOBALS: dict[str, Any] = {
    "page_of": page_of,
    "asset_url": asset_url,
    "address": address,
    "query_of": query,
    "CAUTION": CAUTION,
    "UNITS": UNITS,
    "SYSTEMS": SYSTEMS,
    "FOUND": FOUND,
    "MILESTONES": MILESTONES,
    "HARMS": HARMS,
}
