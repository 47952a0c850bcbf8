"""The way that a mechanical fan turns, from the belt's way."""

from kb.roles import belt_layout, fan
from kb.rules._rule import derive
from kb.rules.accessory._drive import in_order, ways


@derive(
    fan.turns,
    because="a mechanical fan turns with the pulley that carries it",
    when={fan.drive: ("mechanical",)},
    form="count",
)
def fan_turns(
    carried_by=fan.carried_by,
    pulleys=belt_layout.pulleys.of("side", "drives", "turns"),
    tensioners=belt_layout.tensioners.of("after", "side", "drives", "turns"),
):
    """way = that of the carrying pulley: with the crank on the same side of the belt, else against it"""
    entries = in_order(pulleys, tensioners)
    found = [way for each, way in zip(entries, ways(entries), strict=True) if each.drives == carried_by]
    if not found:
        raise ValueError("no pulley of the layout carries the fan")
    return found[0]
