"""Module of a pinion that is known by its diametral pitch."""

from kb.roles import starter
from kb.rules._rule import derive
from kb.standards.crank_train import module_of


@derive(starter.module, because="one over the diametral pitch")
def module_of_pinion(pitch=starter.diametral_pitch):
    """module = 1 / diametral pitch"""
    return module_of(pitch)
