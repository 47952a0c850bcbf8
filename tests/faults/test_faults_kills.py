"""`kill -9` at random moments: what was told to be done is there, and nothing half done is."""

from __future__ import annotations

import http.client
import json
import random
import shutil
import signal
import threading
import time
from contextlib import suppress
from pathlib import Path

from kb.store import opening, schema
from kb.store.dump import content_hash
from kb.store.write import write_record
from tests.faults.trouble import Client, as_keeper, chained, changes, killed, old, rounds, sound
from tests.web.test_web_serve import running

LOAD = """
import sys
from kb.store.load import load
print("ready", flush=True)
load(sys.argv[1], [sys.argv[2]], by="x")
"""
MIGRATE = """
import sys
from kb.store.schema import migrate
print("ready", flush=True)
migrate(sys.argv[1])
"""


def test_a_killed_load_is_there_whole_or_not_at_all(base: str, tmp_path: Path) -> None:
    records = tmp_path / "more.json"
    # 4 MB: more than SQLite keeps in memory, so that the file is written to before the end.
    some = [{"kind": "pickup", "id": f"p{n}", "name": f"Tube {n}", "notes": "x" * 10_000} for n in range(200)]
    records.write_text(json.dumps(some), encoding="utf-8")
    before = content_hash(base)

    def copy(number: int) -> tuple[str, str]:
        path = str(tmp_path / f"copy{number}.db")
        shutil.copyfile(base, path)
        return path, str(records)

    for number in killed(LOAD, copy, rounds(4), seed=1):
        after = content_hash(str(tmp_path / "copy0.db"))
        assert after != before
        path = tmp_path / f"copy{number}.db"
        sound(str(path))
        assert content_hash(path) in (before, after)
        path.unlink()


def test_a_killed_migration_is_done_or_not_begun_and_goes_through_the_next_time(tmp_path: Path) -> None:
    first = old(1, tmp_path / "first.db")

    def copy(number: int) -> tuple[str]:
        path = str(tmp_path / f"copy{number}.db")
        shutil.copyfile(first, path)
        return (path,)

    for number in killed(MIGRATE, copy, rounds(4), seed=2):
        path = str(tmp_path / f"copy{number}.db")
        opening.heal(path)
        assert opening.look(path) in (1, opening.VERSION)
        sound(path)
        schema.migrate(path)
        assert content_hash(path) == content_hash(str(tmp_path / "copy0.db"))
        Path(path).unlink()


def post(client: Client, pan: str, said: list[str]) -> None:
    """Measure until the server is gone, maybe in the middle of an answer."""
    with suppress(OSError, http.client.HTTPException, ValueError):
        for number in range(1000):
            if client.measure(pan, "190 mm", str(number)):
                said.append(str(number))


def test_what_a_killed_server_said_is_saved_is_saved(base: str) -> None:
    moments = random.Random(3)
    total = 0
    for turn in range(rounds(2)):
        pan = f"pan-{turn}"
        write_record(base, {"kind": "pan", "id": pan, "name": "Pan on trial"}, by="x", origin="test")
        said: list[str] = []
        with running(base) as server:
            thread = threading.Thread(target=post, args=(as_keeper(server), pan, said))
            thread.start()
            time.sleep(moments.uniform(0.1, 1.5))
            server.process.send_signal(signal.SIGKILL)
            server.process.wait()
            thread.join(60)
            assert not thread.is_alive()
        sound(base)
        kept = [each["note"] for each in changes(base, pan)[-1][1].get("sump_depth", ())]
        # Nothing that was acknowledged is missing; what was cut off before it was acknowledged may be there.
        assert kept[: len(said)] == said
        assert len(kept) - len(said) <= 1
        assert chained(base, pan) == 1 + len(kept)
        total += len(said)
    assert total > 0
