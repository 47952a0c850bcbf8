"""A build made by hand, and how the tests read a picture back. Sizes in mm are invented; none is an expected answer."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

from kb.build import Build
from kb.measure import Dimension, Term
from kb.records.part import Part

SVG = "{http://www.w3.org/2000/svg}"
MM = 1e-3


def size(value_mm: float, u_mm: float = 0.2, tool: str = "caliper") -> Dimension:
    return Dimension(value_mm * MM, (Term("normal", u_mm * MM),) if u_mm else (), "measured", "", tool)


def box(name: str, x: tuple[float, float], **more: Any) -> dict[str, Any]:
    return {"id": name, "x_from": x[0], "x_to": x[1], "y_from": -0.1, "y_to": 0.1, **more}


FACTS: dict[str, dict[str, Any]] = {
    "block": {"crank_drop": size(-62)},
    "crank": {"counterweight_swing": size(82), "big_end_swing": size(84)},
    "pan": {
        "sump_depth": size(188, 0.5),
        "shelf_depth": size(70, 0.5),
        "flange_thickness": size(5, 0.05),
        "floor": (box("shelf", (0.02, 0.24), depth=size(70)), box("sump", (0.24, 0.47), depth=size(188))),
        "hull": (box("front", (0.015, 0.235), depth=size(74)), box("sump", (0.235, 0.475), depth=size(192))),
    },
    "pan_gasket": {"style": "molded", "free_thickness": size(2.6, 0.05), "stop_thickness": size(1.6, 0.02)},
    "windage_tray": {"rim_thickness": size(1.2, 0.02), "top_depth": size(28)},
    "pickup": {
        "hang": size(182.5, 0.3, "depth-gauge"),
        "foot_x": 0.36,
        "foot_y": 0.0,
        "foot_length": size(76),
        "tube_bore": size(19),
    },
    "oil_pump": {"inlet_depth": size(12)},
    "dipstick": {"full_mark_depth": size(110, 0.5), "low_mark_depth": size(135, 0.5)},
    "car": {"obstacles": (box("crossmember", (0.06, 0.16), sort="fixed", top=size(95, 1.5)),)},
}


def build(*without: str, name: str = "Drover", **facts: dict[str, Any]) -> Build:
    """The build without some roles, and with some facts changed; a fact given as None is not known."""
    parts = {}
    for role, known in FACTS.items():
        if role not in without:
            merged = {**known, **facts.get(role, {})}
            kept = {feature: value for feature, value in merged.items() if value is not None}
            parts[role] = Part(f"the-{role}".replace("_", "-"), role, f"The {role}", facts=kept)
    return Build("drover", name, parts)


def read(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def view(root: ElementTree.Element, name: str) -> tuple[ElementTree.Element, float]:
    """The group of one view, and its scale in px per mm."""
    group = next(each for each in root.iter(f"{SVG}g") if each.get("data-view") == name)
    return group, float(group.get("data-px_per_mm".replace("_", "-"), "nan"))


def having(root: ElementTree.Element, attribute: str, value: str = "") -> list[ElementTree.Element]:
    return [each for each in root.iter() if attribute in each.attrib and (not value or each.get(attribute) == value)]


def number(element: ElementTree.Element, attribute: str) -> float:
    return float(element.get(attribute, "nan"))


def all_text(root: ElementTree.Element) -> str:
    return " ".join(each.text or "" for each in root.iter(f"{SVG}text"))
