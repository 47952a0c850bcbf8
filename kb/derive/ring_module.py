"""Module of a ring gear that is known by its diametral pitch."""

from kb.roles import drive_plate
from kb.rules._rule import derive
from kb.standards.crank_train import module_of


@derive(drive_plate.ring_module, because="one over the diametral pitch")
def module_of_ring(pitch=drive_plate.ring_diametral_pitch):
    """module = 1 / diametral pitch"""
    return module_of(pitch)
