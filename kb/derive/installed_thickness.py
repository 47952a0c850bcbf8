"""Thickness of the clamped gasket, where a limiter or a carrier stops it."""

from kb.roles import pan_gasket
from kb.rules._rule import derive


@derive(
    pan_gasket.installed_thickness,
    because="a gasket with limiters, or a bead in a carrier, is clamped down to its stop",
    when={pan_gasket.style: ("molded", "carrier_bead")},
)
def thickness_at_stop(stop=pan_gasket.stop_thickness):
    """installed = thickness of the stop"""
    return stop
