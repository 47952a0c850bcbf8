"""What a gauge at each node would show if some joints were bad.

A node is as full as the worst of the things that it needs: each sort of thing that comes in (oil, turning, current)
counts by the best of its ways. What a joint's fault does is declared with the joint:

    open   nothing passes           weak   something passes           leak   it gets out, and less passes
    back   it falls back to where it came from: nothing beyond, and less before it, as far as the pump
    high   it cannot get back to the tank: too much before it

A joint that must stay shut (a plug, a relief valve, the cover of a cable) passes nothing while it is sound.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from functools import lru_cache

from kb.circuit.graph import Circuit, Joint

NONE, WEAK, FULL, HIGH = "none", "weak", "full", "high"
_SHOWS = (NONE, WEAK, FULL)
_PASSES = {"open": 0, "weak": 1, "leak": 1, "back": 0, "high": 0}


def reached(circuit: Circuit, faults: Collection[str] = frozenset()) -> dict[str, str]:
    """Node -> 'full', 'weak', 'none' or 'high' with these joints bad.

    faults: ids of joints, each with its declared effect, or `id:effect` for another one. Ids of other circuits are
    passed over. Nodes of the way home of the current show how good their way to the battery is.
    """
    return _flow(circuit).levels(faults)


def effects(joint: Joint) -> tuple[str, ...]:
    """What a fault of this joint can do: its declared effect first."""
    return (joint.fails, joint.shut) if joint.shut and joint.shut != joint.fails else (joint.fails,)


def lost(circuit: Circuit) -> tuple[str, ...]:
    """Sinks that nothing reaches with the joints in the state in which they are."""
    faults = frozenset(each.id for each in circuit.joints if each.state not in ("sound", "unknown"))
    shown = reached(circuit, faults)
    return tuple(each for each in circuit.sinks if shown.get(each) == NONE)


@lru_cache(maxsize=64)
def _flow(circuit: Circuit) -> _Flow:
    return _Flow(circuit)


class _Flow:
    """One circuit, made ready for many questions."""

    def __init__(self, circuit: Circuit) -> None:
        self.ids = [each.id for each in circuit.nodes]
        index = {id: at for at, id in enumerate(self.ids)}
        self.sources = [index[each] for each in (circuit.source, *circuit.sources) if each in index]
        self.joints = circuit.joints
        self.number = {each.id: at for at, each in enumerate(circuit.joints)}
        self.ends = [(index[each.a], index[each.b]) for each in circuit.joints]
        self.home = index.get(circuit.back, -1)
        ways = sorted({each.passes for each in circuit.joints})
        way = {each: at for at, each in enumerate(ways)}
        # What each node waits for: a bit a thing; only joints that pass something while sound count.
        self.forward = [
            (at, *self.ends[at], way[each.passes])
            for at, each in enumerate(circuit.joints)
            if not each.back and not each.closure
        ]
        self.forward.sort(key=self._along())
        self.wants: list[set[int]] = [set() for _ in self.ids]
        for _, _, b, thing in self.forward:
            self.wants[b].add(thing)
        last_in = {b: place for place, (_, _, b, _) in enumerate(self.forward)}
        self.in_order = all(last_in.get(a, -1) < place for place, (_, a, _, _) in enumerate(self.forward))
        self.returning = [
            at for at, each in enumerate(circuit.joints) if each.returns and self.ends[at][1] in self.sources
        ]
        self.back = [(at, *self.ends[at]) for at, each in enumerate(circuit.joints) if each.back]
        self.on_way_home = self._way_home()
        # A load is what sends its current into the way home from outside it.
        self.loads = [(at, a, b) for at, a, b in self.back if a not in self.on_way_home]
        self.things = len(ways)
        self.sound = self._levels({})

    def _along(self) -> Callable[[tuple[int, int, int, int]], int]:
        """Sort key: joints in the order in which the flow meets them, so that one pass nearly always does."""
        depth = dict.fromkeys(self.sources, 0)
        edges = [(a, b) for _, a, b, _ in self.forward]
        for step in range(1, len(self.ids) + 1):
            grown = False
            for a, b in edges:
                if depth.get(a) == step - 1 and b not in depth:
                    depth[b] = step
                    grown = True
            if not grown:
                break
        return lambda each: depth.get(each[1], len(self.ids))

    def _way_home(self) -> set[int]:
        fed = {b for _, _, b, _ in self.forward} | set(self.sources)
        return {end for _, a, b in self.back for end in (a, b) if end not in fed}

    def levels(self, faults: Collection[str]) -> dict[str, str]:
        bad: dict[int, str] = {}
        for each in faults:
            id, _, effect = each.partition(":")
            at = self.number.get(each)
            if at is None:
                at = self.number.get(id)
            if at is not None:
                bad[at] = effect or self.joints[at].fails
        return dict(self.sound) if not bad else self._levels(bad)

    def _levels(self, bad: Mapping[int, str]) -> dict[str, str]:
        home = self._home_levels(bad)
        caps = {at: _PASSES[effect] for at, effect in bad.items()}
        level = self._settle(caps, home, self._weakened_sources(bad))
        for at, effect in bad.items():
            joint = self.joints[at]
            if joint.closure and effect != "back" and effect != "high":
                b = self.ends[at][1]
                if level[b] < 1 and level[self.ends[at][0]]:
                    level[b] = 1
        shown = [_SHOWS[each] for each in level]
        for at, effect in bad.items():
            if effect == "back":
                self._fallen_back(at, shown)
            elif effect == "high":
                self._too_much(at, shown)
        for node in self.on_way_home:
            shown[node] = _SHOWS[home[node]]
        return dict(zip(self.ids, shown, strict=True))

    def _settle(self, caps: Mapping[int, int], home: list[int], weak: Collection[int]) -> list[int]:
        level = [0] * len(self.ids)
        for each in self.sources:
            level[each] = 1 if each in weak else 2
        inbox = [[0] * self.things for _ in self.ids]
        limit = [2] * len(self.ids)
        for at, a, b in self.loads:
            limit[a] = min(limit[a], caps.get(at, 2), home[b])
        moved = True
        fixed = set(self.sources)
        while moved:
            moved = False
            for at, a, b, thing in self.forward:
                value = level[a]
                if at in caps and caps[at] < value:
                    value = caps[at]
                if value > inbox[b][thing]:
                    inbox[b][thing] = value
                    if b not in fixed:
                        new = value if len(self.wants[b]) == 1 else min(inbox[b][each] for each in self.wants[b])
                        new = min(new, limit[b])
                        if new > level[b]:
                            level[b] = new
                            moved = not self.in_order  # else all that hangs on it comes later in this very pass
        return level

    def _weakened_sources(self, bad: Mapping[int, str]) -> set[int]:
        """Sources to which nothing comes back any more."""
        found = set()
        for source in self.sources:
            ways = [at for at in self.returning if self.ends[at][1] == source]
            if ways and all(at in bad for at in ways):
                found.add(source)
        return found

    def _home_levels(self, bad: Mapping[int, str]) -> list[int]:
        level = [0] * len(self.ids)
        if self.home < 0:
            return [2] * len(self.ids)
        level[self.home] = 2
        moved = True
        while moved:
            moved = False
            for at, a, b in self.back:
                cap = _PASSES[bad[at]] if at in bad else 2
                for one, other in ((a, b), (b, a)):
                    value = min(level[one], cap)
                    if value > level[other]:
                        level[other] = value
                        moved = True
        return level

    def _before(self, at: int, *, along_return: bool = False) -> set[int]:
        """Nodes before the joint under the same pressure, as far as the pump."""
        thing = self.joints[at].passes
        found = {self.ends[at][0]}
        grown = True
        while grown:
            grown = False
            for number, (a, b) in enumerate(self.ends):
                joint = self.joints[number]
                if b in found and a not in found and number != at and joint.passes == thing:
                    turns = joint.returns and not along_return
                    if joint.kind != "pump" and not (joint.suction or joint.closure or joint.back or turns):
                        found.add(a)
                        grown = True
        return found

    def _after(self, starts: Collection[int], stop: int) -> set[int]:
        found = set(starts)
        grown = True
        while grown:
            grown = False
            for number, a, b, _ in self.forward:
                if a in found and b not in found and number != stop and not self.joints[number].returns:
                    found.add(b)
                    grown = True
        return found

    def _fallen_back(self, at: int, shown: list[str]) -> None:
        """Oil that falls back: nothing at and behind a hole in a gallery, little before it."""
        a = self.ends[at][0]
        before = self._before(at)
        if self.joints[at].closure:
            for node in self._after({a}, at) - before | {a}:
                if shown[node] in (FULL, WEAK) and node not in self.sources:
                    shown[node] = WEAK if self.joints[at].kind == "valve" else NONE
        for node in before - {a} if self.joints[at].closure else before:
            if shown[node] == FULL and node not in self.sources:
                shown[node] = WEAK

    def _too_much(self, at: int, shown: list[str]) -> None:
        """What cannot go back stands too high before the joint, and all that hangs there sees it."""
        for node in self._after(self._before(at, along_return=True), at):
            if shown[node] == FULL and node not in self.sources:
                shown[node] = HIGH
