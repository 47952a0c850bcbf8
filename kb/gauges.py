"""What a gauge, a meter or an eye saw at a point of a circuit, and the points where one can look."""

from __future__ import annotations

from typing import NamedTuple

from kb.records.gauge_places import CIRCUITS, CODE, STATES, Place, circuit_of, places, read_value

__all__ = ["CIRCUITS", "CODE", "STATES", "GaugeReading", "Place", "circuit_of", "places", "read_value"]


class GaugeReading(NamedTuple):
    """One reading at a place of a circuit, for one build.

    value: SI float, or a code. half: half width of its error in SI, None when nobody said and the tool does not tell,
    and for codes. speed: 1/s of the crank; temperature: K; start: number of the start it belongs to. text: as written.
    """

    id: str
    build: str
    place: str
    value: float | str
    half: float | None = None
    tool: str = ""
    state: str = ""
    speed: float | None = None
    temperature: float | None = None
    start: int | None = None
    date: str = ""
    by: str = ""
    note: str = ""
    photo: str = ""
    text: str = ""
    quantity: str = CODE
