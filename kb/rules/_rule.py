"""The declaration of a rule: one pure function that returns a quantity, and limits as data.

    @rule("pickup-floor-gap", "oil", "length", "linear", asks="...",
          limits=(Limit.at_least(1.5 * mm, harm="destroys", milestone="prime", why="...", fix="...",
                                 source="trade-page"),))
    def pickup_floor_gap(depth=pan.sump_depth, hang=pickup.hang):
        "gap = depth - hang"
        return depth - hang

Everything else follows: verdict, margin, probability, explanation, the page in docs/rules, generic tests and search.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from kb.roles import RoleFeature
from kb.sources import Source, source

mm = 1e-3
kpa = 1e3
us = 1e-6
percent = 1e-2
litre = 1e-3
degree = 0.017453292519943295

HARMS: dict[str, str] = {
    "fire": "fire or injury",
    "destroys": "destroys the engine",
    "no_start": "will not run",
    "leaks": "leaks",
    "wears": "wears",
    "nuisance": "nuisance",
}
MILESTONES = ("prime", "crank", "fire", "drive")
# linear: a weighted sum of the inputs. smooth: differentiable where it matters. rough: has corners (min, max), and
# every input pulls one way wherever the others stand. count: found from choices, counts and places, no spread.
# stations: one quantity a station, judged at the worst.
FORMS = ("linear", "smooth", "rough", "count", "stations")


class Optional(NamedTuple):
    """An input of a role that a build may leave empty; `absent` is its value then."""

    of: RoleFeature
    absent: Any


def optional(of: Any, absent: Any) -> Any:
    """Input that counts as `absent` when nobody fills its role (a tray that is not there is 0 mm thick)."""
    return Optional(of, absent)


class IfKnown(NamedTuple):
    """An input that may stay unrecorded; `absent` is its value then."""

    of: RoleFeature
    absent: Any


def if_known(of: Any, otherwise: Any) -> Any:
    """Input that counts as `otherwise` while nobody has recorded it: the severest that it could be, never a comfort."""
    return IfKnown(of, otherwise)


class Limit(NamedTuple):
    """One bound of a rule's quantity.

    side: 'least' or 'most'; bound: SI value, or the feature that carries it; inclusive, with a nanometre of slack.
    usual: a good source says what is usual, not what is bad, so that beyond it nothing is condemned.
    """

    side: str
    bound: float | RoleFeature
    why: str
    harm: str
    milestone: str
    fix: str
    source: Source
    name: str = ""
    usual: bool = False

    @staticmethod
    def at_least(bound: Any, **more: Any) -> Limit:
        return _limit("least", bound, **more)

    @staticmethod
    def at_most(bound: Any, **more: Any) -> Limit:
        return _limit("most", bound, **more)

    @property
    def may_condemn(self) -> bool:
        """A limit from memory, or of what is usual, only says "outside the usual range"."""
        return self.source.may_condemn and not self.usual


def _limit(
    side: str, bound: Any, *, why: str, harm: str, milestone: str, fix: str, source: str, name: str = "",
    usual: bool = False,
) -> Limit:  # fmt: skip
    from_source = _source(source)
    if harm not in HARMS:
        raise ValueError(f"harm {harm!r} is not one of {', '.join(HARMS)}")
    if milestone not in MILESTONES:
        raise ValueError(f"milestone {milestone!r} is not one of {', '.join(MILESTONES)}")
    return Limit(
        side,
        bound,
        why,
        harm,
        milestone,
        fix,
        from_source,
        name or (side if from_source.may_condemn and not usual else f"usual_{side}"),
        usual,
    )


_source = source  # `source` is also the name of a parameter above


class Case(NamedTuple):
    """A worked example: inputs by parameter name (SI), the quantity due, the words `holds`, and where it is from.

    holds: True when the quantity lies inside all limits, False when outside one that may condemn, None when only
    outside a usual range from memory.
    """

    given: Mapping[str, Any]
    due: float
    holds: bool | None
    origin: str
    tolerance: float = 1e-9


class Input(NamedTuple):
    """One parameter of a rule's function. optional: its role may be empty; if_known: it may be unrecorded."""

    name: str
    of: RoleFeature
    optional: bool
    absent: Any
    if_known: bool = False


