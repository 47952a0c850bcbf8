"""How a kind of part is declared: one class, one attribute a feature.

The declaration is the single source for five things: the strict Pydantic model (`models.py`), the JSON Schema
in `schemas/`, the columns of the kind's table, the `role.feature` objects that rules name (`kb/roles.py`), and
the measuring guide. It imports nothing heavy, so that `matchmark check` can read it at start-up.

    class Pan(Kind):
        "Oil pan: closes the crankcase from below and holds the oil."
        kind = "pan"
        sump_depth = length("rail face to inside floor under the pickup foot", measure="...", tools=("depth-gauge",),
                            plausible=(40, 320))
"""

from __future__ import annotations

from typing import Any, ClassVar

# The unit in which a quantity stands in tables and plain numbers: (column suffix, SI value of one of it).
SHOWN: dict[str, tuple[str, float]] = {
    "length": ("mm", 1e-3),
    "area": ("mm2", 1e-6),
    "volume": ("l", 1e-3),
    "angle": ("deg", 0.017453292519943295),
    "temperature": ("k", 1.0),
    "temperature_difference": ("k", 1.0),
    "pressure": ("kpa", 1e3),
    "torque": ("nm", 1.0),
    "force": ("n", 1.0),
    "density": ("kgm3", 1.0),
    "viscosity": ("mm2s", 1e-6),
    "speed": ("rpm", 1.0 / 60.0),
    "time": ("us", 1e-6),
    "power": ("kw", 1e3),
    "flow": ("l_per_min", 1e-3 / 60.0),
    "mass": ("kg", 1.0),
    "acceleration": ("g", 9.80665),
    "voltage": ("v", 1.0),
    "current": ("a", 1.0),
    "resistance": ("ohm", 1.0),
    "inductance": ("mh", 1e-3),
    "consumption": ("g_per_kwh", 1e-3 / 3.6e6),
    "imbalance": ("g_mm", 1e-6),
    "per_length": ("per_in", 1 / 0.0254),
    "number": ("", 1.0),
    "percent": ("pct", 1e-2),
    "slope": ("mm_per_m", 1e-3),
}


class Feature:
    """A named property of a kind.

    sort: dimension (value with uncertainty), position (a coordinate, taken as exact), choice (one code from a
    closed list or a declared vocabulary), codes (several of them), count, flag, text, list (stations, ports, ...).
    plausible: the widest range that a real part could have, in the shown unit; it may condemn, never clear.
    absent: what an entry that does not mention the feature means by that; None for "not known".
    """

    __slots__ = (
        "absent",
        "item",
        "kind",
        "meaning",
        "measure",
        "name",
        "options",
        "plausible",
        "quantity",
        "sort",
        "tools",
        "vocabulary",
    )

    def __init__(
        self,
        sort: str,
        meaning: str,
        *,
        quantity: str = "",
        measure: str = "",
        tools: tuple[str, ...] = (),
        plausible: tuple[float, float] | None = None,
        options: tuple[str, ...] = (),
        vocabulary: str = "",
        item: type[Item] | None = None,
        absent: Any = None,
    ) -> None:
        self.kind = self.name = ""
        self.sort = sort
        self.meaning = meaning
        self.quantity = quantity
        self.measure = measure
        self.tools = tools
        scale = SHOWN[quantity][1] if quantity else 1.0
        self.plausible = (plausible[0] * scale, plausible[1] * scale) if plausible else None
        self.options = options
        self.vocabulary = vocabulary
        self.item = item
        self.absent = "" if sort == "text" and absent is None else absent

    def __set_name__(self, owner: type, name: str) -> None:
        self.kind = getattr(owner, "kind", "") or owner.__name__
        self.name = name

    @property
    def column(self) -> str:
        """Column of the kind's table: the name with its unit as a suffix."""
        suffix = SHOWN[self.quantity][0] if self.quantity else ""
        return f"{self.name}_{suffix}" if suffix else self.name

    @property
    def shown_scale(self) -> float:
        """SI value of one unit of `column`."""
        return SHOWN[self.quantity][1] if self.quantity else 1.0

    def __repr__(self) -> str:
        return f"{self.kind}.{self.name}"


def _features_of(cls: type) -> dict[str, Feature]:
    found: dict[str, Feature] = {}
    for base in reversed(cls.__mro__):
        found.update({name: value for name, value in vars(base).items() if isinstance(value, Feature)})
    return found


class Item:
    """One entry of a list feature (a station, a port). Subclasses declare features as a Kind does."""

    features: ClassVar[dict[str, Feature]] = {}
    key = "id"

    def __init_subclass__(cls) -> None:
        cls.features = _features_of(cls)


class Kind:
    """One kind of part. Subclasses set `kind` and declare features; the docstring says what the part is.

    roles: the places in a build that such a part fills, with their meaning; without any, one called like the kind.
    """

    kind = ""
    family = ""
    roles: ClassVar[dict[str, str]] = {}
    features: ClassVar[dict[str, Feature]] = {}

    def __init_subclass__(cls) -> None:
        cls.features = _features_of(cls)
        if not cls.roles:
            words = " ".join((cls.__doc__ or "").split())
            cls.roles = {cls.kind: _first_words(words)}
        DECLARED[cls.kind] = cls


def _first_words(words: str) -> str:
    """The first words of a description, up to its first stop."""
    ends = [at for at in (words.find(": "), words.find("; "), words.find(". ")) if at > 0]
    first = words[: min(ends)] if ends else words.rstrip(".")
    return first[:1].lower() + first[1:]


DECLARED: dict[str, type[Kind]] = {}


def dimension(meaning: str, quantity: str, **more: Any) -> Any:
    """A measured property with an uncertainty, in `quantity`; `plausible` is given in the shown unit."""
    return Feature("dimension", meaning, quantity=quantity, **more)


def length(meaning: str, **more: Any) -> Any:
    """A dimension in length; `plausible` in millimetres."""
    return Feature("dimension", meaning, quantity="length", **more)


def position(meaning: str, **more: Any) -> Any:
    """A coordinate or a drawn size that no rule treats as uncertain; in length."""
    return Feature("position", meaning, quantity="length", **more)


def choice(meaning: str, *options: str, vocabulary: str = "", **more: Any) -> Any:
    """One code out of `options`, or out of the terms declared for `vocabulary`."""
    return Feature("choice", meaning, options=options, vocabulary=vocabulary, **more)


def codes(meaning: str, *options: str, vocabulary: str = "", **more: Any) -> Any:
    """Several codes out of `options` or `vocabulary`; an empty list means "none", a missing one "not known"."""
    return Feature("codes", meaning, options=options, vocabulary=vocabulary, **more)


def count(meaning: str, **more: Any) -> Any:
    """A whole number of things, known exactly once counted."""
    return Feature("count", meaning, **more)


def flag(meaning: str, **more: Any) -> Any:
    """Yes or no."""
    return Feature("flag", meaning, **more)


def text(meaning: str, **more: Any) -> Any:
    """Words or a designation that no rule computes with."""
    return Feature("text", meaning, **more)


def many(item: type[Item], meaning: str, **more: Any) -> Any:
    """A list of `item`, each with an id of its own."""
    return Feature("list", meaning, item=item, **more)
