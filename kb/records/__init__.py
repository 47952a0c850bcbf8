"""Records: every kind of part as a declaration, and the strict models made from them.

Importing this package stays light: `KINDS` imports the file of a kind when it is asked for. `_index.py` (written by
`python -m kb.publish`) says which file that is; a file that it does not know yet is imported at once.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from importlib import import_module

from kb.records._index import KIND_FILES, ROLE_KINDS
from kb.records._kind import DECLARED, SHOWN, Feature, Item, Kind

_PACKAGE = "kb.records.kinds"


class _Kinds(Mapping[str, type[Kind]]):
    """Kind by name, imported when it is first asked for; iterating imports all."""

    def __init__(self) -> None:
        self._files: dict[str, str] = {}
        self._order: list[str] = []

    def _known(self) -> dict[str, str]:
        if not self._files:
            self._files.update(KIND_FILES)
            indexed = set(KIND_FILES.values())
            for folder in import_module(_PACKAGE).__path__:
                for name in sorted(os.listdir(folder)):
                    module = name.removesuffix(".py")
                    if name.endswith(".py") and not name.startswith("_") and module not in indexed:
                        import_module(f"{_PACKAGE}.{module}")
        return self._files

    def __getitem__(self, kind: str) -> type[Kind]:
        known = self._known()
        if kind not in DECLARED:
            if kind not in known:
                raise KeyError(kind)
            import_module(f"{_PACKAGE}.{known[kind]}")
        return DECLARED[kind]

    def __contains__(self, kind: object) -> bool:
        return kind in self._known() or kind in DECLARED

    def __iter__(self) -> Iterator[str]:
        if not self._order:
            known = self._known()
            for module in dict.fromkeys(known.values()):
                import_module(f"{_PACKAGE}.{module}")
            self._order.extend(dict.fromkeys([*sorted(DECLARED, key=lambda kind: (DECLARED[kind].family, kind))]))
        return iter(self._order)

    def __len__(self) -> int:
        return len(list(iter(self)))

    def of_role(self, role: str) -> str | None:
        """The kind of the parts that fill `role`; None if there is no such role."""
        self._known()
        if role in ROLE_KINDS:
            return ROLE_KINDS[role]
        return next((kind for kind, made in DECLARED.items() if role in made.roles), None)


KINDS = _Kinds()

__all__ = ["KINDS", "SHOWN", "Feature", "Item", "Kind"]
