"""Records: every kind of part as a declaration, and the strict models made from them.

Importing this package declares all kinds and stays light; the Pydantic models live in `kb.records.models`.
"""

from kb.records import car, engine, ignition, oil
from kb.records._kind import KINDS, SHOWN, Feature, Item, Kind

__all__ = ["KINDS", "SHOWN", "Feature", "Item", "Kind", "car", "engine", "ignition", "oil"]
