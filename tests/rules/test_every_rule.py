"""What must hold of every rule, written once: a new rule file is covered by being there."""

from __future__ import annotations

import inspect
import itertools
import math
from types import SimpleNamespace
from typing import Any

import pytest

from kb.build import Build
from kb.chance import FITS, NOT, OPEN, Settings
from kb.judge import judge
from kb.measure import Dimension, Term
from kb.records import KINDS, SHOWN
from kb.records.part import Part
from kb.roles import ROLES, RoleFeature
from kb.rules import load_rules
from kb.rules._rule import HARMS, Case, Rule

RULES = list(load_rules().values())
CASES = [(rule, case) for rule in RULES for case in rule.cases]
SETTINGS = Settings()


def case_id(value: Any) -> str:
    return value.id if isinstance(value, Rule) else ""


def arguments(rule: Rule, case: Case) -> dict[str, Any]:
    """The case without what belongs to a limit read off a feature."""
    names = {each.name for each in rule.inputs}
    return {name: value for name, value in case.given.items() if name in names}


def slack(rule: Rule) -> float:
    return 1e-6 * (SHOWN[rule.quantity][1] if rule.quantity != "number" else 1.0)


def worst(rule: Rule, quantity: Any) -> float:
    """The figure that decides: of several stations the one with the least margin of the limits that condemn."""
    if rule.form != "stations":
        return float(quantity)
    figures = [value for _, value in quantity]
    return min(figures) if rule.worst == "least" else max(figures)


@pytest.mark.parametrize(("rule", "case"), CASES, ids=case_id)
def test_case_gives_its_quantity(rule: Rule, case: Case) -> None:
    assert case.origin, "every case names where its figure is from"
    assert worst(rule, rule(**arguments(rule, case))) == pytest.approx(case.due, abs=case.tolerance)


@pytest.mark.parametrize(("rule", "case"), CASES, ids=case_id)
def test_case_holds_or_not(rule: Rule, case: Case) -> None:
    quantity = worst(rule, rule(**arguments(rule, case)))
    hard, soft = [], []
    for limit in rule.limits:
        bound = case.given[limit.name] if isinstance(limit.bound, RoleFeature) else limit.bound
        margin = quantity - bound if limit.side == "least" else bound - quantity
        (hard if limit.may_condemn else soft).append(margin >= -slack(rule) - 1e-12 * abs(bound))
    found = False if not all(hard) else True if all(soft) else None
    assert found is case.holds


def test_every_rule_has_a_good_case_a_bad_case_and_one_on_a_limit() -> None:
    for rule in RULES:
        assert any(case.holds is True for case in rule.cases), rule.id
        assert any(case.holds is not True for case in rule.cases), rule.id
        bounds = [limit.bound for limit in rule.limits if not isinstance(limit.bound, RoleFeature)]
        on_limit = [
            case
            for case in rule.cases
            if any(abs(case.due - bound) <= max(slack(rule), case.tolerance) for bound in bounds)
            or any(
                case.due == pytest.approx(case.given[limit.name]) for limit in rule.limits if limit.name in case.given
            )
        ]
        assert on_limit, f"{rule.id} has no case on a limit"


@pytest.mark.parametrize("rule", [each for each in RULES if each.form in ("linear", "smooth")], ids=case_id)
def test_arrays_give_what_floats_give(rule: Rule) -> None:
    """All cases stacked as arrays: catches code that takes one number only."""
    numpy = pytest.importorskip("numpy")
    cases = [case for case in rule.cases if all(not isinstance(value, list) for value in case.given.values())]
    groups: dict[tuple[Any, ...], list[Case]] = {}
    for case in cases:
        exact = tuple(value for value in case.given.values() if isinstance(value, str))
        groups.setdefault(exact, []).append(case)
    for group in groups.values():
        names = arguments(rule, group[0])
        stacked = {
            name: value if isinstance(value, str) else numpy.array([float(case.given[name]) for case in group])
            for name, value in names.items()
        }
        found = numpy.broadcast_to(rule(**stacked), (len(group),))
        for case, each in zip(group, found, strict=True):
            assert each == pytest.approx(rule(**arguments(rule, case)), rel=1e-12, abs=1e-15)


