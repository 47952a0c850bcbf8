"""A cam bearing pressed in a few degrees round shuts the feed behind it, and the top end runs dry: without a groove the
holes must line up."""

from kb.roles import cam_bearings
from kb.rules._rule import Case, Limit, mm, percent, rule


class _Feed:
    def __init__(self, id: str, bearing_hole: float, block_hole: float, offset: float) -> None:
        self.id, self.bearing_hole, self.block_hole, self.offset = id, bearing_hole, block_hole, offset


@rule(
    "oil-feed-holes-line-up",
    "oil",
    "percent",
    "stations",
    asks="Does the hole of every cam bearing lie over its feed in the block?",
    limits=(
        Limit.at_least(
            0.0,
            why="the hole lies beside the feed: this bearing, and what is fed through it, gets no oil",
            harm="destroys",
            milestone="prime",
            fix="press the bearing out and in again, turned; or a bearing with a groove behind it",
            source="trade-bulletin",
        ),
        Limit.at_least(
            50 * percent,
            why="half a hole starves what lies behind it when the oil is hot",
            harm="wears",
            milestone="fire",
            fix="turn the bearing",
            source="memory",
        ),
    ),
    when={cam_bearings.back: ("plain",)},
    cases=(
        Case({"feeds": [_Feed("cam-1", 6 * mm, 8 * mm, 1 * mm)]}, 1.0, True, "the smaller hole lies wholly inside"),
        Case({"feeds": [_Feed("cam-1", 6 * mm, 6 * mm, 3 * mm)]}, 0.5, True, "on the limit: half the width"),
        Case({"feeds": [_Feed("cam-1", 6 * mm, 6 * mm, 0.0), _Feed("cam-2", 6 * mm, 6 * mm, 9 * mm)]}, -0.5, False,
             "3 mm of metal between the holes"),
    ),
    advice="Blow air down the top outlet with a finger in the bore.",
)  # fmt: skip
def oil_feed_holes_line_up(feeds=cam_bearings.feeds.of("bearing_hole", "block_hole", "offset")):
    """open = least of 1 and ((bearing hole + block hole) / 2 - offset) / smaller hole, at each bearing"""
    return [
        (
            each.id,
            min(
                1.0, ((each.bearing_hole + each.block_hole) / 2 - each.offset) / min(each.bearing_hole, each.block_hole)
            ),
        )
        for each in feeds
    ]
