"""What a build still lacks, where each part can be had, and what to look at before it is paid for.

A role is on the list when its part is not owned, or when a milestone needs it and nothing fills it. Nothing is said
about which part is best: that is for `find` and `plan`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from kb.chance import FITS, NOT
from kb.finding import Driver, Finding
from kb.judge import Answer
from kb.known import Incompatibility, holds
from kb.measure import Dimension
from kb.records import Feature
from kb.records.builds import BuildRecord
from kb.records.part import Part
from kb.roles import base_role, role
from kb.rules._rule import HARMS, Rule
from kb.supply import SUPPLIES, Carried, Donor

_HARM_ORDER = {name: number for number, name in enumerate(HARMS)}


class Offer(NamedTuple):
    """A donor that carries the part, or the model `carried.part` that it is based on."""

    donor: Donor
    carried: Carried


class Option(NamedTuple):
    """A part that could fill an empty role, or stand in. price: None where nobody said."""

    part: str
    name: str
    price: float | None
    currency: str
    owned: bool
    offers: tuple[Offer, ...]


class Check(NamedTuple):
    """A feature to look at before paying.

    recorded: a Dimension, the exact value, or None where nobody recorded it. entries: of a list, the ids asked about.
    findings: the rules that read it with this part, the gravest first; rules: those that would, for an empty role.
    driver: what a reading of it would settle, where a rule cannot tell.
    """

    feature: Feature
    recorded: Any
    entries: tuple[str, ...]
    findings: tuple[Finding, ...]
    rules: tuple[Rule, ...] = ()
    driver: Driver | None = None


class Item(NamedTuple):
    """One thing to get.

    part: None for a role that nothing fills. source: one of kb.supply.SUPPLIES. price: in `currency`, None if nobody
    knows it. offers: donors that carry it. verdict: the worst that a rule says of it in this build, '' for an empty
    role. bad: findings that condemn it.
    """

    role: str
    part: Part | None
    source: str
    price: float | None
    currency: str
    offers: tuple[Offer, ...]
    options: tuple[Option, ...]
    checks: tuple[Check, ...]
    clashes: tuple[Incompatibility, ...]
    verdict: str
    bad: tuple[Finding, ...]
    note: str


class Shopping(NamedTuple):
    """The list. totals: known prices by currency; unknown: how many items have none; small: small parts not ticked."""

    build: str
    name: str
    milestone: str
    items: tuple[Item, ...]
    totals: Mapping[str, float]
    unknown: int
    small: tuple[str, ...] = ()

    def of(self, source: str) -> tuple[Item, ...]:
        """The items of one source."""
        return tuple(each for each in self.items if each.source == source)


class Shelf(NamedTuple):
    """What is known around a build. parts: carried and considered parts by id; lines: of each part its own id and those
    of what it is based on.
    """

    donors: Sequence[Donor]
    parts: Mapping[str, Part]
    lines: Mapping[str, tuple[str, ...]]
    clashes: Sequence[Incompatibility] = ()


def shopping(
    answer: Answer,
    record: BuildRecord,
    needed: Iterable[str],
    shelf: Shelf,
    rules: Iterable[Rule],
    milestone: str,
    no_goods: Collection[str] = (),
    small: Iterable[str] = (),
) -> Shopping:
    """The list for a recorded build.

    answer: of all rules on it; needed: roles that the milestone needs, filled or not; rules: all there are; no_goods:
    roles whose record only describes how something is put together, which nobody sells unless it has a price; small:
    small parts that the milestone needs and that nobody ticked as at hand.
    """
    items = [
        _bought(name, entry.price, entry.note, answer, record, shelf)
        for name, entry in record.roles.items()
        if not entry.owned and (base_role(name) not in no_goods or entry.price or answer.build.parts[name].price)
    ]
    filled = {base_role(name) for name in record.roles}
    every = list(rules)
    for name in dict.fromkeys(needed):
        if name not in record.roles and base_role(name) not in {*filled, *no_goods}:
            items.append(_missing(name, filled, record, shelf, every))
    items.sort(key=lambda each: (_ORDER[each.source], each.part is None))
    totals: dict[str, float] = {}
    for each in items:
        if each.price is not None:
            totals[each.currency] = totals.get(each.currency, 0.0) + each.price
    return Shopping(record.id, record.name, milestone, tuple(items), totals, sum(each.price is None for each in items),
                    tuple(small))  # fmt: skip


# The yard first: what is not found there is bought, and what cannot be bought is made.
_ORDER = {"yard": 0, "shop": 1, "bench": 2}


def _bought(name: str, price: float | None, note: str, answer: Answer, record: BuildRecord, shelf: Shelf) -> Item:
    part = answer.build.parts[name]
    line = shelf.lines.get(part.id, (part.id,))
    offers = _offers(line, shelf.donors)
    source = part.supply if part.supply in SUPPLIES else ""
    if source != "bench" and any(each.donor.sort == "yard" for each in offers):
        source = "yard"
    source = source or "shop"
    cost, currency = _price(price, part, offers, source)
    about = [each for each in answer.findings if _reads(each, name, part)]
    bad = tuple(each for each in about if each.verdict == NOT)
    verdict = NOT if bad else FITS if all(each.verdict == FITS for each in about) else "cannot tell"
    options = _options(name, record, shelf)
    clashes = tuple(each for each in shelf.clashes if _touches(each, name, part, line))
    return Item(
        name, part, source, cost, currency, offers, options, _checks(about, name, part), clashes,
        verdict if about else "", bad, note,
    )  # fmt: skip


def _offers(line: Sequence[str], donors: Sequence[Donor]) -> tuple[Offer, ...]:
    """Donors of the part or of what it is based on: those with a price first, the cheapest before."""
    found = [Offer(donor, each) for donor in donors for each in donor.carries if each.part in line]
    return tuple(sorted(found, key=lambda one: (one.carried.price is None, one.carried.price or 0.0, one.donor.id)))


def _price(said: float | None, part: Part, offers: Sequence[Offer], source: str) -> tuple[float | None, str]:
    """What the build says it costs, else the cheapest offer from there, else the part's own record."""
    if said is not None:
        return said, part.currency
    of_source = [each.carried for each in offers if each.donor.sort == source and each.carried.price is not None]
    if of_source:
        return of_source[0].price, of_source[0].currency
    return part.price, part.currency


