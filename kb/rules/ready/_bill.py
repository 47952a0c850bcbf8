"""The bill of small parts that a combination asks for. Source of the list: trade page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

ALWAYS = (
    "bell_dowels", "block_plate", "dust_cover", "pickup_ring", "pan_gasket", "gallery_plugs", "filter_nipple",
    "dipstick_and_tube", "timing_pointer", "damper_bolt", "ground_straps", "sender_adapters", "thermostat_gasket",
)  # fmt: skip
# What decides, which choice of it asks for more, what that is, and why in words.
BY_CHOICE: tuple[tuple[str, Any, tuple[str, ...], str], ...] = (
    ("gearbox", "automatic", ("converter_sleeve", "flexplate_spacer", "converter_bolts"), "automatic gearbox"),
    ("gearbox", "manual", ("pilot_bearing", "flywheel_bolts"), "manual gearbox"),
    ("pan_seal", "end_seals", ("end_seals",), "pan with end seals"),
    ("heater", "capped", ("heater_caps",), "heater pipes capped"),
    ("fan", "mechanical", ("fan_spacer",), "fan on the pump"),
    ("blank", True, ("fuel_pump_blank",), "no mechanical pump on its pad"),
    ("vents", True, ("steam_tubes",), "vents that lead on"),
)
_LED = ("tank", "radiator_top", "crossover")


def needed(**choices: Any) -> Iterator[tuple[str, str]]:
    """(small part, what asks for it) of a combination, in the order of the lists above."""
    for part in ALWAYS:
        yield part, ""
    for name, value, parts, why in BY_CHOICE:
        if choices[name] == value:
            yield from ((part, why) for part in parts)


def open_items(
    have: Any, gearbox: str, pan_seal: str, pump_pad: bool, pump: str, heater: str, points: Any, fan: str
) -> list[tuple[str, str]]:
    """What is not at hand of what these parts together ask for, and why it is asked for."""
    wanted = needed(
        gearbox=gearbox,
        pan_seal=pan_seal,
        heater=heater,
        fan=fan,
        blank=bool(pump_pad) and pump != "mechanical",
        vents=any(each.leads in _LED for each in points),
    )
    return [(part, why) for part, why in wanted if part not in have]
