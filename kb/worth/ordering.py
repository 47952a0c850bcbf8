"""The readings worth taking for a build, in order of what each settles for the minutes that it takes.

A reading serves every finding that reads the same input, so its worth is a sum over findings: the expected number of
verdicts that it settles. After the first, the next one is worth what it adds: findings that the ones before it have
probably settled count only with the probability that they are still open. That probability is the product over the
readings taken, as if what they settle were independent: an approximation, good for an order, stated with the list.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from kb.build import Leaf
from kb.chance import OPEN
from kb.errors import Fault
from kb.finding import Finding
from kb.judge import Answer
from kb.measure import Instrument, instruments
from kb.ready.needs import described
from kb.records import KINDS
from kb.roles import base_role
from kb.rules._rule import HARMS, MILESTONES
from kb.worth.advised import Advice, Item, Measurement
from kb.worth.prospects import Others, must_supersede, tools_for
from kb.worth.settle import Settling, Taken, settling, settling_together

WHERES = ("yard", "bench", "car")
ORDERS = ("minutes", "tool")
LEAST_SHARE = 0.01  # of the doubt, below which an input is not worth a look
LEAST = 0.005  # expected verdicts below which a reading is not advised
Progress = Callable[[str, int, int], None]


class _Offer(NamedTuple):
    """A single reading or a bundle, before its place in the list is known."""

    readings: tuple[Measurement, ...]
    settles: dict[int, Settling]


def advice(
    answer: Answer,
    *,
    milestone: str = "",
    at: str = "",
    tools: Sequence[str] = (),
    table: Mapping[str, Instrument] | None = None,
    others: Others | None = None,
    by: str = "",
    order: str = "minutes",
    progress: Progress | None = None,
) -> Advice:
    """The readings worth taking for the undecided findings of an answer, those up to `milestone` if one is named.

    at: only what can be read in the yard, at the bench or on the car. tools: only these instruments (eyes and papers
    always). table: the instruments by id. others: the values that recorded parts have, for inputs without a plausible
    range. by: who will read, as two readings by one person with one instrument share its error. order: by verdicts a
    minute, or tool by tool. Fault for another word.
    """
    _refuse("milestone", milestone, MILESTONES)
    _refuse("place", at, WHERES)
    _refuse("order", order, ORDERS)
    table = {**instruments(), **(table or {})}
    looked = [each for each in answer.findings if each.verdict == OPEN and _up_to(each, milestone)]
    touched = [each for each in looked if each.because in ("spread", "missing") and each.drivers]
    weighing = _Weighing(answer, touched, table, tools, at, others, by, progress)
    offers = weighing.singles()
    offers += weighing.bundles()
    items = _in_order(touched, offers)
    if order == "tool":
        items = _by_tool(items)
    advised = {reading.key for item in items for reading in item.readings}
    return Advice(
        answer.build,
        tuple(looked),
        tuple(items),
        tuple(each for key, each in weighing.idle.items() if key not in advised),
        tuple(each for key, each in weighing.unforeseen.items() if key not in advised),
        tuple(each for each in looked if each not in touched),
        tuple(each for each in answer.clashes if not each.certain),
        order,
        milestone,
        at,
    )


def _refuse(what: str, given: str, known: Sequence[str]) -> None:
    if given and given not in known:
        raise Fault(f"there is no {what} {given[:40]!r}", step=f"it is one of: {', '.join(known)}")


def _up_to(finding: Finding, milestone: str) -> bool:
    """Whether the doubt stands before the milestone: any limit may, where nothing is known that says which."""
    limits = [finding.limit] if finding.checks else finding.rule.limits
    first = min(MILESTONES.index(each.milestone) for each in limits)
    return not milestone or first <= MILESTONES.index(milestone)


class _Weighing:
    """Weighs every reading against every finding that it touches."""

    def __init__(
        self,
        answer: Answer,
        findings: Sequence[Finding],
        table: Mapping[str, Instrument],
        named: Sequence[str],
        at: str,
        others: Others | None,
        by: str,
        progress: Progress | None,
    ) -> None:
        self.answer, self.findings, self.table, self.named = answer, findings, table, named
        self.at, self.others, self.by, self.progress = at, others, by, progress
        self.idle: dict[str, Measurement] = {}
        self.unforeseen: dict[str, Measurement] = {}
        self.best: dict[str, Measurement] = {}
        self.leaves: dict[str, dict[int, Leaf]] = {}  # key -> finding -> its own leaf
        self.needs: dict[str, float] = {}
        for number, finding in enumerate(findings):
            for driver in finding.drivers:
                if driver.leaf.missing or driver.share >= LEAST_SHARE:
                    self.leaves.setdefault(driver.leaf.key, {})[number] = driver.leaf
                    if driver.needed and driver.needed >= 1e-3 * (
                        driver.leaf.dimension.u if driver.leaf.dimension else 0
                    ):
                        self.needs[driver.leaf.key] = min(driver.needed, self.needs.get(driver.leaf.key, driver.needed))

    def singles(self) -> list[_Offer]:
        offers = []
        for done, (key, leaves) in enumerate(self.leaves.items()):
            if self.progress is not None:
                self.progress("weighing readings", done, len(self.leaves))
            offers += self._single(key, leaves)
        if self.progress is not None:
            self.progress("weighing readings", len(self.leaves), len(self.leaves))
        return offers

    def _single(self, key: str, leaves: Mapping[int, Leaf]) -> list[_Offer]:
        some = next(iter(leaves.values()))
        found: list[tuple[Instrument, dict[int, Settling]]] = []
        tools = [each for each in tools_for(some, self.table, self.named) if self._here(some, each, leaves)]
        # The finest first: where it settles nothing, no coarser one will.
        for tool in sorted(tools, key=lambda each: (not each.id, each.half_width_at(_size(some)))):
            settles: dict[int, Settling] = {}
            for number, leaf in leaves.items():
                one = settling(self.findings[number], Taken(leaf, tool, self.by), self.answer.settings, self.others)
                if one is None:
                    self.unforeseen[key] = self._measurement(key, leaves, tool, 0.0)
                    return []
                if one.settled:
                    settles[number] = one
            if not settles:
                break
            found.append((tool, settles))
        if not found:
            if tools:
                self.idle[key] = self._measurement(key, leaves, tools[0], 0.0)
            return []
        worth = {tool.id: _sum(settles) for tool, settles in found}
        offers = []
        for tool, settles in found:
            rivals = tuple((each, worth[each.id]) for each, _ in found if each.id != tool.id)
            offers.append(_Offer((self._measurement(key, leaves, tool, worth[tool.id], rivals),), settles))
        self.best[key] = max(
            offers, key=lambda each: each.readings[0].settled / each.readings[0].tool.minutes
        ).readings[0]
        return offers

    def bundles(self) -> list[_Offer]:
        """All that is missing for a finding, or all that keeps it vague, where no single reading is likely to do."""
        offers: list[_Offer] = []
        seen: set[frozenset[str]] = set()
        for done, finding in enumerate(self.findings, 1):
            if self.progress is not None:
                self.progress("weighing readings together", done, len(self.findings))
            drivers = [each for each in finding.drivers if each.leaf.key in self.leaves]
            if finding.because == "spread":
                drivers = drivers[:4]
            keys = list(dict.fromkeys(each.leaf.key for each in drivers))
            if len(keys) < 2 or frozenset(keys) in seen:
                continue
            if finding.because == "spread" and max((self._alone(key) for key in keys), default=0.0) >= 0.5:
                continue
            seen.add(frozenset(keys))
            offers += self._bundle(keys)
        return offers

    def _alone(self, key: str) -> float:
        return self.best[key].settled if key in self.best else 0.0

    def _bundle(self, keys: Sequence[str]) -> list[_Offer]:
        served = [
            number
            for number, finding in enumerate(self.findings)
            if any(number in self.leaves[key] for key in keys)
            and all(each.leaf.key in keys for each in finding.drivers if each.leaf.missing)
        ]
        made: list[_Offer] = []
        chosen: set[tuple[str, ...]] = set()
        for finest in (False, True):
            readings = [self._for_bundle(key, finest=finest) for key in keys]
            which = tuple(each.tool.id for each in readings if each is not None)
            if None in readings or which in chosen:
                continue
            chosen.add(which)
            ready = sorted(
                (each for each in readings if each), key=lambda each: (-each.settled, each.tool.minutes, each.key)
            )
            settles: dict[int, Settling] = {}
            for number in served:
                taken = [
                    Taken(self.leaves[each.key][number], each.tool, self.by)
                    for each in ready
                    if number in self.leaves[each.key]
                ]
                (one,) = settling_together([self.findings[number]], taken, self.answer.settings, self.others)
                if one is not None and one.settled:
                    settles[number] = one
            if settles:
                made.append(_Offer(tuple(ready), settles))
        return made

    def _for_bundle(self, key: str, *, finest: bool) -> Measurement | None:
        leaves = self.leaves[key]
        some = next(iter(leaves.values()))
        if key in self.unforeseen:
            return None
        tools = [each for each in tools_for(some, self.table, self.named) if self._here(some, each, leaves)]
        if not tools:
            return None
        tool = min(tools, key=lambda each: each.half_width_at(_size(some))) if finest else tools[0]
        settled = self.best[key].settled if key in self.best else 0.0
        return self._measurement(key, leaves, tool, settled)

    # -- one reading -----------------------------------------------------------------------------------------------

    def _measurement(
        self,
        key: str,
        leaves: Mapping[int, Leaf],
        tool: Instrument,
        settled: float,
        rivals: tuple[tuple[Instrument, float], ...] = (),
    ) -> Measurement:
        number, leaf = next(iter(leaves.items()))
        role = self._role(leaf, self.findings[number].qualifier)
        owned = role in self.answer.build.owned
        return Measurement(
            key, role, leaf.path, leaf, tool, self._where(role, tool), owned, must_supersede(leaf), self.needs.get(key),
            settled, rivals, leaf.feature.sort != "list",
        )  # fmt: skip

    def _role(self, leaf: Leaf, qualifier: str) -> str:
        """The role as the build has it: the one that the question was asked of, else another that this part fills."""
        parts = self.answer.build.parts
        full = f"{leaf.role}:{qualifier}" if qualifier else leaf.role
        names = [full, leaf.role, *(each for each in parts if base_role(each) == base_role(leaf.role))]
        return next((each for each in names if each in parts and parts[each].id == leaf.part), leaf.role)

    def _where(self, role: str, tool: Instrument) -> str:
        """Where one is with this part: parts that nobody owns yet are in the yard, the car's own on the car."""
        build = self.answer.build
        part = build.parts[role]
        elsewhere = role not in build.owned and base_role(role) not in described()
        if elsewhere and part.supply in ("", "yard") and "yard" in tool.where:
            return "yard"
        first = ("car", "bench") if KINDS[part.kind].family == "car" else ("bench", "car")
        return next((each for each in (*first, "yard") if each in tool.where), "bench")

    def _here(self, leaf: Leaf, tool: Instrument, leaves: Mapping[int, Leaf]) -> bool:
        """Whether it can be read where one is."""
        if not self.at:
            return True
        role = self._role(leaf, self.findings[next(iter(leaves))].qualifier)
        at_home = role in self.answer.build.owned or base_role(role) in described()
        if self.answer.build.loose:
            return self.at in tool.where
        return self.at in tool.where and (self.at == "yard") != at_home


