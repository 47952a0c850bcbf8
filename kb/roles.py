"""The catalogue `role.feature`: which places a build has, and what can be said about the part in each.

A rule names its inputs as defaults (`depth=pan.sump_depth`), so a misspelt feature fails when the rule is
imported and the message says what the role does have.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from kb.errors import unknown
from kb.records import KINDS, Feature, Kind


class RoleFeature(NamedTuple):
    """One feature of the part that fills one role."""

    role: str
    feature: Feature
    fields: tuple[str, ...] = ()
    like: RoleFeature | None = None

    def for_each(self, other: RoleFeature) -> RoleFeature:
        """The same list, completed: every entry of `other` counts here too, unknown where nobody recorded it."""
        return self._replace(like=other)

    def of(self, *fields: str) -> RoleFeature:
        """The same list feature, narrowed to the fields of its entries that a rule reads."""
        entry = self.feature.item
        missing = [name for name in fields if entry is None or name not in entry.features]
        if missing:
            raise AttributeError(f"an entry of {self} has no {', '.join(missing)}")
        return self._replace(fields=fields)

    def __str__(self) -> str:
        return f"{self.role}.{self.feature.name}"


class Role:
    """A place in a build, filled by a part of one kind."""

    def __init__(self, name: str, kind: str, meaning: str) -> None:
        self.name = name
        self.kind: type[Kind] = KINDS[kind]
        self.meaning = meaning

    def __getattr__(self, feature: str) -> Any:
        if feature.startswith("__"):
            raise AttributeError(feature)
        try:
            return RoleFeature(self.name, self.kind.features[feature])
        except KeyError:
            has = ", ".join(sorted(self.kind.features))
            raise AttributeError(f"the role {self.name!r} has no feature {feature!r}; it has {has}") from None

    def __repr__(self) -> str:
        return f"<role {self.name}>"


block = Role("block", "block", "engine block with front and rear covers")
crank = Role("crank", "crank", "crankshaft with rods")
damper = Role("damper", "damper", "crank damper and its bolt")
oil_pump = Role("oil_pump", "oil_pump", "oil pump")
pump_drive = Role("pump_drive", "pump_drive", "shaft that turns the oil pump")
pan = Role("pan", "pan", "oil pan")
pan_gasket = Role("pan_gasket", "pan_gasket", "seal between block and pan")
pickup = Role("pickup", "pickup", "oil pickup")
pickup_seal = Role("pickup_seal", "pickup_seal", "ring between pickup and pump")
windage_tray = Role("windage_tray", "windage_tray", "tray under the crank")
oil_filter_adapter = Role("oil_filter_adapter", "oil_filter_adapter", "adapter or cooler plate on the filter pad")
oil_filter = Role("oil_filter", "oil_filter", "oil filter")
dipstick = Role("dipstick", "dipstick", "dipstick with its tube")
flange_bolts = Role("flange_bolts", "flange_bolts", "bolts that clamp the pan")
oil = Role("oil", "oil", "the oil that goes in")
car = Role("car", "car", "the car around the engine")
duty = Role("duty", "duty", "how the build will be used")
trigger_wheel = Role("trigger_wheel", "trigger_wheel", "wheel under the crank sensor")
crank_sensor = Role("crank_sensor", "position_sensor", "crank position sensor")
controller = Role("controller", "controller", "ignition controller")

ROLES: dict[str, Role] = {value.name: value for value in list(globals().values()) if isinstance(value, Role)}


def base_role(name: str) -> str:
    """`hose:return` -> `hose`: the role without its qualifier."""
    return name.partition(":")[0]


def role(name: str, *, place: str = "") -> Role:
    """The role called `name` (with or without a qualifier); UnknownName says what is near."""
    try:
        return ROLES[base_role(name)]
    except KeyError:
        raise unknown("role", name, ROLES, place=place, list_with="matchmark rules --roles") from None


def role_feature(path: str, *, place: str = "") -> RoleFeature:
    """`pan.sump_depth` -> the feature of that role; UnknownName says what is near."""
    role_name, _, feature = path.partition(".")
    found = role(role_name, place=place).kind.features.get(feature)
    if found is None:
        raise unknown(
            f"feature of the role {role_name!r}", feature, ROLES[base_role(role_name)].kind.features, place=place
        )
    return RoleFeature(role_name, found)
