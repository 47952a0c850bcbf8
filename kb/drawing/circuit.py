"""A circuit from its source downwards: nodes as boxes, joints as marks on the lines between them.

Whatever is wrong or suspected stands in the picture by the shape of its mark, by words and by colour: never by colour
alone. The picture is one column, so that it reads on a phone without being shrunk.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from kb.circuit.graph import MISSING_BESIDE, Circuit, Joint, Node
from kb.circuit.ports import joint_kinds
from kb.circuit.rows import Row, rows
from kb.drawing._svg import NOT_KNOWN, ROW, TEXT, WIDTH, Drawing, shorten, wrap

LANE, EDGE, GAP = 18.0, 16.0, 12.0  # px: between lanes, from the left edge, from the last lane to the words
RIGHT = WIDTH - 8.0
BOX = 22.0  # px: height of a box with one line
_SHOWS = {"none": "nothing", "weak": "weak or low", "high": "too high"}
BETWEEN = 8.0  # px: above a box that no line leads to
STATES = {
    "unmated": "meets nothing",
    "leaks_back": "lets it fall back",
    "reversed": "the wrong way round",
    "open": "open",
    "differs": "ends differ",
    "unknown": "cannot tell",
}
# What passes -> how its line is drawn (ISO 128: dashed, dotted) and named under the picture.
LINES = {"turning": ("8 3", "turns"), "back": ("5 2 1 2", "way home of the current"), "air": ("2 3", "air")}


class Suspect(NamedTuple):
    """A joint that a trace suspects: its place in the list (1 is the first) and a short word, such as a share."""

    rank: int
    words: str = ""


def circuit_drawing(
    circuit: Circuit,
    *,
    words: Mapping[str, str] | None = None,
    suspects: Mapping[str, Suspect] | None = None,
    shown: Mapping[str, str] | None = None,
    system: str = "mm",
    prefix: str = "c",
    columns: int = 1,
) -> str:
    """SVG of one circuit, in one column for a phone or in more for a desk and for paper.

    words: joint or node id -> what is wrong there, beside what the joint itself says. suspects: joint id -> its place
    among the causes. shown: node -> what a gauge shows there; 'full' is not written. `system` changes nothing: there
    are no sizes on it.
    """
    title = f"{circuit.title or circuit.name} circuit, from source to sinks"
    drawing = Drawing(prefix, title, width=columns * WIDTH)
    return _Picture(drawing, circuit, words or {}, suspects or {}, shown or {}, columns).render()


class _Picture:
    def __init__(
        self, drawing: Drawing, circuit: Circuit, words: Mapping[str, str], suspects: Mapping[str, Suspect],
        shown: Mapping[str, str], columns: int,
    ) -> None:  # fmt: skip
        self.drawing = drawing
        self.circuit = circuit
        self.words = words
        self.suspects = suspects
        self.shown = shown
        self.rows = rows(circuit)
        lanes = 1 + max((max(row.lane, row.start, *row.through, 0) for row in self.rows), default=0)
        self.columns = columns
        self.shift = 0.0  # px: left edge of the column under way
        self.inset = EDGE + (lanes - 1) * LANE + GAP
        self.room = RIGHT - self.inset
        self.marks: dict[str, None] = {}
        self.lines: dict[str, None] = {}
        self.passes = {each.id: each.passes for each in circuit.joints}
        self.colour_of_lane: dict[int, str] = {}

    @property
    def left(self) -> float:
        return self.shift + self.inset

    def render(self) -> str:
        drawing = self.drawing
        drawing.words(8, 18, f"{self.circuit.title or self.circuit.name}", bold=True, size=13)
        y = lowest = 32.0
        running: dict[int, str] = {}  # lane -> dash of the line that runs in it
        heights = [self._height(row) + (BETWEEN if row.start < 0 else 0.0) for row in self.rows]
        tallest = 32.0 + sum(heights) / self.columns
        for row, height in zip(self.rows, heights, strict=True):
            if y + height / 2 > tallest and self.shift < (self.columns - 1) * WIDTH:
                drawing.words(self.left, y + ROW, "goes on at the top of the next column", colour="line")
                lowest, y = max(lowest, y + ROW), 32.0
                self.shift += WIDTH
            y = self._row(row, y, running)
        if not self.rows:
            drawing.words(8, y + 12, "Nothing of this circuit is in the build.")
            y += 24
        y = self._legend(y + 10)
        return drawing.render(max(y, lowest) + 4, self._description())

    # -- rows ----------------------------------------------------------------------------------------------------

    def _row(self, row: Row, top: float, running: dict[int, str]) -> float:
        height = self._height(row)
        apart = BETWEEN if row.start < 0 and row is not self.rows[0] else 0.0
        foot, middle = top + apart + height, top + min(height, 24.0) / 2
        for lane in row.through:
            self._line(lane, top, foot, running.get(lane, ""))
        if row.node is not None:
            centre = top + apart + height / 2
            if row.start >= 0:
                self._line(row.lane, top, centre, running.get(row.lane, ""))
            dashes = {self._dash(each) for each in row.feeds}
            running[row.lane] = dashes.pop() if len(dashes) == 1 else ""
            if row.on:
                self._line(row.lane, centre, foot, running[row.lane])
            self._box(row.node, self._x(row.lane), top + apart, height)
        elif row.sort == "joint" and row.joint is not None:
            self._tap(row, row.joint, top, middle, foot, running)
            self._joint_words(row.joint, middle, self._named(row.joint))
        elif row.joint is not None:
            self._line(row.lane, top, foot if row.on else middle, running.get(row.lane, "") if row.on else "")
            self._mark(row.joint, self._x(row.lane), middle, shut=row.joint.closure, back=not row.joint.closure)
            self._joint_words(row.joint, middle, self._label(row))
        return foot

    def _height(self, row: Row) -> float:
        if row.node is not None:
            return BOX + (len(self._node_lines(row.node)) - 1) * ROW + 2
        assert row.joint is not None
        lines = len(self._lines_of(row.joint, self._label(row)))
        return max(22.0, 8 + lines * ROW)

    def _label(self, row: Row) -> str:
        assert row.joint is not None
        if row.sort == "back":
            return f"{self._named(row.joint)}, back to: {row.to}"
        if row.sort == "shut":
            tail = row.joint.id.partition(".")[2].replace("-", " ")
            return f"{tail}: {joint_kinds().get(row.joint.kind, row.joint.kind)}"
        return self._named(row.joint)

    def _x(self, lane: int) -> float:
        return self.shift + EDGE + lane * LANE

    def _line(self, lane: int, top: float, foot: float, dash: str) -> None:
        x = self._x(lane)
        self.drawing.line(x, top, x, foot, "ink", 1.6, dash)

    def _tap(self, row: Row, joint: Joint, top: float, middle: float, foot: float, running: dict[int, str]) -> None:
        """The line from what feeds the joint, its mark, and on to the node below."""
        dash = self._dash(joint)
        x, start = self._x(row.lane), self._x(row.start)
        at = x
        if row.start == row.lane:
            self._line(row.lane, top, foot, dash)
        else:
            goes_on, joins = row.start in row.through, row.lane in row.through
            if not goes_on:
                self._line(row.start, top, middle, running.get(row.start, ""))
            self.drawing.line(start, middle, x, middle, "ink", 1.6, dash)
            if not joins:
                self._line(row.lane, middle, foot, dash)
            for place, there in ((start, goes_on), (x, joins)):
                if there:
                    self.drawing.circle(place, middle, 2.2, "ink", "ink")
            at = start if joins and not goes_on else (start + x) / 2 if joins else x
        if row.lane not in row.through:
            running[row.lane] = dash
        self._mark(joint, at, middle)

    def _dash(self, joint: Joint) -> str:
        for each in ("back",) if joint.back else (joint.passes,):
            if each in LINES:
                self.lines[each] = None
                return LINES[each][0]
        return ""

    # -- words ---------------------------------------------------------------------------------------------------

    def _named(self, joint: Joint) -> str:
        kind = joint_kinds().get(joint.kind, joint.kind)
        return f"{kind} ({joint.entry})" if joint.entry else kind

    def _lines_of(self, joint: Joint, label: str) -> list[tuple[str, str, bool]]:
        """(words, colour, bold) of what stands beside a joint."""
        made = [(line, "line", False) for line in wrap(label, self.room - 4)]
        state = self._state(joint)
        suspect = self.suspects.get(joint.id)
        if suspect is not None:
            head = f"suspect {suspect.rank}" + (f": {suspect.words}" if suspect.words else "")
            made += [(line, "bad", True) for line in wrap(head, (self.room - 4) / 1.15)]
        if state != "sound" and joint.words != MISSING_BESIDE:  # the box beside it says it
            colour = "open" if state == "unknown" else "bad"
            made += [(line, colour, True) for line in wrap(STATES[state], (self.room - 4) / 1.15)]
            told = self.words.get(joint.id) or joint.words
            made += [(line, colour, False) for line in wrap(shorten(told, 200), self.room - 4)]
        return made

    def _state(self, joint: Joint) -> str:
        return joint.state

    def _joint_words(self, joint: Joint, middle: float, label: str) -> None:
        y = middle + 4
        for line, colour, bold in self._lines_of(joint, label):
            self.drawing.words(self.left + 4, y, line, colour=colour, bold=bold)
            y += ROW

    def _node_lines(self, node: Node) -> list[tuple[str, str]]:
        made = [(line, "ink") for line in wrap(node.meaning, self.room - 14)]
        if node.missing:
            made += [(line, "bad") for line in wrap("missing: nothing fills this role", self.room - 14)]
        shows = self.shown.get(node.id, "full")
        if shows != "full":
            made.append((f"a gauge here shows: {_SHOWS.get(shows, shows)}", "bad"))
        if node.id in self.words:
            made += [(line, "bad") for line in wrap(shorten(self.words[node.id], 160), self.room - 14)]
        return made

    def _box(self, node: Node, x: float, top: float, height: float) -> None:
        lines = self._node_lines(node)
        colour, dash = ("bad", NOT_KNOWN) if node.missing else ("ink", "")
        middle = top + height / 2
        self.drawing.line(x, middle, self.left, middle, "line", 0.8, "1 3")
        self.drawing.rect(
            self.left, top + 1, self.room, height - 2, colour, "paper", 1.4, dash, rx=3.0, data_node=node.id
        )
        self.drawing.circle(x, middle, 4.5, colour, "paper", 1.8)
        y = top + 1 + (height - 2 - len(lines) * ROW) / 2 + ROW - 4
        for line, tone in lines:
            self.drawing.words(self.left + 7, y, line, colour=tone, halo=False)
            y += ROW

    # -- marks ---------------------------------------------------------------------------------------------------

    def _mark(self, joint: Joint, x: float, y: float, *, shut: bool = False, back: bool = False) -> None:
        suspect = self.suspects.get(joint.id)
        state = self._state(joint)
        self.drawing.group(data_joint=joint.id, data_state=state)
        if suspect is not None:
            self.marks["suspect"] = None
            _suspect(self.drawing, x, y, str(suspect.rank))
        elif state != "sound":
            self.marks[state] = None
            MARKS[state](self.drawing, x, y)
        elif shut:
            self.marks["shut"] = None
            _shut(self.drawing, x, y)
        elif back:
            self.marks["back"] = None
            _back(self.drawing, x, y)
        else:
            self.marks["sound"] = None
            _sound(self.drawing, x, y)
        self.drawing.close()

    def _legend(self, y: float) -> float:
        """What the marks and lines of this picture mean, and nothing else."""
        drawing, x = self.drawing, self.shift
        drawing.line(x + 8, y, x + RIGHT, y, "line", 0.8)
        y += 16
        for name in self.marks:
            MARKS[name](drawing, x + 20, y)
            drawing.words(x + 36, y + 4, LEGEND[name], size=TEXT)
            y += 18
        for name in self.lines:
            dash, means = LINES[name]
            drawing.line(x + 9, y, x + 31, y, "ink", 1.6, dash)
            drawing.words(x + 36, y + 4, means, size=TEXT)
            y += 18
        return y

    def _description(self) -> str:
        """The circuit in words, for who cannot see it."""
        meaning = {each.id: each.meaning for each in self.circuit.nodes}
        said = [f"{len(self.circuit.nodes)} places and {len(self.circuit.joints)} joints."]
        for joint in self.circuit.joints:
            if joint.state != "sound":
                where = f"{meaning[joint.a]} to {meaning[joint.b]}"
                said.append(f"{where}: {STATES[joint.state]}; {joint.words}.")
        for id, suspect in sorted(self.suspects.items(), key=lambda each: each[1].rank):
            found = self.circuit.joint(id)
            if found is not None:
                said.append(f"Suspect {suspect.rank}: {meaning[found.a]} to {meaning[found.b]} {suspect.words}.")
        if len(said) == 1:
            said.append("Every joint is sound as far as the records say.")
        return " ".join(said)


# -- shapes: none like another without colour ----------------------------------------------------------------------


def _sound(drawing: Drawing, x: float, y: float) -> None:
    drawing.circle(x, y, 3.4, "ink", "ink", 1)


def _shut(drawing: Drawing, x: float, y: float) -> None:
    """A line that ends at a bar."""
    drawing.line(x, y, x + 7, y, "ink", 1.6)
    drawing.line(x + 7, y - 5, x + 7, y + 5, "ink", 2.4)


def _back(drawing: Drawing, x: float, y: float) -> None:
    """A line that turns upwards."""
    drawing.lines([(x, y), (x + 7, y), (x + 7, y - 5)], "ink", 1.6)
    drawing.arrow(x + 7, y - 8, -1.5708, "ink", 5)


def _ground(drawing: Drawing, x: float, y: float, colour: str, r: float = 7.5) -> None:
    drawing.circle(x, y, r, colour, "paper", 1.8)


def _cross(drawing: Drawing, x: float, y: float) -> None:
    _ground(drawing, x, y, "bad")
    drawing.line(x - 4, y - 4, x + 4, y + 4, "bad", 2)
    drawing.line(x - 4, y + 4, x + 4, y - 4, "bad", 2)


def _gap(drawing: Drawing, x: float, y: float) -> None:
    """A square with a break in the line."""
    drawing.rect(x - 7, y - 7, 14, 14, "bad", "paper", 1.8, "3 2")
    drawing.line(x, y - 7, x, y - 3, "bad", 2)
    drawing.line(x, y + 3, x, y + 7, "bad", 2)


def _falls(drawing: Drawing, x: float, y: float) -> None:
    """A triangle that points down."""
    drawing.lines([(x - 8, y - 6), (x + 8, y - 6), (x, y + 8)], "bad", 1.8, "", "paper", closed=True)
    drawing.line(x, y - 3, x, y + 2, "bad", 2)


def _turned(drawing: Drawing, x: float, y: float) -> None:
    """An arrow against the flow."""
    _ground(drawing, x, y, "bad")
    drawing.line(x, y + 5, x, y, "bad", 2)
    drawing.lines([(x - 4, y), (x, y - 6), (x + 4, y)], "bad", 1, "", "bad", closed=True)


def _unlike(drawing: Drawing, x: float, y: float) -> None:
    """A diamond with two unlike halves."""
    drawing.lines([(x, y - 9), (x + 9, y), (x, y + 9), (x - 9, y)], "bad", 1.8, "", "paper", closed=True)
    drawing.lines([(x, y - 9), (x + 9, y), (x - 9, y)], "bad", 1.8, "", "bad", closed=True)


def _unknown(drawing: Drawing, x: float, y: float) -> None:
    drawing.circle(x, y, 8, "open", "paper", 1.8, "3 2")
    drawing.words(x, y + 4, "?", "middle", TEXT, "open", bold=True, halo=False)


def _suspect(drawing: Drawing, x: float, y: float, rank: str = "1") -> None:
    """A hexagon with the suspect's place."""
    points = [(x - 9, y), (x - 4.5, y - 8), (x + 4.5, y - 8), (x + 9, y), (x + 4.5, y + 8), (x - 4.5, y + 8)]
    drawing.lines(points, "bad", 1.8, "", "paper", closed=True)
    drawing.words(x, y + 4, rank, "middle", TEXT, "bad", bold=True, halo=False)


MARKS: Mapping[str, Any] = {
    "sound": _sound, "shut": _shut, "back": _back, "open": _cross, "unmated": _gap, "leaks_back": _falls,
    "reversed": _turned, "differs": _unlike, "unknown": _unknown, "suspect": _suspect,
}  # fmt: skip
LEGEND: Mapping[str, str] = {
    "sound": "joint, sound as far as the records say",
    "shut": "must stay shut, and is",
    "back": "leads back to a place above",
    "open": "open: nothing gets past",
    "unmated": "meets nothing: a part is missing",
    "leaks_back": "lets it fall back to where it came from",
    "reversed": "the wrong way round",
    "differs": "the two ends differ",
    "unknown": "the records do not say",
    "suspect": "suspect, by its place in the list",
}
