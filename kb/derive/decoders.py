"""What wheels a controller reads, from the names of the patterns in its manual."""

from types import SimpleNamespace

from kb.roles import controller
from kb.rules._rule import derive
from kb.standards.patterns import spelt_out


@derive(controller.decoders, because="the names of the patterns in its list say where every tooth stands")
def decoders(patterns=controller.patterns):
    """decoders = one for each pattern of the list, on the crank, without a cam wheel"""
    return [SimpleNamespace(id=code, teeth=spelt_out(code), shaft="crank", cam="") for code in sorted(patterns)]