def _size(leaf: Leaf) -> float:
    return leaf.dimension.value if leaf.dimension is not None else (leaf.feature.plausible or (0.0, 0.0))[1]


def _sum(settles: Mapping[int, Settling]) -> float:
    return sum(each.settled for each in settles.values())


# -- the order ---------------------------------------------------------------------------------------------------------


def _in_order(findings: Sequence[Finding], offers: Sequence[_Offer]) -> list[Item]:
    """The best for its minutes first; each next one by what it adds."""
    still_open = [1.0] * len(findings)
    taken: set[str] = set()
    left = list(offers)
    items: list[Item] = []
    while left:
        offer = min(left, key=lambda each: _rank(each, findings, still_open, taken))
        added, minutes = _added(offer, still_open), _minutes(offer, taken)
        if added < LEAST:
            left.remove(offer)
            continue
        fresh = tuple(each for each in offer.readings if each.key not in taken)
        settles = tuple((findings[number], one) for number, one in sorted(offer.settles.items()))
        items.append(Item(fresh, settles, _sum(offer.settles), added, minutes))
        for number, one in offer.settles.items():
            still_open[number] *= max(0.0, 1.0 - one.settled)
        taken |= {each.key for each in offer.readings}
        left = [each for each in left if any(reading.key not in taken for reading in each.readings)]
    return items


