"""Two adapters that know nothing of each other leave a ring beside its land: the oil comes out at once, and all of it."""

from kb.roles import block, oil_filter, oil_filter_adapter
from kb.rules._rule import Case, Limit, mm, optional, rule
from kb.rules.oil._pad import seat

_PAD = {"land_inner": 60 * mm, "land_outer": 75 * mm}
_NONE = {"on_block_inner": 0.0, "on_block_outer": 0.0, "face_inner": 0.0, "face_outer": 0.0}
_ADAPTER = {"on_block_inner": 62 * mm, "on_block_outer": 72 * mm, "face_inner": 58 * mm, "face_outer": 74 * mm}


@rule(
    "filter-pad-stack",
    "oil",
    "length",
    "stations",
    asks="Does every ring between pad, adapter and filter lie on its land?",
    limits=(
        Limit.at_least(
            0.0,
            why="the ring hangs over the edge of its land: a gusher as soon as there is pressure",
            harm="destroys",
            milestone="prime",
            fix="adapters bought as one set, the filter that belongs to this land",
            source="definition",
        ),
    ),
    cases=(
        Case({**_PAD, **_NONE, "ring_inner": 62 * mm, "ring_outer": 71 * mm}, 1 * mm, True, "filter on the bare pad: hand sum"),
        Case({**_PAD, **_ADAPTER, "ring_inner": 62 * mm, "ring_outer": 74 * mm}, 0.0, True, "on the limit at the filter"),
        Case({**_PAD, **_ADAPTER, "ring_inner": 62 * mm, "ring_outer": 78 * mm}, -2 * mm, False, "hand sum"),
        Case({**_PAD, **_ADAPTER, "on_block_inner": 56 * mm, "ring_inner": 62 * mm, "ring_outer": 71 * mm}, -2 * mm,
             False, "the adapter's own ring hangs over the hole of the pad"),
    ),
    caution="A burst filter joint sprays hot oil.",
)  # fmt: skip
def filter_pad_stack(
    land_inner=block.filter_land_inner,
    land_outer=block.filter_land_outer,
    on_block_inner=optional(oil_filter_adapter.ring_inner, absent=0.0),
    on_block_outer=optional(oil_filter_adapter.ring_outer, absent=0.0),
    face_inner=optional(oil_filter_adapter.land_inner, absent=0.0),
    face_outer=optional(oil_filter_adapter.land_outer, absent=0.0),
    ring_inner=oil_filter.ring_inner,
    ring_outer=oil_filter.ring_outer,
):
    """inside = least of (ring inner - land inner) / 2 and (land outer - ring outer) / 2, at each joint of the stack"""
    if not on_block_outer:
        return [("filter on pad", seat(ring_inner, ring_outer, land_inner, land_outer))]
    return [
        ("adapter on pad", seat(on_block_inner, on_block_outer, land_inner, land_outer)),
        ("filter on adapter", seat(ring_inner, ring_outer, face_inner, face_outer)),
    ]
