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
    """Kind by name, imported when first asked for; iterating, or asking for one that the index lacks, imports all."""

    def __init__(self) -> None:
        self._order: list[str] = []

    def _all(self) -> list[str]:
        if not self._order:
            for folder in import_module(_PACKAGE).__path__:
                for name in sorted(os.listdir(folder)):
                    if name.endswith(".py") and not name.startswith("_"):
                        import_module(f"{_PACKAGE}.{name.removesuffix('.py')}")
            self._order.extend(sorted(DECLARED, key=lambda kind: (DECLARED[kind].family, kind)))
        return self._order

    def __getitem__(self, kind: str) -> type[Kind]:
        if kind not in DECLARED:
            if kind in KIND_FILES:
                import_module(f"{_PACKAGE}.{KIND_FILES[kind]}")
            else:
                self._all()
        return DECLARED[kind]

    def __contains__(self, kind: object) -> bool:
        return kind in KIND_FILES or kind in DECLARED or kind in self._all()

    def __iter__(self) -> Iterator[str]:
        return iter(self._all())

    def __len__(self) -> int:
        return len(self._all())

    def of_role(self, role: str) -> str | None:
        """The kind of the parts that fill `role`; None if there is no such role."""
        if role in ROLE_KINDS:
            return ROLE_KINDS[role]
        return next((kind for kind in self._all() if role in DECLARED[kind].roles), None)


KINDS = _Kinds()

__all__ = ["KINDS", "SHOWN", "Feature", "Item", "Kind"]
