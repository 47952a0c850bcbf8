"""`matchmark serve`: the pages in the browser, until Ctrl-C."""

from __future__ import annotations

import ipaddress
import re
import signal
import socket
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import uvicorn

from kb.errors import Fault
from kb.web import host as hosting
from kb.web.asking import Site
from kb.web.pages.home import look_ahead
from kb.web.patient import Patient

_EVERYWHERE = ("0.0.0.0", "::")
_PERSON = re.compile(r"\w[\w.-]{0,59}")
_HOST = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?(?:\.[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?)*")


def serve(
    db: str,
    host: str = "127.0.0.1",
    port: int = 8640,
    public: bool = False,
    *,
    people: Sequence[tuple[str, str]] = (),
    private: bool = False,
    names: Sequence[str] = (),
    proxy: str = "",
) -> int:
    """Serve the knowledge base at `db` until it is stopped; exit status 0.

    host: the address to listen on; port 0 takes a free one; public: nothing can be written and nobody signs in.
    people: (name, rank) of who may sign in besides the local user, who is a keeper unless named here. private: only
    who is signed in sees anything. names: more names that the server is reached by. proxy: the IP address of a
    reverse proxy, which is believed when it says that a visitor came over TLS; nobody else is.
    Faults: StoreFault for a file that is no knowledge base; an address or port that cannot be had; people that
    contradict each other.
    """
    signing = _people(people, public, private)
    everywhere = host in _EVERYWHERE
    hosts = hosting.LOOPBACK | {f"[{host}]" if ":" in host else host.lower()} | {_name(each) for each in names}
    if everywhere:
        hosts |= {socket.gethostname().lower(), f"{socket.gethostname().lower()}.local"}
    _check_proxy(proxy, names)
    app = hosting.make(db, public=public, hosts=hosts, any_address=everywhere, people=signing, private=private)
    listening = _listen(host, port)
    try:
        address = f"https://{_name(names[0])}/" if proxy else _address(host, listening.getsockname()[1])
        _tell(db, address, hosting.site_of(app), everywhere)
        config = uvicorn.Config(
            app.app(),
            http=Patient,
            ws="none",
            proxy_headers=bool(proxy),
            forwarded_allow_ips=proxy or "",
            log_level="warning",
            access_log=False,
            server_header=False,
            lifespan="on",
            limit_concurrency=200,
            timeout_keep_alive=10,
            timeout_graceful_shutdown=3,
        )
        look_ahead(hosting.site_of(app))
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


def _people(people: Sequence[tuple[str, str]], public: bool, private: bool) -> list[tuple[str, str]]:
    """(name, rank) of each address to print."""
    if public:
        if people or private:
            step = "leave --public out, or the others"
            raise Fault("nobody signs in on a public server, and all can be read there", place="--public", step=step)
        return []
    ranks: dict[str, str] = {}
    for name, rank in people:
        if not _PERSON.fullmatch(name):
            step = "letters, digits, dots, hyphens and low lines, at most 60"
            raise Fault(f"{name[:80]!r} is no name to sign in under", place=f"--{rank}", step=step)
        if ranks.setdefault(name, rank) != rank:
            step = "name each person in one of --reader, --contributor and --keeper"
            raise Fault(f"{name} is a {ranks[name]} and a {rank}", place=f"--{rank}", step=step)
    local = _user()
    return [*people] if local in ranks else [(local, "keeper"), *people]


def _name(given: str) -> str:
    name = given.lower().rstrip(".")
    if len(name) > 253 or not _HOST.fullmatch(name):
        step = "give the bare name of the machine, as in --name parts.example.org"
        raise Fault(f"{given[:80]!r} is no name of a machine", place="--name", step=step)
    return name


def _check_proxy(proxy: str, names: Sequence[str]) -> None:
    if not proxy:
        return
    try:
        ipaddress.ip_address(proxy)
    except ValueError:
        step = "give its IP address; on the same machine: --proxy 127.0.0.1"
        raise Fault(f"{proxy[:80]!r} is no IP address", place="--proxy", step=step) from None
    if not names:
        step = "add the name that people type: --name parts.example.org"
        raise Fault("a proxy passes on a name that this server would refuse", place="--proxy", step=step)


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
    for key in site.keys:
        print(f"sign in once as {key.name}, {site.rank_of(key.name)}:\n  {address}sign-in?token={key.once.token}")
    if not site.writable:
        print("read-only: nobody can write here")
    if site.private:
        print("private: who is not signed in sees nothing")
    elif everywhere:
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
    # The protocol is named: only then does asyncio send small pieces at once, without which a page on a connection
    # that stays open takes 40 ms more.
    found = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
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