def _options(name: str, record: BuildRecord, shelf: Shelf) -> tuple[Option, ...]:
    """What the build considers for the role."""
    found = []
    for entry in record.alternatives.get(name, ()):
        part = shelf.parts.get(entry.part)
        if part is not None:
            found.append(_option(part, 0.0 if entry.owned else entry.price, entry.owned, shelf))
    return tuple(found)


def _option(part: Part, price: float | None, owned: bool, shelf: Shelf) -> Option:
    offers = _offers(shelf.lines.get(part.id, (part.id,)), shelf.donors)
    cost = price if price is not None else next((o.carried.price for o in offers if o.carried.price is not None), None)
    return Option(part.id, part.name, cost if cost is not None else part.price, part.currency, owned, offers)


def _missing(name: str, filled: set[str], record: BuildRecord, shelf: Shelf, rules: Sequence[Rule]) -> Item:
    """A role that nothing fills: what is considered, and what of its kind the donors carry."""
    kind = role(name).kind
    options = list(_options(name, record, shelf))
    known = {each.part for each in options}
    for part in shelf.parts.values():
        if part.kind == kind.kind and part.id not in known:
            option = _option(part, None, False, shelf)
            if option.offers:
                options.append(option)
                known.add(part.id)
    supplies = {shelf.parts[each.part].supply for each in options}
    yard = any(offer.donor.sort == "yard" for each in options for offer in each.offers)
    source = "yard" if yard else "bench" if supplies == {"bench"} else "shop"
    clashes = tuple(
        each for each in shelf.clashes if any(base_role(p.role) == base_role(name) and not p.part for p in each.parties)
    )
    return Item(
        name, None, source, None, "EUR", (), tuple(options), _checks_of_role(name, filled, rules), clashes, "", (), "",
    )  # fmt: skip


