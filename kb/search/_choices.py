"""What a plan may choose: the roles that are searched, their candidates, and what the milestone's needs ask of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import product
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import numpy.typing as npt

from kb.build import Build
from kb.errors import Fault, unknown
from kb.ready.needs import LISTS, Need, declared, described, needs, up_to
from kb.records.part import Part
from kb.roles import base_role, role
from kb.search.candidates import Candidate, candidates_for

if TYPE_CHECKING:
    from kb.records.builds import BuildRecord

# What the build is for: nobody changes the car, the engine or the fuels to make a gasket fit.
# What is ticked and what is read once the engine turns: nothing that a plan could get hold of.
NOT_GOT = frozenset({*LISTS, "oil_readings"})
GIVEN = frozenset({"block", "car", "engine_bay", "duty", "fuel", "second_fuel"})
FEWEST, CHEAPEST = "fewest", "cheapest"
COMBINATIONS = 4000  # of what decides a need, beyond which it is taken to apply


class Wish(NamedTuple):
    """What the builder asks of a plan.

    milestone: by which it must be good. change: '' for the cheapest purchases, 'fewest' or 'cheapest' for changes to
    what is there. budget: most that it may cost. keep: roles that stay as they are. avoid: parts not to use.
    considered: only parts at hand or under consideration, where a role has any. unknown_price: what a part without a
    price is taken to cost; None: such a part is used only where nothing priced will do. free: roles that may change
    although they usually do not (for what-ifs). costs: whether to tell what each constraint costs.
    """

    milestone: str = "drive"
    change: str = ""
    budget: float | None = None
    keep: frozenset[str] = frozenset()
    avoid: frozenset[str] = frozenset()
    allow_unknown: bool = False
    considered: bool = False
    unknown_price: float | None = None
    alternatives: int = 3
    limit_s: float = 20.0
    free: frozenset[str] = frozenset()
    costs: bool = True


class Demand(NamedTuple):
    """A need of the milestone over searched roles, as a relation. allowed: one axis a role, of its candidates."""

    need: Need
    roles: tuple[str, ...]
    allowed: npt.NDArray[np.bool_]


class Choices(NamedTuple):
    """domains: candidates of each searched role, in the order that decides between equals. fixed: all other parts.

    demands: what the milestone needs of them. nothing: needed roles that no recorded part can fill. currency: of all
    prices; foreign: parts priced in another, taken as of unknown price.
    """

    domains: dict[str, list[Candidate]]
    fixed: Build
    demands: tuple[Demand, ...]
    nothing: tuple[str, ...]
    currency: str
    foreign: tuple[Part, ...]


def kinds_wanted(build: Build, milestone: str) -> list[str]:
    """Kinds of part that a plan may look at: of the roles that are filled, and of those that a need names."""
    names = {*build.parts, *(each for need in _declared(milestone) for each in need[0].roles)}
    return sorted({role(each).kind.kind for each in names})


def choices(build: Build, record: BuildRecord | None, catalogue: Mapping[str, Sequence[Part]], wish: Wish) -> Choices:
    """The candidates of every role that the plan searches.

    catalogue: the recorded parts by kind. Fault for constraints that contradict each other, UnknownName for a role or
    part that there is not.
    """
    refuse(build, catalogue, wish)
    currency, foreign = _currency(build, catalogue)
    strange = {each.id for each in foreign}
    searched = _searched(build, wish)
    domains: dict[str, list[Candidate]] = {}
    for name in sorted(searched):
        parts = catalogue.get(role(name).kind.kind, ())
        some = [each for each in candidates_for(name, parts, record) if each.id not in wish.avoid]
        some = [each if each.id not in strange else each._replace(price=None) for each in some]
        if wish.considered and any(each.considered or each.owned or each.now for each in some):
            some = [each for each in some if each.considered or each.owned or each.now]
        here = build.parts.get(name)
        if here is not None and not any(each.now for each in some):  # a build that is not recorded
            some = [each._replace(now=each.id == here.id) for each in some]
        if base_role(name) in described():  # a way of putting something together: nobody sells it
            some = [each._replace(price=0.0) if each.price is None else each for each in some]
        domains[name] = sorted(some, key=lambda each: not each.now)  # stable: what is there goes first among equals
    fixed = build._replace(parts={name: part for name, part in build.parts.items() if name not in domains})
    must = _unconditional(build, wish.milestone, fixed, domains)
    for name, some in domains.items():
        if name not in must:
            some.append(Candidate(None, 0.0, now=name not in build.parts))
    for name in [each for each, some in domains.items() if all(one.part is None for one in some)]:
        del domains[name]
    nothing = tuple(sorted(name for name in must if not domains.get(name)))
    return Choices(domains, fixed, _demands(domains, fixed, wish), nothing, currency, foreign)


def refuse(build: Build, catalogue: Mapping[str, Sequence[Part]], wish: Wish) -> None:
    """Fault for what contradicts itself."""
    up_to(wish.milestone)
    if wish.budget is not None and not 0 <= wish.budget < 1e9:
        raise Fault(f"{wish.budget:g} is no budget", place="--budget", step="give what may be spent, 0 or more")
    if wish.unknown_price is not None and not 0 <= wish.unknown_price < 1e9:
        raise Fault(f"{wish.unknown_price:g} is no price", place="--unknown-price", step="give 0 or more")
    known = {part.id for parts in catalogue.values() for part in parts}
    for part in sorted(wish.avoid):
        if part not in known:
            fault = unknown("part", part, sorted(known), place=f"--avoid {part[:60]}")
            fault.step = fault.step or "name a recorded part: only a part of the catalogue can be avoided"
            raise fault
    for name in sorted(wish.keep):
        if name not in build.parts:
            role(name, place=f"--keep {name[:60]}")
            filled = ", ".join(sorted(build.parts)[:12])
            raise Fault(f"no part fills the role {name}, so that none can be kept", place=f"--keep {name[:60]}",
                        step=f"filled are: {filled}" if filled else "fill it first")  # fmt: skip
        if build.parts[name].id in wish.avoid:
            part = build.parts[name].id
            raise Fault(f"{name} is to be kept, and its part {part} is to be avoided", place=f"--keep {name[:60]}",
                        step="leave out one of the two")  # fmt: skip
    if not known:
        raise Fault("the database holds no part that could fill a role of this build",
                    step="load part records first: matchmark load FOLDER")  # fmt: skip


def stays(name: str, build: Build, wish: Wish) -> bool:
    """Whether a filled role is left as it is."""
    if name in wish.keep:
        return True
    if name in wish.free or build.parts[name].id in wish.avoid:
        return False
    return base_role(name) in GIVEN or base_role(name) in NOT_GOT or base_role(name) in described()


def _searched(build: Build, wish: Wish) -> set[str]:
    """Roles to choose for: needed ones that are empty, and filled ones that need not stay as they are."""
    wanted = {each for need, _ in _declared(wish.milestone) for each in need.roles if each not in NOT_GOT}
    later = {base_role(each) for need, _ in _declared("drive") for each in need.roles}
    found = {name for name in build.parts if not stays(name, build, wish)}
    # What only a later milestone needs stands by, and is left as it is.
    found = {name for name in found if name in wish.free or _near(name, wanted) or base_role(name) not in later}
    filled = {base_role(name) for name in build.parts}
    return found | {name for name in wanted if name not in build.parts and not (":" not in name and name in filled)}


def _near(name: str, wanted: Iterable[str]) -> bool:
    return name in wanted or base_role(name) in {base_role(each) for each in wanted}


def _declared(milestone: str) -> list[tuple[Need, Mapping[str, Any]]]:
    reached = up_to(milestone)
    return [(need, when) for need, when in declared() if need.milestone in reached and need.sort in ("role", "any_of")]


def _currency(build: Build, catalogue: Mapping[str, Sequence[Part]]) -> tuple[str, tuple[Part, ...]]:
    """The currency of most priced parts, and the parts that are priced in another."""
    counts: dict[str, int] = {}
    priced = [part for parts in catalogue.values() for part in parts if part.price]
    for part in priced:
        counts[part.currency] = counts.get(part.currency, 0) + 1
    currency = max(sorted(counts), key=lambda each: counts[each], default="EUR")
    return currency, tuple(part for part in priced if part.currency != currency)


# -- needs as relations -----------------------------------------------------------------------------------------------


def _deciding(when: Any) -> set[str]:
    """The roles that a need's condition looks at."""
    if isinstance(when, Mapping):
        found = {when[word] for word in ("filled", "empty") if word in when}
        found |= {when["is"].partition(".")[0]} if "is" in when else set()
        return found.union(*(_deciding(each) for each in when.values()))
    return set().union(*(_deciding(each) for each in when)) if isinstance(when, (list, tuple)) else set()


