"""The commands that open the book in a browser: the example, or your own."""

from __future__ import annotations

import signal
import socket
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stillroom.cli.given import BookOption, now
from stillroom.errors import BookError, NotPossible, in_range

if TYPE_CHECKING:
    from datetime import datetime

    from stillroom.store import BookFile

FIRST_PORT = 8765
TRIED_PORTS = 40
LOOPBACK = "127.0.0.1"
ENDING = ("SIGINT", "SIGTERM", "SIGHUP")
"""Signals that end it: Ctrl-C, a shutdown, a terminal that closes."""
LONGEST_FIRST_S = 60
LONGEST_FAREWELL_S = 3
"""Answers that are under way get so long to finish."""

PortOption = Annotated[
    int,
    typer.Option(
        "--port",
        min=1,
        max=65535,
        metavar="N",
        help="Where to listen; the next free one if taken.",
    ),
]
OpenOption = Annotated[
    bool, typer.Option("--open/--no-open", help="Open it in the browser, or do not.")
]


def demo(
    *,
    document: Annotated[
        bool, typer.Option("--document", help="Print the example book as a document instead.")
    ] = False,
    port: PortOption = FIRST_PORT,
    open_: OpenOption = True,
) -> None:
    """Open the example book: invented people and kit, nothing of yours, nothing kept."""
    from stillroom.services.demo import demo_document, open_demo  # noqa: PLC0415

    if document:
        typer.echo(demo_document().encode(), nl=False)
        return
    with tempfile.TemporaryDirectory(prefix="stillroom-demo-") as folder:
        clock = _running_on()
        with open_demo(Path(folder), clock) as store:
            _serve(store, clock, port=port, opens=open_, is_demo=True)
    typer.echo("The example is closed; nothing of it was kept.")


def serve(
    book: BookOption = None,
    port: PortOption = FIRST_PORT,
    *,
    open_: OpenOption = True,
    studio_network: Annotated[
        bool,
        typer.Option(
            "--studio-network",
            help="Let a phone or tablet in the studio open it too, with a token that is printed.",
        ),
    ] = False,
) -> None:
    """Open your book in the browser, on this machine."""
    from stillroom.cli.book_files import make_folder  # noqa: PLC0415
    from stillroom.services.paths import find_paths  # noqa: PLC0415
    from stillroom.store import open_book  # noqa: PLC0415

    place = find_paths(book=book).book
    make_folder(place.path.parent)
    with open_book(place.path, clock=now) as store:
        typer.echo(f"Your book: {place.path}")
        _serve(store, now, port=port, opens=open_, studio_network=studio_network)
    typer.echo("Closed. Everything that was written down is in the book.")


def _serve(
    store: BookFile,
    clock: Callable[[], datetime],
    *,
    port: int,
    opens: bool,
    is_demo: bool = False,
    studio_network: bool = False,
) -> None:
    import uvicorn  # noqa: PLC0415

    from stillroom.cli.log import logger  # noqa: PLC0415
    from stillroom.services.desk import Desk  # noqa: PLC0415
    from stillroom.web.app import create_app  # noqa: PLC0415

    logger("web")
    hosts, token = [LOOPBACK, "localhost"], None
    if studio_network:
        import secrets  # noqa: PLC0415

        token = secrets.token_urlsafe(12)
        hosts += _own_addresses()
    listening = _listen("0.0.0.0" if studio_network else LOOPBACK, port)  # noqa: S104 - asked for
    found = int(listening.getsockname()[1])
    if found != port:
        typer.echo(f"Port {port} is taken; {found} is free.")
    app = create_app(
        Desk(store, clock), allowed_hosts=hosts, port=found, token=token, is_demo=is_demo
    )
    query = f"?token={token}" if token else ""
    addresses = [f"http://{host}:{found}/{query}" for host in hosts if host != "localhost"]
    config = uvicorn.Config(
        app,
        log_level="critical",
        access_log=False,
        lifespan="off",
        timeout_graceful_shutdown=LONGEST_FAREWELL_S,
    )
    server = _server(config, lambda: _opened(addresses, opens=opens))
    with listening, _stopped_by_signals(server) as came:
        server.run(sockets=[listening])
    if signal.SIGINT in came:
        typer.echo("")  # the terminal has printed ^C


def _server(config: Any, started: Callable[[], None]) -> Any:
    """A server that tells when it answers."""
    import uvicorn  # noqa: PLC0415

    class Server(uvicorn.Server):
        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            await super().startup(sockets)
            started()

    return Server(config)


def _opened(addresses: list[str], *, opens: bool) -> None:
    """Said, and shown, once it really answers."""
    typer.echo(f"Open {addresses[0]}  (Ctrl-C ends it)")
    for other in addresses[1:]:
        typer.echo(f"In the studio: {other}")
    sys.stdout.flush()
    _get_ready(addresses[0])
    if opens:
        import threading  # noqa: PLC0415
        import webbrowser  # noqa: PLC0415

        threading.Thread(target=webbrowser.open, args=(addresses[0],), daemon=True).start()


def _get_ready(address: str) -> None:
    """Ask for the first page meanwhile: a browser takes a moment to start, and finds it ready."""
    import threading  # noqa: PLC0415

    def ask() -> None:
        from http.client import HTTPException  # noqa: PLC0415
        from urllib.request import ProxyHandler, build_opener  # noqa: PLC0415

        # Whatever goes wrong is told to whoever asks next.
        with suppress(OSError, HTTPException):
            build_opener(ProxyHandler({})).open(address, timeout=LONGEST_FIRST_S).read()

    threading.Thread(target=ask, daemon=True).start()


def _listen(host: str, port: int) -> socket.socket:
    """A listening socket at the port, or the next free one."""
    in_range("--port", port, 1, 65535)
    for candidate in range(port, min(port + TRIED_PORTS, 65536)):
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if sys.platform != "win32":  # there it would share a port with another program
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((host, candidate))
            listening.listen(128)
        except OSError:
            listening.close()
        else:
            return listening
    raise NotPossible(
        f"No port from {port} to {min(port + TRIED_PORTS, 65536) - 1} is free: name another with "
        "--port."
    )


def _own_addresses() -> list[str]:
    """Addresses of this machine in its network, by which others may open it."""
    found: list[str] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe, suppress(OSError):
        probe.connect(("192.0.2.1", 9))  # RFC 5737: leads nowhere, and nothing is sent
        found.append(str(probe.getsockname()[0]))
    with suppress(OSError):
        found += [str(a[4][0]) for a in socket.getaddrinfo(socket.gethostname(), None)]
    usable = [a for a in dict.fromkeys(found) if "." in a and not a.startswith("127.")]
    if not usable:
        raise BookError("This machine is in no network: open the book without --studio-network.")
    return usable


def _running_on() -> Callable[[], datetime]:
    """A clock for the example: it goes on from where the example stands."""
    from stillroom.services.demo import demo_now  # noqa: PLC0415

    started, then = now(), demo_now()
    return lambda: then + (now() - started)


@contextmanager
def _stopped_by_signals(server: Any) -> Iterator[set[int]]:
    """Ending by any of the usual signals lets the server finish, and what follows it too."""
    came: set[int] = set()

    def stop(number: int, _: object) -> None:
        came.add(number)
        server.should_exit = True

    numbers = [getattr(signal, name) for name in ENDING if hasattr(signal, name)]
    before = {number: signal.signal(number, stop) for number in numbers}
    try:
        yield came
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
