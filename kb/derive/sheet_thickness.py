"""Thickness of a plain sheet gasket, from how hard the bolts press it."""

from kb.roles import block, flange_bolts, pan_gasket
from kb.rules._rule import derive
from kb.standards.gaskets import preload_from_torque
from kb.standards.sheet import clamped_thickness


@derive(
    pan_gasket.installed_thickness,
    because="the bolts' load, spread over the gasket, against the stiffness of the sheet",
    when={pan_gasket.style: ("sheet",)},
    form="rough",
)
def thickness_of_sheet(
    free=pan_gasket.free_thickness,
    solid=pan_gasket.stop_thickness,
    modulus=pan_gasket.modulus,
    width=pan_gasket.seal_width,
    stations=block.stations.of("x", "y", "bolt"),
    torque=flange_bolts.torque,
    nut_factor=flange_bolts.nut_factor,
    diameter=flange_bolts.nominal_diameter,
):
    """installed = free x (1 - load / (length x width x modulus)), never below the solid height"""
    load = preload_from_torque(torque, diameter, nut_factor)
    return clamped_thickness(free, solid, modulus, width, stations, load)