def _unconditional(build: Build, milestone: str, fixed: Build, domains: Mapping[str, Any]) -> set[str]:
    """Searched roles that the milestone needs whatever is chosen for the others, and nothing else can stand for."""
    applying = {each.id for each in needs(fixed, milestone)}
    return {
        need.roles[0]
        for need, when in _declared(milestone)
        if len(need.roles) == 1
        and need.roles[0] not in NOT_GOT
        and need.id in applying
        and need.roles[0] not in fixed.parts
        and not _over(_deciding(when), domains)
        and not _stand_ins(need.roles[0], fixed, domains)
    }


def _over(names: Iterable[str], domains: Mapping[str, Any]) -> list[str]:
    """The searched roles, with whatever qualifier, that these names stand for."""
    wanted = set(names)
    return sorted(name for name in domains if name in wanted or base_role(name) in wanted)


def _stand_ins(name: str, fixed: Build, domains: Mapping[str, Any]) -> list[str]:
    """Other roles of the same kind that may meet a need: `fuel_line:rail` for `fuel_line:supply`, if it is such."""
    return [each for each in (*fixed.parts, *domains) if each != name and base_role(each) == base_role(name)
            and (":" not in name or each not in _all_wanted())]  # fmt: skip


def _all_wanted() -> set[str]:
    return {each for need, _ in declared() for each in need.roles}


