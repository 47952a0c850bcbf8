"""Checking many records: what was found of a field's value once is not worked out again.

    check = Quick()
    one = check(given)      # the same as kb.records.models.check(given)

Fields of a part are judged one by one (no model looks at two of them together), so that a value which a feature of
this kind had before is good again, and its normal form is the same. What is new, or looks wrong, goes to the model.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from pydantic import Field, ValidationError, create_model

from kb.errors import Fault
from kb.records import KINDS, Feature
from kb.records._base import Strict
from kb.records.fields import LONGEST, Provenance, fields_of
from kb.records.given import Given
from kb.records.models import HEAD, Checked, PartRecord, check, normal, provenance, said_of
from kb.records.values import read_dimension

MOST = 4096  # values that are remembered of one feature
_COMMON = frozenset((*HEAD, "known"))


class Quick:
    """A memory of values by kind, for one load. What it returns shares normal forms, which are not to be changed."""

    def __init__(self) -> None:
        self._kinds: dict[str, _Kind] = {}

    def __call__(self, given: Given) -> Checked:
        """As `models.check`. Raises Faults."""
        kind = given.data.get("kind")
        if not isinstance(kind, str) or kind not in KINDS:
            return check(given)
        if kind not in self._kinds:
            self._kinds[kind] = _Kind(KINDS[kind].features)
        try:
            facts = self._kinds[kind].facts(given.data)
        except ValidationError:
            return check(given)
        return check(given) if facts is None else Checked(kind, facts["id"], facts, given)


class _Kind:
    def __init__(self, features: Mapping[str, Feature]) -> None:
        self.features = features
        self.order = {name: at for at, name in enumerate(features)}
        self.models: dict[str, type[Strict]] = {}
        self.known: dict[Any, _Memory] = {}

    def facts(self, data: Mapping[str, Any]) -> dict[str, Any] | None:
        """The facts; None for what only the whole model can judge. Raises ValidationError."""
        said, head, names = data.get("known"), {}, []
        for name in data:
            if name in self.order:
                names.append(name)
            elif name not in _COMMON:
                return None
            elif name != "known":
                head[name] = data[name]
        stated_as = _key(said) if said is not None else ()
        if stated_as is None or (said is not None and not isinstance(said, dict)):
            return None
        made: Any = PartRecord.__pydantic_validator__.validate_python(head)
        facts = {name: getattr(made, name) for name in HEAD if name in head}
        memory = self.known.get(stated_as)
        if memory is None:
            if len(self.known) >= 64:
                self.known.clear()
            stated = {} if said is None else said_of(_Stated.model_validate({"known": said}))
            memory = self.known[stated_as] = _Memory(stated, {})
        names.sort(key=self.order.__getitem__)
        for name in names:
            value = data[name]
            key = value if type(value) is str else _key(value)
            seen = memory.values.get(name)
            if seen is None:
                seen = memory.values[name] = {}
            if key is not None and key in seen:
                facts[name] = seen[key]
                continue
            facts[name] = found = self._normal(name, value, memory.known)
            if key is not None:
                if len(seen) >= MOST:
                    seen.clear()
                seen[key] = found
        return facts

    def _normal(self, name: str, value: Any, known: dict[str, Any]) -> Any:
        feature = self.features[name]
        if feature.sort == "dimension" and type(value) is str and len(value) <= LONGEST:
            try:  # what the model does with a text, without the way there
                return [provenance(read_dimension(feature, value), known)]
            except Fault:
                pass  # the model words it
        one = {name: feature}
        model = self.models.get(name)
        if model is None:
            model = self.models[name] = create_model("One", __base__=Strict, **fields_of(one))
        return normal(model.model_validate({name: value}), one, known)[name]


class _Memory(NamedTuple):
    """What was found of values, by feature, under the same word on how figures are known."""

    known: dict[str, Any]
    values: dict[str, dict[Any, Any]]


class _Stated(Strict):
    known: Provenance = Field(default_factory=Provenance)


def _key(value: Any) -> Any:
    """Something to remember a value by, with its type where 1 would be taken for True; None: not remembered."""
    sort = type(value)
    if sort is str:
        return value
    if sort is dict:
        pairs = tuple(value.items())
        return pairs if all(type(each) is str for pair in pairs for each in pair) else None
    if sort is list:
        return (list, *value) if all(type(each) is str for each in value) else None
    return (sort, value) if sort is int or sort is bool else None
