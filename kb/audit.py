"""Which recorded incompatibilities the rules foresee from what could be known before buying.

Every confirmed incompatibility is replayed: its parts as they stood before anybody was harmed, in the build on which it
was found (or the nearest recorded one), put to the rules that bear on it.

What could be known before buying, of a named part: every reading except those that were taken on that very part
(`how: measured` in its own record, not in that of what it is based on) by whoever found the clash, or by nobody named,
at or after the day on which it was found (or without a day). Drawings, listings, guesses, codes, counts and flags stay:
anybody could look them up or look at the part. The rest of the build stands as recorded.

A rule bears on a clash if it reads two of the clashing parts, or the only one, or a feature that the evidence or a
party's condition names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from kb.build import Build, applies, views
from kb.chance import FITS, NOT, OPEN, Settings
from kb.finding import Finding
from kb.judge import judge
from kb.known import Incompatibility, Party, clashes, holds
from kb.measure import Instrument
from kb.records.part import Part, assemble
from kb.roles import RoleFeature, base_role, role
from kb.rules import askable, derivations, load_rules
from kb.rules._rule import Derivation, Rule

FORESEEN, UNDECIDED, UNFORESEEN = "foreseen", "undecided", "not foreseen"
# read too late: a rule reads what was seen, and took the model's figure for this very part. no reader: no rule reads
# what was seen. no joint: no rule reads two of the roles. nothing seen: the evidence names no feature. not together: no
# rule reads all that was seen. says fits: one does, and found nothing wrong. no part: none is such.
GAPS = ("read too late", "no reader", "no joint", "nothing seen", "not together", "says fits", "no part")
Facts = Mapping[str, Any]


class Told(NamedTuple):
    """A clash to replay. seen: (role, feature path) of the evidence, '' where it names none."""

    clash: Incompatibility
    seen: tuple[tuple[str, str], ...]


class Shelf(NamedTuple):
    """Where parts come from. chain: facts of a part's line, oldest first (empty if there is none); of_kind: ids."""

    chain: Callable[[str], Sequence[Facts]]
    of_kind: Callable[[str], Sequence[str]]
    builds: Sequence[Build]
    lines: Mapping[str, tuple[str, ...]]  # of the builds' parts: own id and those of what it is based on
    clashes: Sequence[Incompatibility] = ()
    instruments: Mapping[str, Instrument] = {}


class Gap(NamedTuple):
    """Why no rule foresees a clash: one of GAPS, the roles of its parts, and the features that its evidence names."""

    sort: str
    roles: tuple[str, ...]
    features: tuple[str, ...]


class Case(NamedTuple):
    """One clash replayed.

    build: the recorded build around the parts, '' for the parts alone; parts: role -> part id; stand_ins: roles whose
    part stands for a class; set_aside: features whose readings were not known yet. by: the finding that foresees it;
    findings: all that bear on it, condemning ones first, then open ones; gap: for one that is not foreseen.
    """

    clash: Incompatibility
    outcome: str
    build: str
    parts: Mapping[str, str]
    stand_ins: tuple[str, ...]
    set_aside: tuple[str, ...]
    findings: tuple[Finding, ...]
    gap: Gap | None

    @property
    def by(self) -> Finding | None:
        return self.findings[0] if self.outcome == FORESEEN else None


class Audit(NamedTuple):
    """All clashes replayed, by id."""

    cases: tuple[Case, ...]

    def of(self, outcome: str) -> tuple[Case, ...]:
        return tuple(each for each in self.cases if each.outcome == outcome)

    @property
    def share(self) -> float | None:
        """The part of the clashes that is foreseen, 0 to 1; None without any."""
        return len(self.of(FORESEEN)) / len(self.cases) if self.cases else None

    @property
    def gaps(self) -> dict[tuple[str, str], tuple[Case, ...]]:
        """The clashes that are not foreseen by (sort of gap, worst harm), most numerous first."""
        found: dict[tuple[str, str], list[Case]] = {}
        for each in self.of(UNFORESEEN):
            assert each.gap is not None
            found.setdefault((each.gap.sort, each.clash.harm[0]), []).append(each)
        return {key: tuple(found[key]) for key in sorted(found, key=lambda key: (-len(found[key]), key))}


def audit(
    told: Iterable[Told],
    shelf: Shelf,
    settings: Settings,
    progress: Callable[[str, int, int], None] | None = None,
) -> Audit:
    """Every clash of `told` replayed."""
    every = sorted(told, key=lambda each: each.clash.id)
    touched = {build.id for build in shelf.builds if clashes(build, shelf.clashes, shelf.lines)}
    # Fullest builds first; one that a recorded clash touches would lend its own trouble to others.
    hosts = sorted(shelf.builds, key=lambda build: (build.id in touched, -len(build.parts), build.id))
    cases = []
    for number, each in enumerate(every):
        if progress is not None:
            progress("replaying", number, len(every))
        cases.append(replay(each, shelf, hosts, settings))
    if progress is not None:
        progress("replaying", len(every), len(every))
    return Audit(tuple(cases))


