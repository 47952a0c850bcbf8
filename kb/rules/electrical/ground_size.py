"""A fat cable out and a thin strap back is a thin cable: every link of the way back must be as thick as the cable out."""

from typing import Any

from kb.roles import feed_cable, grounds, return_cable
from kb.rules._rule import Case, Limit, percent, rule
from kb.rules.electrical._cable import gauge
from kb.rules.electrical._ground import Strap, network, thickest_way, with_return


@rule(
    "ground-size",
    "electrical",
    "percent",
    "stations",
    asks="Is every link of the way back as thick as the cable to the starter?",
    limits=(
        Limit.at_least(
            95 * percent,
            why="the thin link is the starter's bottleneck, and gets hot",
            harm="fire",
            milestone="crank",
            fix="a strap or return cable of the feed cable's size",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"feed": gauge(2), "links": [Strap("engine", "body", "2 AWG")], "lands_on": "body", "area": gauge(2)}, 1.0, True, "equal all round"),
        Case({"feed": gauge(2), "links": [], "lands_on": "engine", "area": 0.95 * gauge(2)}, 0.95, True, "on the limit"),
        Case({"feed": gauge(0), "links": [Strap("engine", "body", "4 AWG")], "lands_on": "body", "area": gauge(0)}, gauge(4) / gauge(0), False,
             "trade page: 0 gauge out but 4 gauge back"),
        Case({"feed": gauge(2), "links": [Strap("engine", "body", "2 AWG", id="left"), Strap("engine", "body", "8 AWG", id="right")], "lands_on": "body", "area": gauge(2)},
             1.0, True, "the thicker of two straps counts"),
        Case({"feed": gauge(2), "links": [], "lands_on": "body", "area": gauge(2)}, 0.0, False, "no way back"),
    ),
    advice="5 % for the step between gauge and metric sizes. A second strap at the other head is cheap.",
    caution="Disconnect the battery's - lead before a lug is touched.",
)  # fmt: skip
def ground_size(
    feed=feed_cable.area,
    links=grounds.links.of("one", "other", "size"),
    lands_on=return_cable.lands_on,
    area=return_cable.area,
):
    """share = area / area of the feed cable, at each link of the thickest way from engine to battery"""
    bare = [_without_length(link) for link in links]
    path = thickest_way(with_return(network(bare, 293.15), lands_on, 0.0, area))
    return [(link.name, min(link.area, 10 * feed) / feed) for link in path] or [("no way back", 0.0)]


def _without_length(link: Any) -> Strap:
    """Thickness needs no length, and asks for none."""
    return Strap(link.one, link.other, link.size, 0.0, 0.0, link.id)
