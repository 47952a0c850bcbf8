"""The real server, as a process of its own."""

from __future__ import annotations

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import uvicorn

from kb.errors import Fault, StoreFault
from kb.web import host as hosting
from kb.web.patient import Patient
from kb.web.serve import serve
from tests.web import small

ROOT = Path(__file__).parents[2]


class Running:
    """A server, and what it printed."""

    def __init__(self, process: subprocess.Popen[str], said: str, port: int = 0) -> None:
        self.process = process
        self.said = said
        self.port = port or int(re.findall(r"http://127\.0\.0\.1:([0-9]+)/", said)[0])

    def ask(
        self, path: str, *, host: str = "", method: str = "GET", more: Mapping[str, str] | None = None
    ) -> tuple[int, dict[str, str], str]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            connection.putrequest(method, path, skip_host=True)
            connection.putheader("Host", host or f"127.0.0.1:{self.port}")
            for name, value in (more or {}).items():
                connection.putheader(name, value)
            connection.endheaders()
            response = connection.getresponse()
            headers = {name.lower(): value for name, value in response.getheaders()}
            return response.status, headers, response.read().decode()
        finally:
            connection.close()

    def stop(self, how: int = signal.SIGINT) -> tuple[int, str, str]:
        self.process.send_signal(how)
        out, err = self.process.communicate(timeout=30)
        return self.process.returncode, out, err