# -- what to look at -----------------------------------------------------------------------------------------------


def _reads(finding: Finding, name: str, part: Part) -> bool:
    """Whether the finding is about the part in this role, qualified or not; the lists to tick judge no part."""
    if finding.rule.subsystem == "ready":
        return False
    qualifier = name.partition(":")[2]
    if finding.qualifier and qualifier and finding.qualifier != qualifier:
        return False
    base = base_role(name)
    return base in (*finding.rule.roles, *finding.rule.optional_roles) and finding.question.build.parts.get(base) in (
        part,
    )


def _gravity(finding: Finding) -> tuple[int, int, float]:
    """Condemned first, then open, then what holds; inside each by harm, then by how near it is to its limit."""
    order = {NOT: 0, FITS: 2}.get(finding.verdict, 1)
    near = finding.margin / finding.u if finding.margin is not None and finding.u else 1e9
    return order, _HARM_ORDER.get(finding.limit.harm, 99), near


def _checks(about: Sequence[Finding], name: str, part: Part) -> tuple[Check, ...]:
    """The features of the part that the findings read, the gravest first."""
    base = base_role(name)
    found: dict[str, Check] = {}
    for finding in sorted(about, key=_gravity):
        drivers = {each.leaf.path: each for each in finding.drivers if each.leaf.role == base}
        for leaf in finding.question.leaves:
            if leaf.role != base or leaf.part != part.id:
                continue
            head, _, rest = leaf.path.partition(".")
            key = f"{head}.{rest.rpartition('.')[2]}" if rest else head
            entry = rest.rpartition(".")[0]
            recorded = leaf.dimension if not rest else None
            old = found.get(key, Check(leaf.feature, recorded, (), ()))
            found[key] = old._replace(
                entries=old.entries if not entry or entry in old.entries else (*old.entries, entry),
                findings=old.findings if finding in old.findings else (*old.findings, finding),
                driver=old.driver or drivers.get(leaf.path),
            )
        for path, value in finding.question.used:
            on, _, feature = path.partition(".")
            if on == base and feature in role(base).kind.features:
                old = found.get(feature, Check(role(base).kind.features[feature], value, (), ()))
                if finding not in old.findings:
                    found[feature] = old._replace(findings=(*old.findings, finding))
    return tuple(found.values())


def _checks_of_role(name: str, filled: set[str], rules: Sequence[Rule]) -> tuple[Check, ...]:
    """For an empty role: what the rules would read of its part once it is there, those that may condemn first."""
    base = base_role(name)
    could = [
        rule for rule in rules
        if base in rule.roles and {*rule.roles} - {base} <= filled and any(limit.may_condemn for limit in rule.limits)
    ]  # fmt: skip
    could.sort(key=lambda rule: min(_HARM_ORDER.get(limit.harm, 99) for limit in rule.limits))
    found: dict[str, Check] = {}
    for rule in could:
        for each in rule.inputs:
            if each.of.role == base:
                old = found.get(each.of.feature.name, Check(each.of.feature, None, (), ()))
                found[each.of.feature.name] = old._replace(rules=(*old.rules, rule))
    return tuple(found.values())


def _touches(clash: Incompatibility, name: str, part: Part, line: Sequence[str]) -> bool:
    """Whether the part can be a party of a recorded clash, as far as its own record goes."""
    for party in clash.parties:
        if base_role(party.role) != base_role(name) or (party.part and party.part not in line):
            continue
        if all(holds(condition, part) is not False for condition in party.where):
            return True
    return False


def recorded_as(check: Check) -> Dimension | None:
    """The check's recorded dimension, None for anything else."""
    return check.recorded if isinstance(check.recorded, Dimension) else None
