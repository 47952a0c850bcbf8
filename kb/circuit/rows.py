"""A circuit as rows of a picture: its nodes one under another, the joints before each, and a lane for every line.

Pure order and lanes, no pixels. A line that leaves a node runs down the node's lane as far as the last node that it
feeds; what only leads back to a node further up, or must stay shut, is a row of its own without a line.
"""

from __future__ import annotations

from typing import NamedTuple

from kb.circuit.graph import Circuit, Joint, Node


class Row(NamedTuple):
    """One row. sort: 'node'; 'joint', on the way into the next node; 'back', to a node above; 'shut', of a closure.

    lane: where it stands; start: lane of the line that it comes from, -1 for a node that nothing leads to. through:
    lanes whose lines pass by. on: a line leads on downwards in its own lane. feeds: joints that a node's line leads to.
    """

    sort: str
    lane: int
    start: int
    through: tuple[int, ...]
    on: bool = True
    feeds: tuple[Joint, ...] = ()
    node: Node | None = None
    joint: Joint | None = None
    to: str = ""


class Edge(NamedTuple):
    """A joint in the way in which it is drawn, which for the way home of the current is towards the battery."""

    a: str
    b: str
    joint: Joint


def rows(circuit: Circuit) -> list[Row]:
    """The rows from top to bottom."""
    return _Rows(circuit).made


class _Rows:
    def __init__(self, circuit: Circuit) -> None:
        self.nodes = {each.id: each for each in circuit.nodes}
        self.edges = _edges(circuit)
        drawn = {each.joint.id for each in self.edges}
        self.out: dict[str, list[Edge]] = {id: [] for id in self.nodes}
        self.into: dict[str, list[Edge]] = {id: [] for id in self.nodes}
        for edge in self.edges:
            self.out[edge.a].append(edge)
            self.into[edge.b].append(edge)
        self.aside: dict[str, list[Joint]] = {id: [] for id in self.nodes}
        for joint in circuit.joints:
            if joint.id not in drawn:
                self.aside[joint.a].append(joint)
        hidden = {each.b for each in circuit.joints if each.closure and not self.into[each.b] and not self.out[each.b]}
        self.roots = {circuit.source, *circuit.sources}
        self.order: list[str] = []
        placed: set[str] = set(hidden)
        for id in (circuit.source, *circuit.sources, *self.nodes):
            if id in self.nodes:
                self._place(id, placed, set())
        self.made: list[Row] = []
        self._lay()

    # -- order ---------------------------------------------------------------------------------------------------

    def _place(self, id: str, placed: set[str], waiting: set[str]) -> None:
        """The node with all that feeds it before it; then what it feeds, short branches first."""
        if id in placed or id in waiting:
            return
        waiting = waiting | {id}
        for edge in self.into[id] if id not in self.roots else ():
            self._place(edge.a, placed, waiting)
        if id in placed:
            return
        placed.add(id)
        self.order.append(id)
        for edge in sorted(self.out[id], key=lambda each: self._size(each.b)):
            self._place(edge.b, placed, waiting - {id})

    def _size(self, id: str) -> int:
        """How many nodes lie behind this one."""
        found = {id}
        todo = [id]
        while todo:
            for edge in self.out[todo.pop()]:
                if edge.b not in found:
                    found.add(edge.b)
                    todo.append(edge.b)
        return len(found)

    # -- lanes ---------------------------------------------------------------------------------------------------

    def _lay(self) -> None:
        at = {id: number for number, id in enumerate(self.order)}
        live: dict[int, str] = {}  # lane -> the node whose line runs in it
        left = {id: sum(1 for each in self.out[id] if at[each.b] > at[id]) for id in self.order}
        lane_of: dict[str, int] = {}
        for id in self.order:
            comes = [each for each in self.into[id] if at[each.a] < at[id]]
            ending = [each.a for each in comes if left[each.a] == sum(1 for e in comes if e.a == each.a)]
            mine = min((lane_of[each] for each in ending), default=-1)
            if mine < 0:
                mine = next(lane for lane in range(len(self.order) + 1) if lane not in live)
            comes.sort(key=lambda each: (lane_of[each.a] != mine, -lane_of[each.a]))
            for number, edge in enumerate(comes):
                start = lane_of[edge.a]
                left[edge.a] -= 1
                if not left[edge.a] and start != mine:
                    live.pop(start, None)
                begun = {mine} if number else set()
                passing = (set(live) - {mine}) | begun
                self.made.append(Row("joint", mine, start, tuple(sorted(passing)), joint=edge.joint))
            live.pop(mine, None)
            lane_of[id] = mine
            beside = tuple(sorted(live))
            if left[id]:
                live[mine] = id
            backward = [each.joint for each in self.out[id] if at[each.b] <= at[id]]
            aside = [*self.aside[id], *backward]
            on = bool(left[id] or aside)
            feeds = tuple(each.joint for each in self.out[id] if at[each.b] > at[id])
            self.made.append(Row("node", mine, mine if comes else -1, beside, on, feeds, node=self.nodes[id]))
            for number, joint in enumerate(aside, start=1):
                sort = "shut" if joint.closure else "back"
                other = self.nodes[joint.b if joint.a == id else joint.a]
                on = bool(left[id]) or number < len(aside)
                self.made.append(Row(sort, mine, mine, beside, on, joint=joint, to=other.meaning))


def _edges(circuit: Circuit) -> list[Edge]:
    """The joints that are lines in the picture; those of the way home turned towards the battery."""
    home = _distance_home(circuit)
    made = []
    for joint in circuit.joints:
        if joint.closure or (joint.returns and joint.b in (circuit.source, *circuit.sources)):
            continue
        a, b = joint.a, joint.b
        if joint.back and (home.get(b, 99), b) > (home.get(a, 99), a) and a in home and a != circuit.source:
            a, b = b, a
        made.append(Edge(a, b, joint))
    return made


def _distance_home(circuit: Circuit) -> dict[str, int]:
    """Places of the way home -> links between them and the battery's - post."""
    if not circuit.back:
        return {}
    links = [each for each in circuit.joints if each.back and each.a.startswith(("at-", "battery-"))]
    found = {circuit.back: 0}
    for step in range(1, len(links) + 1):
        for each in links:
            for one, other in ((each.a, each.b), (each.b, each.a)):
                if found.get(one) == step - 1:
                    found.setdefault(other, step)
    return found