@pytest.mark.parametrize("rule", [each for each in RULES if each.form in ("linear", "smooth", "rough")], ids=case_id)
def test_units_agree(rule: Rule) -> None:
    """Fed Pint quantities in other units, the formula must give the same: catches slips and naked constants."""
    pint = pytest.importorskip("pint")
    registry = pint.UnitRegistry()
    other = {
        "length": "inch", "area": "cm**2", "volume": "cm**3", "pressure": "psi", "viscosity": "cSt",
        "density": "g/cm**3", "temperature": "kelvin", "time": "ms", "torque": "ft*lbf", "force": "lbf",
    }  # fmt: skip
    from kb.unit_table import KINDS as QUANTITIES

    def base(quantity: str) -> str:
        """A turn counts as 1 here, and Pint's revolution as 2 pi."""
        return "1/s" if quantity == "speed" else QUANTITIES[quantity].base

    def dressed(feature: Any, value: Any) -> Any:
        if isinstance(value, (list, tuple)):
            fields = feature.item.features
            return [
                SimpleNamespace(
                    **{
                        name: dressed(fields[name], entry) if name in fields else entry
                        for name, entry in vars(each).items()
                    }
                )
                for each in value
            ]
        if isinstance(value, (str, bool, frozenset)) or feature.quantity in ("", "number", "percent"):
            return value
        made = registry.Quantity(float(value), base(feature.quantity))
        return made.to(other[feature.quantity]) if feature.quantity in other else made

    for case in rule.cases:
        given = arguments(rule, case)
        if rule.id == "oil-port-land":
            continue  # a plain minimum; the figure for "no passage" is a bare length
        if rule.id in ("flange-flatness-cast", "flange-flatness-sheet", "pan-to-crossmember", "pan-to-steering",
                       "pan-to-ground", "dipstick-volume", "passage-bolt-pitch", "pickup-foot-place"):  # fmt: skip
            # Rules over lists are pure geometry in one unit: scaling every length must scale the answer.
            scaled = _scaled(rule, given, 25.4)
            dimension = {"length": 1, "volume": 3}.get(rule.quantity, 0)
            if case.due not in (1.0, 0.05):  # the figure that stands for "nothing there"
                assert rule(**scaled) == pytest.approx(rule(**given) * 25.4**dimension, rel=1e-9, abs=1e-12)
            continue
        found = rule(**{each.name: dressed(each.of.feature, given[each.name]) for each in rule.inputs})
        unit = base(rule.quantity) if rule.quantity not in ("number", "percent", "slope") else ""
        plain = found.to(unit or "dimensionless").magnitude if hasattr(found, "to") else found
        assert plain == pytest.approx(rule(**given), rel=1e-9, abs=1e-12)


def _scaled(rule: Rule, given: dict[str, Any], factor: float) -> dict[str, Any]:
    def one(feature: Any, value: Any) -> Any:
        if isinstance(value, list):
            fields = feature.item.features
            return [
                SimpleNamespace(
                    **{
                        name: one(fields[name], entry) if name in fields else entry
                        for name, entry in vars(each).items()
                    }
                )
                for each in value
            ]
        power = {"length": 1, "volume": 3}.get(feature.quantity, 0)
        return value * factor**power if isinstance(value, float) and power else value

    return {each.name: one(each.of.feature, given[each.name]) for each in rule.inputs}


# -- through the judge ---------------------------------------------------------------------------------------------


def build_of(rule: Rule, case: Case, *, spread: float = 0.0, without: str = "") -> Build:
    """A build whose parts carry the case's inputs; `without` leaves one parameter unrecorded."""
    facts: dict[str, dict[str, Any]] = {role: {} for role in rule.roles}
    for each in rule.inputs:
        if each.name == without:
            facts.setdefault(each.of.role, {})
            continue
        facts.setdefault(each.of.role, {})[each.of.feature.name] = _fact(each.of.feature, case.given[each.name], spread)
    for limit in rule.limits:
        if isinstance(limit.bound, RoleFeature) and limit.name in case.given:
            facts[limit.bound.role][limit.bound.feature.name] = _fact(
                limit.bound.feature, case.given[limit.name], spread
            )
    for on, codes in rule.when:
        if on.feature.sort != "list":
            facts[on.role].setdefault(on.feature.name, codes[0])
    return Build(
        "case", "case", {role: Part(role, ROLES[role].kind.kind, role, facts=found) for role, found in facts.items()}
    )


