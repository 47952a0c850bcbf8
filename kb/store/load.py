"""Record files into the database: everything is checked first, then written in one transaction, or nothing is."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from kb.errors import Fault, Faults, RecordFault, StoreFault
from kb.reading_files import MAX_BYTES, TooLarge, read, streaming
from kb.records import KINDS
from kb.records.given import Given
from kb.records.models import Checked, check
from kb.store import bulk, photos, references, schema
from kb.store.opening import look
from kb.store.write import Change, Progress, apply, refer

# Bytes of record files above which a load makes one pass over them before it tells any fault.
LARGE = 2_000_000


class Report(NamedTuple):
    """What a load did. `faults` is empty unless the good records alone were asked for.

    `changes` has every record of a load of ordinary size; of a large one (LARGE) there are numbers only, in `counts`.
    """

    changes: list[Change]
    faults: list[Fault]
    skipped: list[str]
    left: int = 0
    pictures: int = 0
    counts: Mapping[str, int] = {}

    def count(self, action: str) -> int:
        """How many records were added ("add"), changed ("change") or found the same ("same")."""
        return self.counts.get(action, 0) + sum(change.action == action for change in self.changes)

    def __str__(self) -> str:
        words = [f"{self.count('add')} added", f"{self.count('change')} changed", f"{self.count('same')} unchanged"]
        if self.pictures:
            words.append(f"{self.pictures} picture{'s' if self.pictures > 1 else ''} came along")
        if self.faults:
            words.append(f"{self.left} left out for {len(self.faults)} faults")
        return ", ".join(words)


def load(
    path: str | os.PathLike[str],
    paths: Iterable[str | os.PathLike[str]],
    *,
    by: str,
    keep_good: bool = False,
    progress: Progress | None = None,
) -> Report:
    """Load files and folders of records into the database at `path`.

    Raises Faults with every fault found, nothing changed; with `keep_good` the records without faults are loaded
    (and what names none of the faulty ones), and the faults are in the report. StoreFault if it cannot be written.
    `progress(what, done, total)` is called now and then. Pictures that the records name come along from `photos/` in a
    folder, as `dump` puts them there.
    """
    name, paths = os.fspath(path), list(paths)
    look(name, writing=True)
    size = 0 if keep_good else streaming.size(paths)
    first: Fault | None = None
    if size > LARGE:
        try:
            return _in_one_pass(name, paths, by=by, progress=progress)
        except streaming.Odd as odd:
            step = "mend this, then load again: of so large a load one fault is told at a time"
            first = RecordFault(odd.why, place=odd.place, step=step)
        if size > 4 * MAX_BYTES:
            raise Faults([first])
    given = read(paths)
    faults = list(given.faults)
    if first is not None and any(isinstance(each, TooLarge) for each in faults):
        raise Faults([first])  # what it is could be told in one pass, and all of it at once takes too much room
    good: list[Checked] = []
    half: list[Checked] = []
    for number, one in enumerate(given.records, 1):
        try:
            good.append(check(one))
        except Faults as found:
            faults.extend(found.faults)
            half.extend(_names_in(one))
        if progress is not None and (number % 100 == 0 or number == len(given.records)):
            progress("checking", number, len(given.records))
    twice = references.duplicates(good)
    faults.extend(fault for _, fault in twice)
    repeated = {id(one) for one, _ in twice}
    good = [one for one in good if id(one) not in repeated]
    with schema.writing(name) as db:
        # A record at fault still counts as there, so that those that name it are not at fault too.
        there = [] if keep_good else [one.data for one in given.records]
        # What a faulty record names is looked at too, so that all of its faults are told at once.
        faults.extend(fault for found in refer(db, half, there).values() for fault in found)
        while wrong := refer(db, good, there):
            faults.extend(fault for found in wrong.values() for fault in found)
            if not keep_good:
                break
            good = [one for number, one in enumerate(good) if number not in wrong]
        faults.sort(key=_where)
        if faults and not keep_good:
            raise Faults(faults)
        changes = apply(db, [references.completed(one) for one in good], by=by, progress=progress)
    carried = _carry(name, paths, [one for each in good for one in photos.named(each.record)])
    return Report(changes, faults, _passed_over(given.skipped), len(given.records) - len(changes), carried)


def _in_one_pass(name: str, paths: Sequence[str | os.PathLike[str]], *, by: str, progress: Progress | None) -> Report:
    """As `load`, of files as large as one likes. Raises streaming.Odd, and nothing is changed, for any fault."""
    with schema.writing(name) as db:
        done = bulk.load(db, paths, by=by, progress=progress)
    return Report([], [], _passed_over(done.skipped), 0, _carry(name, paths, done.pictures), done.counts)


def _carry(name: str, paths: Sequence[str | os.PathLike[str]], named: Iterable[str]) -> int:
    places = [os.path.join(os.fspath(each), photos.DUMPED) for each in paths]
    return len(photos.carry(places, photos.folder_of(name), named))


def _passed_over(skipped: Iterable[str]) -> list[str]:
    """Files that were no record files, the pictures that come along apart."""
    return [each for each in skipped if not photos.NAME.fullmatch(os.path.basename(each))]


def _where(fault: Fault) -> tuple[str, int]:
    """File and line of a fault, so that they are told in the order in which one mends them."""
    file, _, line = fault.place.partition(": ")[0].rpartition(":")
    return (file, int(line)) if line.isdigit() else (fault.place, 0)


def _names_in(given: Given) -> list[Checked]:
    """As much of a faulty part's record as names others: what it is based on, its source, codes of vocabularies."""
    kind, id = given.data.get("kind"), given.data.get("id")
    if not isinstance(kind, str) or not isinstance(id, str) or kind not in KINDS:
        return []
    codes = {name for name, feature in KINDS[kind].features.items() if feature.vocabulary and feature.sort == "choice"}
    named = {name: said for name, said in given.data.items() if name in {"based_on", *codes} and isinstance(said, str)}
    known = given.data.get("known")
    said = {name: each for name, each in known.items() if isinstance(each, str)} if isinstance(known, dict) else {}
    return [Checked(kind, id, named, given._replace(data={**named, "known": said}))]


def sample_folder() -> str:
    """The folder of the sample's record files: inside an installed package, else of the checkout."""
    from importlib.resources import files

    inside = files("kb") / "sample" / "records"
    if inside.is_dir():
        return str(inside)
    return os.path.join(
        os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__)))), "sample_db", "records"
    )


def init(
    path: str | os.PathLike[str], sample: bool = False, *, by: str = "", progress: Progress | None = None
) -> Report:
    """A new database at `path`, with the sample's records if asked for. It is complete when it appears.

    StoreFault if `path` exists (nothing is overwritten) or cannot be made; Faults if the sample is at fault.
    """
    name = os.fspath(path)
    exists = StoreFault("exists already", place=name, step="name another file: nothing is ever overwritten")
    if os.path.lexists(name):
        raise exists
    making = f"{name}.making-{os.getpid()}"
    try:
        schema.create(making)
        report = Report([], [], [])
        if sample:
            report = load(making, [sample_folder()], by=by or "sample", progress=progress)
        try:
            os.link(making, name)
        except FileExistsError:
            raise exists from None
        except OSError:  # a file system without links
            if os.path.lexists(name):
                raise exists from None
            os.rename(making, name)
        return report
    except StoreFault as fault:
        if fault.place.startswith(making):
            fault.place = name
        raise
    finally:
        for leftover in (making, f"{making}-journal"):
            if os.path.lexists(leftover):
                os.remove(leftover)
