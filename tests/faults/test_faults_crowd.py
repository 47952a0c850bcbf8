"""Five people at the command line and five at browsers write at once, while others read."""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from contextlib import closing

from kb.store import read
from kb.store.write import write_record
from tests.cli.running import TOP, environment
from tests.faults.trouble import LONG, Client, as_keeper, chained, changes, sound
from tests.web.test_web_serve import running

SECONDS = 30.0 if LONG else 4.0
PANS = 8  # a feature takes at most 100 readings


def test_ten_writers_and_four_readers(base: str) -> None:
    for number in range(PANS):
        write_record(base, {"kind": "pan", "id": f"pan-{number}", "name": f"Pan {number}"}, by="x", origin="test")
        roles = {"pan": {"part": f"pan-{number}", "owned": True}}
        write_record(
            base, {"kind": "build", "id": f"build-{number}", "name": "Trial", "roles": roles}, by="x", origin="t"
        )
    said: list[str] = []
    refused: list[str] = []
    broken: list[BaseException] = []
    waits: list[float] = []
    over = threading.Event()

    def command(number: int) -> None:
        turn = 0
        while not over.is_set():
            note = f"command-{number}-{turn}"
            build = f"build-{(number + turn) % PANS}"
            words = ["reading", build, "pan.sump_depth=190mm", "--db", base, "--note", note, "--with", "depth-gauge"]
            done = subprocess.run(
                [sys.executable, "-m", "kb.cli", *words], capture_output=True, text=True, env=environment(), cwd=TOP
            )
            if done.returncode == 2:
                assert "another program is writing" in done.stderr, done.stderr
                refused.append(note)
            else:
                said.append(note)
            turn += 1

    def browser(number: int, client: Client) -> None:
        turn = 0
        while not over.is_set():
            note = f"browser-{number}-{turn}"
            saved = client.measure(f"pan-{(number + turn) % PANS}", "190 mm", note)
            (said if saved else refused).append(note)
            turn += 1

    def reader() -> None:
        while not over.is_set():
            began = time.monotonic()
            with closing(read.open_readonly(base)) as con:
                assert read.part(con, "pan-3").name == "Pan 3"
            waits.append(time.monotonic() - began)
            time.sleep(0.02)

    def guarded(work: object, *given: object) -> None:
        try:
            work(*given)  # type: ignore[operator]
        except BaseException as error:
            broken.append(error)

    with running(base) as server:
        client = as_keeper(server)
        threads = [threading.Thread(target=guarded, args=(command, number)) for number in range(5)]
        threads += [threading.Thread(target=guarded, args=(browser, number, client)) for number in range(5)]
        threads += [threading.Thread(target=guarded, args=(reader,)) for _ in range(4)]
        for thread in threads:
            thread.start()
        time.sleep(SECONDS)
        over.set()
        for thread in threads:
            thread.join(60)
        assert not any(thread.is_alive() for thread in threads)
        assert server.stop()[2] == ""
    assert broken == []
    sound(base)
    kept = []
    for number in range(PANS):
        notes = [each["note"] for each in changes(base, f"pan-{number}")[-1][1].get("sump_depth", ())]
        assert chained(base, f"pan-{number}") == 1 + len(notes)
        kept += notes
    assert sorted(kept) == sorted(said)  # each once, and nothing that was refused
    assert {note.partition("-")[0] for note in said} == {"command", "browser"}
    assert len(waits) > 4
    if LONG:
        print(f"{len(said)} written, {len(refused)} told to wait, {len(waits)} read, longest wait {max(waits):.3f} s")
        assert max(waits) < 1.0
