"""Record files with changed bytes and changed values: read, checked, written back and read again."""

from __future__ import annotations

import json
import os
import random
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from kb.errors import Fault, Faults
from kb.reading_files import read, read_text
from kb.reading_files._csv import csv_text
from kb.reading_files._yaml import yaml_text
from kb.records.models import check, normalise
from kb.store.dump import content_hash, dump
from kb.store.load import init, load
from tests.hostile import words
from tests.hostile.campaign import Outcome

SAMPLES = Path(__file__).parent.parent.parent / "sample_db" / "records"
MOST_KEPT = 400


def make(name: str) -> Records:
    return Records()


class Records:
    """Files of the sample, each as YAML, JSON and, where it fits a table, CSV."""

    def __init__(self) -> None:
        self.files: list[tuple[str, str, bytes]] = []  # kind, form, content
        self.records: list[dict[str, Any]] = []
        for each in read([SAMPLES]).records:
            record = dict(each.data)
            kind = record["kind"]
            self.records.append(record)
            self.files.append((kind, "yaml", yaml_text(record).encode()))
            self.files.append((kind, "json", json.dumps(record, ensure_ascii=False, indent=1).encode()))
            table, left = csv_text(kind, [record])
            if not left:
                self.files.append((kind, "csv", table.encode()))
        self.kept: dict[tuple[str, str], dict[str, Any]] = {}

    def case(self, rnd: random.Random) -> Outcome:
        kind, form, content = rnd.choice(self.files)
        if form != "csv" and rnd.random() < 0.6:
            record = self.twisted(rnd, json.loads(json.dumps(rnd.choice(self.records))))
            try:
                text = yaml_text(record) if form == "yaml" else json.dumps(record, ensure_ascii=False, indent=1)
                content = text.encode("utf-8", "surrogatepass")
            except ValueError:
                content = json.dumps(record).encode()
        else:
            content = words.bytes_changed(rnd, content, rnd.choice(self.files)[2])
        said = f"{kind}.{form}: {content[:200]!r}"
        try:
            found = read_text(content.decode("utf-8-sig"), f"{kind}.{form}", form)
        except UnicodeDecodeError:
            return Outcome("refused")
        except Fault as fault:
            return Outcome("refused", _told(fault), said)
        accepted = False
        for each in found:
            try:
                good = check(each)
            except Fault as fault:
                if wrong := _told(fault):
                    return Outcome("refused", wrong, said)
                continue
            accepted = True
            if wrong := _round(good.kind, good.record, good.facts):
                return Outcome("accepted", wrong, said)
            if len(self.kept) < MOST_KEPT:
                self.kept[good.kind, good.id] = good.record
        return Outcome("accepted" if accepted else "refused", "", said)

    def twisted(self, rnd: random.Random, record: dict[str, Any]) -> dict[str, Any]:
        """The record with one to three values, somewhere in it, replaced, renamed, doubled or taken out."""
        for _ in range(rnd.choice((1, 1, 1, 2, 3))):
            holder: Any = record
            while True:
                keys = list(holder) if isinstance(holder, dict) else list(range(len(holder)))
                if not keys:
                    break
                key = rnd.choice(keys)
                inner = holder[key]
                if isinstance(inner, dict | list) and inner and rnd.random() < 0.8:
                    holder = inner
                    continue
                luck = rnd.random()
                if luck < 0.1:
                    del holder[key]
                elif luck < 0.2 and isinstance(holder, dict):
                    holder[words.text(rnd, str(key))] = holder.pop(key)
                elif luck < 0.3:
                    holder[key] = [inner, inner]
                elif luck < 0.45:
                    odd = (None, True, -1, 0, 10**18, 1.5e308, 5e-324, [], {}, [[]], {"value": inner}, {"id": inner})
                    holder[key] = rnd.choice(odd)
                elif luck < 0.55:
                    other = rnd.choice(self.records)
                    holder[key] = other[rnd.choice(list(other))]
                elif luck < 0.75 and holder is record and key != "kind":
                    alike = [other[key] for other in self.records if key in other]
                    holder[key] = json.loads(json.dumps(rnd.choice(alike or [inner])))
                else:
                    holder[key] = words.text(rnd, inner if isinstance(inner, str) else str(inner))
                break
        return record

    def close(self) -> Iterable[str]:
        """What was accepted goes into a base, out as files of each form that holds it, and into another base."""
        with tempfile.TemporaryDirectory() as folder:
            given = os.path.join(folder, "given")
            for number, record in enumerate(self.kept.values()):
                os.makedirs(given, exist_ok=True)
                Path(given, f"{number}.json").write_text(json.dumps(record), encoding="utf-8")
            first = os.path.join(folder, "first.db")
            init(first, sample=True)
            if self.kept:
                load(first, [given], by="tests", keep_good=True)
            for form in ("yaml", "json"):
                again = os.path.join(folder, f"{form}.db")
                dump(first, os.path.join(folder, form), form=form)
                init(again)
                load(again, [os.path.join(folder, form)], by="tests")
                if content_hash(again) != content_hash(first):
                    yield f"a dump as {form} and a load of it do not give the same base"


def _told(fault: Fault) -> str:
    """What is wrong with the way a fault is told: every one has a place and a next step, and is no novel."""
    for each in fault.faults if isinstance(fault, Faults) else (fault,):
        if not each.message or not each.place or not each.step:
            return f"lacks words, place or step: {each!s:.300}"
        if len(str(each)) > 4000:
            return f"is told in {len(str(each))} signs: {each!s:.200}"
    return ""


def _round(kind: str, record: dict[str, Any], facts: dict[str, Any]) -> str:
    """What is wrong with writing the record out and reading it back."""
    texts = {"yaml": yaml_text(record), "json": json.dumps(record, ensure_ascii=False, allow_nan=False)}
    table, left = csv_text(kind, [record])
    if not left:
        texts["csv"] = table
    for form, text in texts.items():
        (back,) = read_text(text, f"{kind}.{form}", form)
        if back.data != record:
            return f"comes back from {form} as {back.data!r:.300}"
        if normalise(back.data) != facts:
            return f"means something else once it is back from {form}"
    return ""
