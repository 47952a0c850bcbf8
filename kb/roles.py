"""The catalogue `role.feature`: which places a build has, and what can be said about the part in each.

A rule names its inputs as defaults (`depth=pan.sump_depth`), so a misspelt feature fails when the rule is
imported and the message says what the role does have.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
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


class _Roles(Mapping[str, Role]):
    """Role by name, read off the kinds (`Kind.roles`); iterating lists them in the order of the kinds."""

    def __init__(self) -> None:
        self._made: dict[str, Role] = {}

    def __getitem__(self, name: str) -> Role:
        if name not in self._made:
            kind = KINDS.of_role(name)
            if kind is None:
                raise KeyError(name)
            self._made[name] = Role(name, kind, KINDS[kind].roles[name])
        return self._made[name]

    def __contains__(self, name: object) -> bool:
        return isinstance(name, str) and KINDS.of_role(name) is not None

    def __iter__(self) -> Iterator[str]:
        return iter([role for kind in KINDS.values() for role in kind.roles])

    def __len__(self) -> int:
        return len(list(iter(self)))


ROLES = _Roles()


def __getattr__(name: str) -> Any:
    """`from kb.roles import pan`: the role of that name."""
    if (
        not name.startswith("_") and name in ROLES
    ):  # the import system asks for __path__: no reason to import every kind
        return ROLES[name]
    raise AttributeError(
        f"there is no role {name!r}; there are {', '.join(ROLES)}" if not name.startswith("__") else name
    )


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
            f"feature of the role {role_name!r}", feature, ROLES[base_role(role_name)].kind.features, place=place,
            list_with="matchmark rules --roles",
        )  # fmt: skip
    return RoleFeature(role_name, found)