def _demands(domains: Mapping[str, Sequence[Candidate]], fixed: Build, wish: Wish) -> tuple[Demand, ...]:
    """Every need that hangs on what is chosen."""
    made = []
    milestone = wish.milestone
    unmet = ("lacking",) if wish.allow_unknown else ("lacking", "undecided")
    for need, when in _declared(milestone):
        able = [name for each in need.roles for name in _over([each], domains)]
        able += [name for each in need.roles for name in _stand_ins(each, fixed, domains) if name in domains]
        roles = tuple(dict.fromkeys([*_over(_deciding(when), domains), *able]))
        if not roles or all(len(domains[name]) == 1 for name in roles):
            continue
        # Only what a candidate is to the need counts: those that look the same are asked once.
        axes = [_classes(name, domains[name], when, need) for name in roles]
        if int(np.prod([len(firsts) for _, firsts in axes])) > COMBINATIONS:
            continue
        small = np.ones([len(firsts) for _, firsts in axes], dtype=bool)
        for cell in product(*(range(len(firsts)) for _, firsts in axes)):
            parts = dict(fixed.parts)
            for name, at, (_, firsts) in zip(roles, cell, axes, strict=True):
                part = domains[name][firsts[at]].part
                if part is not None:
                    parts[name] = part
            one = next((each for each in needs(fixed._replace(parts=parts), milestone) if each.id == need.id), None)
            small[cell] = one is None or one.state not in unmet
        allowed = small[np.ix_(*[classes for classes, _ in axes])]
        if not allowed.all():
            made.append(Demand(need, roles, allowed))
    return tuple(made)


def _classes(name: str, several: Sequence[Candidate], when: Any, need: Need) -> tuple[npt.NDArray[np.intp], list[int]]:
    """For each candidate the number of its class to a need, and the first candidate of each class."""
    looks: dict[Any, int] = {}
    features = {*_features(when, name), *(each for what in need.such.values() for each in what)}
    numbers, firsts = [], []
    for at, each in enumerate(several):
        look = None if each.part is None else repr([each.part.facts.get(one) for one in sorted(features)])
        if look not in looks:
            looks[look] = len(looks)
            firsts.append(at)
        numbers.append(looks[look])
    return np.array(numbers, dtype=np.intp), firsts


def _features(when: Any, name: str) -> set[str]:
    """The features of a role that a condition looks at."""
    if isinstance(when, Mapping):
        words: list[str] = when["is"].split(".") if "is" in when else []
        found = {words[1]} if len(words) > 1 and words[0] in (name, base_role(name)) else set()
        return found.union(*(_features(each, name) for each in when.values()))
    return set().union(*(_features(each, name) for each in when)) if isinstance(when, (list, tuple)) else set()
