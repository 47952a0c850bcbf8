"""`matchmark serve`: the pages in the browser, until Ctrl-C."""

from __future__ import annotations

import signal
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager

import uvicorn

from kb.errors import Fault
from kb.web import host as hosting
from kb.web.asking import Site

_EVERYWHERE = ("0.0.0.0", "::")


def serve(db: str, host: str = "127.0.0.1", port: int = 8640, public: bool = False) -> int:
    """Serve the knowledge base at `db` until it is stopped; exit status 0.

    host: the address to listen on; port 0 takes a free one; public: nothing can be written and nobody signs in.
    Faults: StoreFault for a file that is no knowledge base; an address or port that cannot be had.
    """
    writer = "" if public else _user()
    everywhere = host in _EVERYWHERE
    names = hosting.LOOPBACK | {f"[{host}]" if ":" in host else host.lower()}
    if everywhere:
        names |= {socket.gethostname().lower(), f"{socket.gethostname().lower()}.local"}
    app = hosting.make(db, public=public, hosts=names, any_address=everywhere, writer=writer)
    listening = _listen(host, port)
    try:
        address = _address(host, listening.getsockname()[1])
        _tell(db, address, hosting.site_of(app), everywhere)
        config = uvicorn.Config(
            app.app(),
            log_level="warning",
            access_log=False,
            server_header=False,
            lifespan="on",
            limit_concurrency=200,
            timeout_keep_alive=10,
            timeout_graceful_shutdown=3,
        )
        with _stoppable():
            uvicorn.Server(config).run(sockets=[listening])
    except KeyboardInterrupt:
        pass
    finally:
        listening.close()
        for each in app.databases.values():
            each.close()
    print("stopped; everything that was written down is in the database", flush=True)
    return 0


def _user() -> str:
    from getpass import getuser

    try:
        return getuser()
    except (OSError, KeyError, ImportError):
        return "builder"


def _address(host: str, port: int) -> str:
    shown = _own_address() if host == "0.0.0.0" else "[::1]" if host == "::" else f"[{host}]" if ":" in host else host
    return f"http://{shown}:{port}/"


def _own_address() -> str:
    """This machine's address in its network, for a phone to open; that of the machine itself where there is none.

    Nothing is sent: a datagram socket that is told its peer only picks the way that it would take there.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address kept for documentation (RFC 5737)
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"


def _tell(db: str, address: str, site: Site, everywhere: bool) -> None:
    print(f"{db} is open at {address}")
    if site.key is not None:
        print(f"to write too, sign in once as {site.writer} with:\n  {address}sign-in?token={site.key.token}")
    else:
        print("read-only: nobody can write here")
    if everywhere:
        print("every machine that reaches this one can read it: use it in a network that you trust")
    print("stop it with Ctrl-C", flush=True)


def _listen(host: str, port: int) -> socket.socket:
    """A socket that listens, so that the address is known to be had before it is printed."""
    place = f"{host}:{port}"
    if not 0 <= port <= 65535:
        raise Fault(f"{port} is no port", place=place, step="give one from 1024 to 65535, or 0 for a free one")
    try:
        family = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0][0]
    except (OSError, UnicodeError):
        step = "leave --host out for this machine only"
        raise Fault("there is no such address here", place=place, step=step) from None
    found = socket.socket(family, socket.SOCK_STREAM)
    try:
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        found.bind((host, port))
        found.listen(128)
    except PermissionError:
        found.close()
        step = "give one above 1023, for example --port 8640"
        raise Fault("this port is not for everybody", place=place, step=step) from None
    except OSError as error:
        found.close()
        if "in use" in str(error):
            step = "stop the program that has it, or give another port; --port 0 takes a free one"
            raise Fault("the port is in use", place=place, step=step) from None
        raise Fault(f"cannot listen there: {error.strerror}", place=place, step="leave --host out") from None
    return found


@contextmanager
def _stoppable() -> Iterator[None]:
    """A request to end (SIGTERM) ends it like Ctrl-C does, with everything closed."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGTERM, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