class Rule(NamedTuple):
    """A declared rule; call it to get the quantity."""

    id: str
    subsystem: str
    quantity: str
    form: str
    asks: str
    function: Callable[..., Any]
    inputs: tuple[Input, ...]
    limits: tuple[Limit, ...]
    given_cases: Sequence[Case] | Callable[[], Sequence[Case]]
    when: tuple[tuple[RoleFeature, tuple[str, ...]], ...]
    advice: str
    caution: str
    detail: Callable[..., Any] | None
    tangent: Callable[..., Callable[..., Any]] | None
    worst: str
    lesson: str
    module: str
    only_with: tuple[RoleFeature, ...] = ()

    def __call__(self, *values: Any, **named: Any) -> Any:
        return self.function(*values, **named)

    @property
    def roles(self) -> tuple[str, ...]:
        """Roles that must be filled for the rule to be asked."""
        needed: dict[str, None] = {}
        for each in self.inputs:
            if not each.optional:
                needed.setdefault(each.of.role)
        for limit in self.limits:
            if isinstance(limit.bound, RoleFeature):
                needed.setdefault(limit.bound.role)
        for condition, _ in self.when:
            needed.setdefault(condition.role)
        return tuple(needed)

    @property
    def optional_roles(self) -> tuple[str, ...]:
        """Roles that change the answer when they are filled."""
        needed = set(self.roles)
        return tuple(dict.fromkeys(each.of.role for each in self.inputs if each.of.role not in needed))

    @property
    def cases(self) -> tuple[Case, ...]:
        """The worked examples."""
        return tuple(self.given_cases() if callable(self.given_cases) else self.given_cases)

    @property
    def formula(self) -> str:
        """First line of the function's docstring."""
        return (self.function.__doc__ or "").strip().split("\n")[0]


RULES: dict[str, Rule] = {}


def _inputs(function: Any) -> tuple[Input, ...]:
    names = function.__code__.co_varnames[: function.__code__.co_argcount]
    defaults = function.__defaults__ or ()
    if len(defaults) != len(names):
        raise TypeError(f"every argument of {function.__name__} needs a role.feature as its default")
    found = []
    for name, default in zip(names, defaults, strict=True):
        if isinstance(default, Optional):
            found.append(Input(name, default.of, True, default.absent))
        elif isinstance(default, IfKnown):
            found.append(Input(name, default.of, False, default.absent, True))
        elif isinstance(default, RoleFeature):
            found.append(Input(name, default, False, None))
        else:
            raise TypeError(f"argument {name} of {function.__name__} defaults to {default!r}, not to a role.feature")
    return tuple(found)


def rule(
    id: str,
    subsystem: str,
    quantity: str,
    form: str,
    *,
    asks: str,
    limits: Sequence[Limit],
    cases: Sequence[Case] | Callable[[], Sequence[Case]],
    when: Mapping[Any, tuple[str, ...]] | None = None,
    advice: str = "",
    caution: str = "",
    detail: Callable[..., Any] | None = None,
    tangent: Callable[..., Callable[..., Any]] | None = None,
    worst: str = "least",
    only_with: Sequence[Any] = (),
) -> Callable[[Callable[..., Any]], Rule]:
    """Declare a rule.

    quantity: a key of `kb.records.SHOWN` (the function returns SI). form: one of FORMS. asks: the question as a fitter
    would put it. cases: worked examples, or a function that makes them when they are asked for. when: choice features
    and the codes under which the rule applies; for a list, the fields of which some entry must have one. advice: what a
    good build aims at.
    detail: a function of the same inputs that returns a mapping with more than the one figure (stations, a curve).
    tangent: a function of the same inputs that returns a cheaper function, equal to the rule near them to first order.
    worst: for stations, whether the 'least' or the 'most' of the station quantities decides.
    only_with: features that must be recorded for the rule to be asked at all: it looks closer than another rule does.
    """

    def declare(function: Callable[..., Any]) -> Rule:
        if form not in FORMS:
            raise ValueError(f"form {form!r} is not one of {', '.join(FORMS)}")
        if id in RULES and RULES[id].module != function.__module__:
            raise ValueError(f"two rules are called {id!r}: {RULES[id].module} and {function.__module__}")
        made = Rule(
            id, subsystem, quantity, form, asks, function, _inputs(function), tuple(limits), cases,
            tuple((feature, tuple(codes)) for feature, codes in (when or {}).items()),
            advice, caution, detail, tangent, worst, _lesson(function), function.__module__,
            tuple(only_with),
        )  # fmt: skip
        RULES[id] = made
        return made

    return declare


def _lesson(function: Any) -> str:
    doc = function.__globals__.get("__doc__") or ""
    return " ".join(doc.split())


class Derivation(NamedTuple):
    """Fills a feature that has no reading of its own from others; same shape as a rule, without limits.

    The function raises ValueError where it cannot tell. form: one of FORMS; a rule that uses a rough one is rough too.
    """

    gives: RoleFeature
    function: Callable[..., Any]
    inputs: tuple[Input, ...]
    when: tuple[tuple[RoleFeature, tuple[str, ...]], ...]
    because: str
    form: str = "smooth"


DERIVATIONS: dict[str, list[Derivation]] = {}


def derive(
    gives: Any, *, because: str, when: Mapping[Any, tuple[str, ...]] | None = None, form: str = "smooth"
) -> Callable[[Callable[..., Any]], Derivation]:
    """Declare how `gives` follows from other features when nobody measured it. form: as of a rule."""

    def declare(function: Callable[..., Any]) -> Derivation:
        if form not in FORMS:
            raise ValueError(f"form {form!r} is not one of {', '.join(FORMS)}")
        conditions = tuple((feature, tuple(codes)) for feature, codes in (when or {}).items())
        made = Derivation(gives, function, _inputs(function), conditions, because, form)
        DERIVATIONS.setdefault(str(gives), []).append(made)
        return made

    return declare
