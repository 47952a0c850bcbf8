"""The YAML of record files: a strict part of it, so that what people see is what is read.

Only `true` and `false` are booleans, only plain decimals are numbers; `no`, `012`, `1:30`, `1_000`, `0x1F` and dates
stay text. Anchors, aliases, tags and duplicate keys are refused.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import yaml

if TYPE_CHECKING:
    from kb.reading_files import Reader
    from kb.records.given import Path

_Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

# Both stay inside what PyYAML's dumper takes for numbers, so that a text never comes back as a number.
_INTEGER = re.compile(r"-?(?:0|[1-9][0-9]{0,17})\Z")
_DECIMAL = re.compile(r"-?(?:0|[1-9][0-9]{0,17})\.[0-9]{1,40}(?:e[+-][0-9]{1,3})?\Z")


def plain(text: str) -> Any:
    """What an unquoted scalar means."""
    if text in ("", "~", "null"):
        return None
    if text in ("true", "false"):
        return text == "true"
    if _INTEGER.match(text):
        return int(text)
    if _DECIMAL.match(text):
        number = float(text)
        return number if number - number == 0.0 else text
    return text


class _Open:
    """A list or mapping that is still being read."""

    def __init__(self, holder: dict[str, Any] | list[Any], path: Path) -> None:
        self.holder = holder
        self.path = path
        self.key: str | None = None
        self.skip = False


def read_yaml(text: str, reader: Reader) -> Iterator[tuple[Any, dict[Path, int]]]:
    """Each document of `text` with its lines. Raises a fault where YAML breaks off."""
    events = yaml.parse(text, Loader=_Loader)
    try:
        yield from _documents(events, reader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        problem = error.problem or "cannot be read"
        step = "check indents, colons and quotes near here"
        raise reader.fault(f"is not YAML: {problem}", mark.line + 1 if mark else 1, step) from None
    except yaml.YAMLError as error:
        position = getattr(error, "position", 0)
        line = text.count("\n", 0, position if isinstance(position, int) else 0) + 1
        raise reader.fault("is not YAML: a character that YAML forbids", line, "remove control characters") from None


def _documents(events: Iterator[Any], reader: Reader) -> Iterator[tuple[Any, dict[Path, int]]]:
    stack: list[_Open] = []
    lines: dict[Path, int] = {}
    top: Any = None
    for event in events:
        line = event.start_mark.line + 1 if event.start_mark else 1
        if isinstance(event, yaml.DocumentStartEvent):
            stack, lines, top = [], {}, None
            reader.one_more(line)
        elif isinstance(event, yaml.DocumentEndEvent):
            if top is not None:
                yield top, lines
        elif isinstance(event, yaml.AliasEvent):
            raise reader.fault(f"uses an alias (*{event.anchor})", line, "write the value out")
        elif isinstance(event, yaml.NodeEvent):
            reader.one_more(line)
            _refuse_decor(event, line, reader)
            if isinstance(event, yaml.ScalarEvent):
                value = plain(event.value) if event.implicit[0] else event.value
                if stack and isinstance(stack[-1].holder, dict) and stack[-1].key is None:
                    _take_key(stack[-1], event.value, line, reader)
                    continue
                path = _put(stack, value)
                top = value if not stack else top
                lines.setdefault(path, line)
            else:
                if stack and isinstance(stack[-1].holder, dict) and stack[-1].key is None:
                    raise reader.fault("uses a list or mapping as a field name", line, "quote texts with { or [")
                reader.deep(len(stack) + 1, line)
                holder: dict[str, Any] | list[Any] = {} if isinstance(event, yaml.MappingStartEvent) else []
                path = _put(stack, holder)
                top = holder if not stack else top
                lines.setdefault(path, line)
                stack.append(_Open(holder, path))
        elif isinstance(event, yaml.SequenceEndEvent | yaml.MappingEndEvent):
            stack.pop()


def _refuse_decor(event: Any, line: int, reader: Reader) -> None:
    if event.anchor is not None:
        raise reader.fault(f"uses an anchor (&{event.anchor})", line, "write the value out, or quote a text with &")
    if getattr(event, "tag", None) is not None:
        raise reader.fault(f"uses a tag ({event.tag})", line, "leave it out, or quote a text that begins with !")


def _take_key(inner: _Open, name: str, line: int, reader: Reader) -> None:
    inner.key = name
    inner.skip = name in inner.holder
    if inner.skip:
        shown = name if len(name) <= 60 else name[:57] + "..."
        reader.note(f"names {shown!r} twice", line, "keep one of them")


def _put(stack: list[_Open], value: Any) -> Path:
    """Hang `value` into the innermost open holder; returns its path."""
    if not stack:
        return ()
    inner = stack[-1]
    if isinstance(inner.holder, list):
        inner.holder.append(value)
        return (*inner.path, len(inner.holder) - 1)
    key = inner.key or ""
    inner.key = None
    if not inner.skip:
        inner.holder[key] = value
    return (*inner.path, key)


def yaml_text(record: Any) -> str:
    """`record` as YAML that reads back as the same values, fields in their order."""
    dumper: Any = getattr(yaml, "CSafeDumper", yaml.SafeDumper)
    text: str = yaml.dump(
        record, Dumper=dumper, sort_keys=False, allow_unicode=True, width=100, default_flow_style=False
    )
    return text