def known_before(facts: Facts, by: str, date: str) -> tuple[dict[str, Any], tuple[str, ...]]:
    """A part's own facts without what was only measured when the clash was found, and the names of what went."""
    gone: list[str] = []

    def early(path: str, value: Any) -> Any:
        if not isinstance(value, (list, tuple)):
            return value
        kept = []
        for each in value:
            if not isinstance(each, Mapping):
                kept.append(each)
            elif "si" in each:
                if not _late(each, by, date):
                    kept.append(each)
                elif path not in gone:
                    gone.append(path)
            else:
                kept.append(
                    {
                        name: inner
                        for name, said in each.items()
                        if (inner := early(f"{path}.{each.get('id', '')}.{name}", said)) != [] or not said
                    }
                )
        return kept

    left = {}
    for name, value in facts.items():
        found = early(name, value)
        if found != [] or not value:
            left[name] = found
    return left, tuple(gone)


def _late(reading: Facts, by: str, date: str) -> bool:
    how = reading.get("how") or ("measured" if reading.get("with") else "")
    whose = str(reading.get("by", ""))
    when = str(reading.get("date", ""))
    return how == "measured" and whose in ("", by) and (not when or not date or when >= date)


class _Side(NamedTuple):
    role: str
    part: Part
    class_of: bool
    set_aside: tuple[str, ...]


def replay(told: Told, shelf: Shelf, hosts: Sequence[Build], settings: Settings) -> Case:
    """One clash, put to the rules that bear on it in the first of `hosts` that holds most of its parts."""
    clash = told.clash
    host, meets = _host(clash, hosts, shelf)
    sides = []
    for party in clash.parties:
        side = _side(party, clash, meets.get(party, ""), host, shelf)
        if side is None:
            features = tuple(f"{base_role(party.role)}.{each.feature}" for each in party.where)
            roles = tuple(base_role(each.role) for each in clash.parties)
            gap = Gap("no part", roles, features)
            return Case(clash, UNFORESEEN, "", {}, (), (), (), gap)
        sides.append(side)
    parts = dict(host.parts) if host else {}
    parts.update({side.role: side.part for side in sides})
    build = Build(host.id if host else "parts", clash.title, parts, own_limits=host.own_limits if host else {})
    named = _named(told)
    found = []
    for rule in askable({base_role(each) for each in parts})[0]:
        for qualifier, view in views(rule, build):
            if _bears(rule, view, sides, named) and not applies(rule, view):
                finding = judge(rule, view, settings)._replace(qualifier=qualifier)
                joins = sum(base_role(side.role) in rule.roles for side in sides) > 1
                if joins or finding.verdict != NOT or not _old_trouble(finding, host, settings):
                    found.append(finding)
    clashing = {base_role(side.role) for side in sides}
    found.sort(key=lambda each: _order(each, named, clashing))
    verdicts = {each.verdict for each in found}
    outcome = FORESEEN if NOT in verdicts else UNDECIDED if OPEN in verdicts else UNFORESEEN
    return Case(
        clash,
        outcome,
        host.id if host else "",
        {side.role: side.part.id for side in sides},
        tuple(side.role for side in sides if side.class_of),
        tuple(f"{side.role}.{name}" for side in sides for name in side.set_aside),
        tuple(found),
        _gap(sides, named, found) if outcome == UNFORESEEN else None,
    )


def _old_trouble(finding: Finding, host: Build | None, settings: Settings) -> bool:
    """Whether the host says the same with its own parts: then one of them may be to blame."""
    if host is None:
        return False
    view = dict(views(finding.rule, host)).get(finding.qualifier)
    return view is not None and not applies(finding.rule, view) and judge(finding.rule, view, settings).verdict == NOT


# -- parts and builds -------------------------------------------------------------------------------------------------


def _host(clash: Incompatibility, hosts: Sequence[Build], shelf: Shelf) -> tuple[Build | None, dict[Party, str]]:
    """The build that holds most of the clashing parts, and in which of its roles each is met."""
    best: tuple[Build | None, dict[Party, str]] = None, {}
    for build in hosts:
        met: dict[Party, str] = {}
        for party in clash.parties:
            for name, part in build.parts.items():
                if name != party.role and (":" in party.role or base_role(name) != party.role):
                    continue
                line = shelf.lines.get(part.id, (part.id,))
                if (not party.part or party.part in line) and all(holds(each, part) for each in party.where):
                    met.setdefault(party, name)
        if len(met) > len(best[1]):
            best = build, met
    return best


def _side(party: Party, clash: Incompatibility, met: str, host: Build | None, shelf: Shelf) -> _Side | None:
    """The part that stands for a party, as it was known before, in the role that it fills in the host."""
    if party.part:
        part, gone = _part(party.part, clash, shelf)
        if part is None:
            return None
        return _Side(met or _place(party.role, part, host), part, False, gone)
    if met and host:
        return _Side(met, host.parts[met], True, ())
    for id in _models_first(role(party.role).kind.kind, shelf):
        part, gone = _part(id, clash, shelf)
        if part is not None and all(holds(each, part) for each in party.where):
            return _Side(_place(party.role, part, host), part, True, gone)
    return None


