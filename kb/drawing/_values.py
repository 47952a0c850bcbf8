"""What a drawing needs of a build: values as the rules see them (derived where nobody measured), or "not known"."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, NamedTuple

from kb.build import Build, Question
from kb.measure import Dimension
from kb.rules import load_rules
from kb.rules._rule import Input, Optional
from kb.unit_show import show, show_unit

K = 2.0  # coverage factor of every band and every +/- in a drawing (JCGM 100, 6.2)
UNKNOWN = "not known: measure"
SPREAD_SAYS = "\N{PLUS-MINUS SIGN} and hatched bands cover about 95 in 100; a band is at least 1 px high."


class Known(NamedTuple):
    """A length for a drawing, SI. sure: every value in it is recorded or derived; else it stands at the middle of the
    plausible range, `low` to `high`. origin: how it is known, in words.
    """

    value: float
    u: float
    sure: bool
    origin: str = ""
    low: float = math.nan
    high: float = math.nan

    @property
    def expanded(self) -> float:
        """Half the height of the tolerance band: K standard uncertainties."""
        return K * self.u


def ask(build: Build, function: Callable[..., float], *wanted: Any) -> Known | None:
    """`function` of features (`role.feature`, or `optional(...)` for roles that may be empty), as a rule would see it.

    None when a role is empty, or when a missing feature has no plausible range to draw it in.
    """
    # Any rule as a mould: a question reads only what is replaced here, and load_rules() has declared the derivations.
    mould = next(iter(load_rules().values()))
    inputs = tuple(
        Input(f"x{at}", each.of, True, each.absent)
        if isinstance(each, Optional)
        else Input(f"x{at}", each, False, None)
        for at, each in enumerate(wanted)
    )
    if any(each.of.role not in build.parts for each in inputs if not each.optional):
        return None
    rule = mould._replace(
        id="drawing",
        quantity="length",
        form="smooth",
        function=function,
        inputs=inputs,
        limits=(),
        when=(),
        detail=None,
    )
    question = Question(rule, build)
    values = list(question.nominal)
    low, high = list(values), list(values)
    for index in question.missing:
        plausible = question.leaves[index].feature.plausible
        if plausible is None:
            return None
        values[index] = (plausible[0] + plausible[1]) / 2
        low[index], high[index] = plausible
    variance = math.fsum(_part(question, values, index) for index in question.spread)
    ends = sorted((float(question.quantity(low)), float(question.quantity(high))))
    return Known(float(question.quantity(values)), math.sqrt(variance), not question.missing, _origin(question), *ends)


def _part(question: Question, values: list[Any], index: int) -> float:
    """Variance that one uncertain input adds (first order, central difference)."""
    dimension = question.leaves[index].dimension
    assert dimension is not None
    up, down = list(values), list(values)
    up[index] += dimension.u
    down[index] -= dimension.u
    return float((question.quantity(up) - question.quantity(down)) / 2) ** 2


def _origin(question: Question) -> str:
    if len(question.rule.inputs) > 1:
        return ""
    if question.derived:
        return question.derived[0][1]
    known = [leaf.dimension for leaf in question.leaves if leaf.dimension is not None]
    return how_known(known[0]) if len(known) == 1 else ""


def how_known(dimension: Dimension) -> str:
    """`depth gauge`, `drawing`, `listing`; says so when readings disagree."""
    words = (dimension.instrument or dimension.how).replace("-", " ")
    return f"{words}; readings disagree" if dimension.contradiction else words


def plain(value: float, quantity: str = "length", system: str = "mm") -> str:
    """The bare figure in the shown unit, for places where the unit stands once for all."""
    word, size = show_unit(quantity, system)
    number = value / size
    if quantity == "length":
        text = f"{number:.3f}" if word == "in" else f"{number:.2f}".rstrip("0").rstrip(".")
    else:
        text = f"{number:.3g}" if abs(number) < 100 else f"{number:.0f}"
    return text.lstrip("-") if float(text) == 0 else text.replace("-", "\N{MINUS SIGN}")


def give_or_take(known: Known, system: str = "mm") -> str:
    """`188 \N{PLUS-MINUS SIGN}1.2`, without the unit; `not known` where it is not."""
    if not known.sure:
        return "not known"
    if not known.u:
        return plain(known.value, "length", system)
    spread = _spread(known.expanded, system)
    places = len(spread.partition(".")[2])
    text = f"{known.value / show_unit('length', system)[1]:.{places}f}".replace("-", "\N{MINUS SIGN}")
    return f"{text} \N{PLUS-MINUS SIGN}{spread}"


def _spread(expanded: float, system: str) -> str:
    """A spread to about two figures, never finer than a micrometre or a thousandth of an inch."""
    word, size = show_unit("length", system)
    number = expanded / size
    coarse, fine = (2, 3) if word == "in" else (1, 2)
    places = coarse if number >= 0.095 else fine if number >= 0.0095 else 3
    return f"{number:.{places}f}"


def _ends(low: float, high: float, system: str) -> str:
    """Both ends of a range; in millimetres to a hundredth of its width or so, since neither end is a figure to keep."""
    word, size = show_unit("length", system)
    width = (high - low) / size
    if system != "mm" or not (0.0 < width < math.inf):
        return f"{show(low, 'length', system)} to {show(high, 'length', system)}"
    digits = min(max(1 - math.floor(math.log10(width)), 0), 3)
    return f"{_no_noughts(f'{low / size:.{digits}f}')} {word} to {_no_noughts(f'{high / size:.{digits}f}')} {word}"


def _no_noughts(figure: str) -> str:
    short = figure.rstrip("0").rstrip(".") if "." in figure else figure
    return "0" if short == "-0" else short


def sentence(known: Known, system: str = "mm") -> str:
    """Value, spread and origin in words; for what is not known the range that it is drawn in the middle of."""
    if not known.sure:
        return f"{UNKNOWN} (drawn at the middle of {_ends(known.low, known.high, system)})"
    words = show(known.value, "length", system)
    if known.u:
        word, size = show_unit("length", system)
        spread = _spread(known.expanded, system)
        if system == "mm":  # no finer than its spread
            places = len(spread.partition(".")[2])
            words = f"{_no_noughts(f'{known.value / size:.{places}f}')} {word}"
        words += f" \N{PLUS-MINUS SIGN}{spread} {word}"
    return f"{words}, {known.origin}" if known.origin else words