def _added(offer: _Offer, still_open: Sequence[float]) -> float:
    return sum(still_open[number] * one.settled for number, one in offer.settles.items())


def _minutes(offer: _Offer, taken: set[str]) -> float:
    return sum(each.tool.minutes for each in offer.readings if each.key not in taken)


def _rank(
    offer: _Offer, findings: Sequence[Finding], still_open: Sequence[float], taken: set[str]
) -> tuple[float, int, str, str]:
    """Verdicts a minute, then the worse harm, then the names, so that ties always fall the same way."""
    harm = min((tuple(HARMS).index(findings[number].limit.harm) for number in offer.settles), default=len(HARMS))
    names = " ".join(each.name for each in offer.readings)
    rate = _added(offer, still_open) / max(_minutes(offer, taken), 1e-9)
    return -round(rate, 9), harm, names, " ".join(each.tool.id for each in offer.readings)


def _by_tool(items: Sequence[Item]) -> list[Item]:
    """All that one instrument settles after each other, the instrument that settles most first."""
    whole: dict[str, float] = {}
    for item in items:
        tool = item.readings[0].tool.id
        whole[tool] = whole.get(tool, 0.0) + item.added
    return sorted(items, key=lambda item: (-round(whole[item.readings[0].tool.id], 9), item.readings[0].tool.id))