def _models_first(kind: str, shelf: Shelf) -> list[str]:
    ids = list(shelf.of_kind(kind))
    return sorted(ids, key=lambda id: (len(shelf.chain(id)) > 1, id))


def _part(id: str, clash: Incompatibility, shelf: Shelf) -> tuple[Part | None, tuple[str, ...]]:
    chain = list(shelf.chain(id))
    if not chain:
        return None, ()
    own, gone = known_before(chain[-1], clash.by, clash.found_date)
    return assemble(id, [*chain[:-1], own], shelf.instruments), gone


def _place(wanted: str, part: Part, host: Build | None) -> str:
    """The role of the host that such a part would fill: where several are, that which the part itself names."""
    if host is None or ":" in wanted or wanted in host.parts:
        return wanted
    qualified = sorted(each for each in host.parts if base_role(each) == wanted)
    says = set(map(str, part.facts.values()))
    return next((each for each in qualified if each.partition(":")[2] in says), qualified[0] if qualified else wanted)


# -- what bears on a clash --------------------------------------------------------------------------------------------


def _named(told: Told) -> frozenset[str]:
    """`role.feature` that evidence and conditions name."""
    found = {f"{base_role(each)}.{path.partition('.')[0]}" for each, path in told.seen if each and path}
    for party in told.clash.parties:
        found.update(f"{base_role(party.role)}.{each.feature.partition('.')[0]}" for each in party.where)
    return frozenset(found)


_READS: dict[str, frozenset[str]] = {}


def reads(rule: Rule) -> frozenset[str]:
    """Every `role.feature` that a rule reads, those from which it derives a missing one included."""
    if rule.id not in _READS:
        found: set[str] = set()
        waiting = [*_asked(rule), *(each.bound for each in rule.limits if isinstance(each.bound, RoleFeature))]
        waiting += rule.only_with
        while waiting:
            one = str(waiting.pop())
            if one not in found:
                found.add(one)
                waiting += [of for derivation in derivations(one) for of in _asked(derivation)]
        _READS[rule.id] = frozenset(found)
    return _READS[rule.id]


def _asked(rule: Rule | Derivation) -> list[RoleFeature]:
    return [*(each.of for each in rule.inputs), *(on for on, _ in rule.when)]


def _bears(rule: Rule, view: Build, sides: Sequence[_Side], named: frozenset[str]) -> bool:
    wanted = {*rule.roles, *rule.optional_roles}
    present = [side for side in sides if _reader(rule, view, side, wanted)]
    if not present:
        return False
    roles = {base_role(side.role) for side in present}
    return len(present) > 1 or len(sides) == 1 or any(each.partition(".")[0] in roles for each in named & reads(rule))


def _reader(rule: Rule, view: Build, side: _Side, wanted: set[str]) -> bool:
    """Whether this view of the rule reads the very part of the side, directly or through a derivation."""
    base = base_role(side.role)
    if base in wanted:
        return view.parts.get(base) is side.part
    return view.parts.get(base) is side.part and any(each.startswith(f"{base}.") for each in reads(rule))


def _order(finding: Finding, named: frozenset[str], roles: set[str]) -> tuple[Any, ...]:
    """Condemning ones first; of these, what reads the evidence, and then what reads most of the clashing parts."""
    rank = {NOT: 0, OPEN: 1, FITS: 2}[finding.verdict]
    read = reads(finding.rule)
    together = sum(any(each.startswith(f"{one}.") for each in read) for one in roles)
    return rank, not named & read, -together, finding.name


# -- why not ----------------------------------------------------------------------------------------------------------


def _gap(sides: Sequence[_Side], named: frozenset[str], found: Sequence[Finding]) -> Gap:
    """What a rule would have had to read."""
    roles = tuple(dict.fromkeys(base_role(side.role) for side in sides))
    read = {rule.id: reads(rule) for rule in load_rules().values()}
    late = {f"{base_role(side.role)}.{name.partition('.')[0]}" for side in sides for name in side.set_aside}
    if found and late & named:
        return Gap("read too late", roles, tuple(sorted(late & named)))
    unread = sorted(each for each in named if not any(each in features for features in read.values()))
    if unread:
        return Gap("no reader", roles, tuple(unread))
    joins = any(
        sum(any(each.startswith(f"{one}.") for each in features) for one in roles) > 1 for features in read.values()
    )
    if len(roles) > 1 and not joins:
        return Gap("no joint", roles, tuple(sorted(named)))
    if not named:
        return Gap("nothing seen", roles, ())
    if len(named) > 1 and not any(named <= features for features in read.values()):
        return Gap("not together", roles, tuple(sorted(named)))
    return Gap("says fits" if found else "not together", roles, tuple(sorted(named)))