def _fact(feature: Any, value: Any, spread: float) -> Any:
    if feature.sort == "dimension":
        terms = (Term("rectangular", spread * max(abs(value), 1e-4)),) if spread else ()
        return Dimension(float(value), terms, "drawing")
    if feature.sort == "list":
        return tuple(
            {
                "id": str(getattr(each, "id", index)),
                **{
                    name: _fact(inner, getattr(each, name), spread)
                    for name, inner in feature.item.features.items()
                    if name != "id" and hasattr(each, name)
                },
            }
            for index, each in enumerate(value)
        )
    return value


@pytest.mark.parametrize(("rule", "case"), CASES, ids=case_id)
def test_exact_inputs_give_the_plain_verdict(rule: Rule, case: Case) -> None:
    finding = judge(rule, build_of(rule, case), SETTINGS)
    assert finding.verdict == {True: FITS, False: NOT, None: OPEN}[case.holds]
    assert finding.quantity == pytest.approx(case.due, abs=case.tolerance)
    assert finding.method == "exact"


@pytest.mark.parametrize(("rule", "case"), CASES, ids=case_id)
def test_a_missing_input_never_clears(rule: Rule, case: Case) -> None:
    """Every input missing in turn: never "fits", and the missing one is named as what to measure."""
    for each in rule.inputs:
        if each.if_known or each in _asked_only_with(rule):
            continue
        if each.optional and all(each.of.role != other.of.role for other in rule.inputs if not other.optional):
            continue
        finding = judge(rule, build_of(rule, case, without=each.name), SETTINGS)
        from kb.rules._rule import DERIVATIONS

        if str(each.of) in DERIVATIONS and finding.because not in ("missing", "hopeless"):
            continue
        lists_nothing = each.of.feature.sort == "list" and each.of.like is not None
        assert finding.verdict in (OPEN, NOT), each.name
        named = [driver.leaf.name for driver in finding.drivers]
        assert any(name.startswith(str(each.of)) for name in named) or lists_nothing, (each.name, named)
        if case.holds and each.of.feature.sort == "dimension":
            assert finding.verdict == OPEN, f"{each.name} missing must not condemn a good case"


def _asked_only_with(rule: Rule) -> list[Any]:
    """Inputs without which the rule is not asked at all."""
    return [each for each in rule.inputs if str(each.of) in {str(one) for one in rule.only_with}]


def test_declarations_are_whole() -> None:
    for rule in RULES:
        assert rule.asks.endswith("?"), rule.id
        assert rule.lesson, rule.id
        assert "=" in rule.formula, f"{rule.id}: the docstring's first line is the formula"
        assert rule.id == rule.id.lower(), rule.id
        assert rule.module.rsplit(".", 1)[1] == rule.id.replace("-", "_"), f"{rule.id} lives in {rule.module}"
        assert rule.module.split(".")[2] in (rule.subsystem,), rule.id
        for limit in rule.limits:
            assert limit.why, rule.id
            assert limit.fix, rule.id
            assert limit.harm in HARMS
        names = [limit.name for limit in rule.limits]
        assert len(set(names)) == len(names), f"{rule.id}: two limits of one name"


def test_docstring_and_signature_agree() -> None:
    """Every parameter is used, and none has a default that is not a role's feature."""
    for rule in RULES:
        source = inspect.getsource(rule.function)
        body = source.split('"""')[-1]
        for each in rule.inputs:
            assert each.name in body, f"{rule.id} does not use {each.name}"


def test_every_dimension_can_be_measured() -> None:
    from kb.measure import instruments

    table = instruments()
    for kind, feature in itertools.chain.from_iterable(
        ((kind, feature) for feature in made.features.values()) for kind, made in KINDS.items()
    ):
        for tool in feature.tools:
            assert tool in table, f"{kind}.{feature.name} is measured with {tool!r}, which is no instrument"
        if feature.sort == "dimension":
            assert feature.plausible, f"{kind}.{feature.name} has no plausible range"
            low, high = feature.plausible
            assert math.isfinite(low)
            assert low < high
