"""Gap between ring and pinion, where nobody has put a wire between them."""

from kb.roles import bellhousing, drive_plate, starter
from kb.rules._rule import derive
from kb.standards.crank_train import mesh_gap


@derive(
    starter.mesh_gap,
    because="centre distance less that of the teeth, plus the quarter module of standard teeth (ISO 53)",
)
def gap_of_mesh(
    seat=bellhousing.starter_centre,
    offset=starter.axis_offset,
    shims=starter.shim_thickness,
    ring=drive_plate.ring_teeth,
    pinion=starter.pinion_teeth,
    module=drive_plate.ring_module,
):
    """gap = module / 4 + seat + offset + shims - (ring + pinion) x module / 2"""
    return mesh_gap(seat + offset + shims, ring, pinion, module)