WHOLE = b"GET /-/matchmark/icon.svg HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def listening(path: str) -> Iterator[int]:
    """The port of a server in this process, with the connections that `serve` gives it."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        app = hosting.make(path)
        server = uvicorn.Server(uvicorn.Config(app.app(), http=Patient, ws="none", lifespan="on", log_level="error"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        try:
            yield listener.getsockname()[1]
        finally:
            server.should_exit = True
            thread.join(30)
            for database in app.databases.values():
                database.close()


@contextmanager
def running(path: str, *flags: str, listens: bool = False) -> Iterator[Running]:
    """A server; `listens`: on a port that is chosen here, as behind a proxy it is not printed."""
    port = free_port() if listens else 0
    command = [sys.executable, "-m", "kb.cli", "serve", "--db", path, "--port", str(port), *flags]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=env, cwd=ROOT
    ) as process:
        try:
            assert process.stdout is not None
            said = ""
            while "Ctrl-C" not in said:
                line = process.stdout.readline()
                assert line, f"it ended before it was ready: {process.communicate()[1]}"
                said += line
            yield Running(process, said, port)
        finally:
            if process.poll() is None:
                process.kill()


@pytest.fixture
def path(tmp_path: Path) -> str:
    return small.make(tmp_path)


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_it_tells_how_to_reach_it_answers_and_ends_cleanly(path: str, how: int) -> None:
    with running(path) as server:
        status, headers, text = server.ask("/fit?build=drover")
        assert status == 200
        assert "Drover on trial" in text
        assert "server" not in headers
        assert server.ask("/", host="evil.example")[0] == 403
        assert server.ask("/", host=f"localhost:{server.port}")[0] == 200
        token = re.search(r"/sign-in\?token=\S+", server.said)
        assert token is not None
        status, headers, _ = server.ask(token.group(0))
        assert status == 303
        assert "ds_actor" in headers["set-cookie"]
        assert server.ask(token.group(0))[0] == 403
        code, out, err = server.stop(how)
        assert code == 0
        assert "stopped" in out
        assert err == ""


def test_public_offers_no_sign_in_and_takes_no_form(path: str) -> None:
    with running(path, "--public") as server:
        assert "sign-in" not in server.said
        assert "read-only" in server.said
        assert server.ask("/fit?build=drover")[0] == 200
        assert server.ask("/sign-in?token=x")[0] == 403
        assert server.ask("/incompatibility/new", method="POST")[0] == 403
        assert server.stop()[2] == ""


def test_each_person_gets_an_address_and_a_proxy_is_believed_only_when_told(path: str) -> None:
    flags = ("--contributor", "ann", "--reader", "bob", "--reader", "bob", "--private", "--name", "parts.example.org")
    tls = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.9"}
    with running(path, *flags) as server:
        assert [server.said.count(words) for words in ("ann, contributor", "bob, reader", ", keeper")] == [1, 2, 1]
        assert "private" in server.said
        tokens = re.findall(r"/sign-in\?token=\S+", server.said)
        assert len(set(tokens)) == 4
        assert server.ask("/")[0] == 403
        assert server.ask("/sign-in", host="parts.example.org")[0] == 403
        status, headers, _ = server.ask(tokens[0], host="parts.example.org", more=tls)
        assert (status, "secure" in headers["set-cookie"].lower()) == (303, False)  # nobody told to believe it
        assert (
            server.ask("/", host="parts.example.org", more={"Cookie": headers["set-cookie"].partition(";")[0]})[0]
            == 200
        )
        assert server.ask("/", host="evil.example", more={"X-Forwarded-Host": "parts.example.org"})[0] == 403
        assert server.stop()[2] == ""
    with running(path, "--name", "parts.example.org", "--proxy", "127.0.0.1", listens=True) as server:
        token = re.search(r"https://parts\.example\.org(/sign-in\?token=\S+)", server.said)
        assert token is not None
        status, headers, _ = server.ask(token.group(1), host="parts.example.org", more=tls)
        assert (status, "secure" in headers["set-cookie"].lower()) == (303, True)


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"people": [("ann", "reader"), ("ann", "keeper")]}, "ann is a reader and a keeper"),
        ({"people": [("a b", "reader")]}, "no name to sign in under"),
        ({"people": [("ann", "reader")], "public": True}, "nobody signs in on a public server"),
        ({"private": True, "public": True}, "nobody signs in on a public server"),
        ({"names": ["https://parts.example.org"]}, "is no name of a machine"),
        ({"names": ["a..b"]}, "is no name of a machine"),
        ({"proxy": "everybody", "names": ["parts.example.org"]}, "is no IP address"),
        ({"proxy": "127.0.0.1"}, "passes on a name"),
    ],
)
def test_what_cannot_be_meant_is_told(more: dict[str, Any], message: str, path: str) -> None:
    with pytest.raises(Fault, match=message) as caught:
        serve(path, "127.0.0.1", 0, **more)
    assert caught.value.step
    assert caught.value.place


def test_who_begins_a_request_and_does_not_end_it_is_cut(path: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Patient, "SECONDS", 0.2)
    with listening(path) as port:
        for beginning in (b"", b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: ", WHOLE + b"GET / HT"):
            with socket.create_connection(("127.0.0.1", port), timeout=20) as connection:
                connection.sendall(beginning)
                answer = b""
                while piece := connection.recv(65536):
                    answer += piece
                assert answer.count(b"HTTP/1.1 200") == beginning.count(WHOLE)  # then it was closed, not timed out here


def test_a_port_in_use_is_told(path: str) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(Fault, match="the port is in use") as caught:
            serve(path, "127.0.0.1", port, False)
    assert str(port) in caught.value.place
    assert "another port" in caught.value.step


@pytest.mark.parametrize(
    ("host", "port", "message"),
    [
        ("bad..name", 0, "no such address"),
        ("127.0.0.1", 70000, "is no port"),
        ("203.0.113.9", 0, "cannot listen"),  # kept for documentation (RFC 5737), so never ours
    ],
)
def test_an_address_that_cannot_be_had_is_told(host: str, port: int, message: str, path: str) -> None:
    with pytest.raises(Fault, match=message) as caught:
        serve(path, host, port, False)
    assert caught.value.step


def test_a_file_that_is_no_base_is_told_before_anything_listens(tmp_path: Path) -> None:
    with pytest.raises(StoreFault, match="no such database"):
        serve(str(tmp_path / "nothing.db"), "127.0.0.1", 0, False)
    (tmp_path / "letter.db").write_text("Dear Sir or Madam, this is no database at all, and long enough to see it." * 3)
    with pytest.raises(StoreFault, match="is not a database"):
        serve(str(tmp_path / "letter.db"), "127.0.0.1", 0, False)


def test_pages_load_only_where_they_are_served() -> None:
    code = "import sys, kb, kb.cli; assert not {'datasette', 'uvicorn', 'jinja2', 'kb.web'} & set(sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
