"""Air at the carburettor or throttle, at full load."""

from __future__ import annotations

from typing import Any

from kb.maths import where
from kb.standards.air import air_density, charge, swallowed

IN_HG = 3386.389


def air_in(displacement: Any, speed: Any, filling: Any, intake: Any, boost: Any, efficiency: Any, cooling: Any,
           place: Any) -> tuple[Any, Any]:  # fmt: skip
    """(flow in m3/s, density in kg/m3) at the carburettor or throttle.

    The manifold's air has been through the compressor either way; where the compressor blows through the carburettor it
    meets dense air there, where it draws through it the air of outside.
    """
    manifold = charge(intake, boost, efficiency, cooling)
    outside = air_density(intake)
    density = where(place == "before", manifold.density, outside)
    return swallowed(displacement, speed, filling) * manifold.density / density, density
