"""The command line as a process: help, pipes, signals, the unexpected, the web app it opens."""

from __future__ import annotations

import logging
import os
import queue
import re
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

from stillroom import __version__
from stillroom.cli.failures import quietly
from stillroom.cli.main import app
from stillroom.cli.serving import _get_ready
from stillroom.services.demo import demo_document
from stillroom.store import open_book

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]

TOOL = [sys.executable, "-m", "stillroom"]
HEAVY = ("numpy", "scipy", "fastapi", "rich", "sqlite3", "uvicorn")
COMMANDS = ("demo", "serve", "advise", "predict", "record", "odd", "bath", "mix", "known",
            "daylight", "contrast", "focus", "stillness", "ghost", "dark-test", "ways", "spectrum",
            "ultraviolet", "bench", "day", "check",
            "export", "import", "schema", "paths",
            "loop")  # fmt: skip


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


def run(
    *arguments: object, given: str = "", **environment: str
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*TOOL, *map(str, arguments)],
        input=given,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env=os.environ | environment,
        check=False,
        timeout=60,
    )


# ---- help and what is light ------------------------------------------------------------------


def test_the_version_is_one_line(cli: Cli) -> None:
    assert cli("--version").out == f"{__version__}\n"


def test_alone_it_shows_its_commands(cli: Cli) -> None:
    said = cli()
    assert said.code == 0
    assert said.out == cli("--help").out
    for name in COMMANDS:
        assert re.search(rf"^  {name} ", said.out, re.MULTILINE)


@pytest.mark.parametrize("name", COMMANDS)
def test_help_is_in_the_trade_s_words(cli: Cli, name: str) -> None:
    said = cli(name, "--help")
    assert said.code == 0
    assert f"Usage: stillroom {name}" in said.out
    assert max(len(line) for line in said.out.splitlines()) <= 80
    assert not re.search(r"%|\boptimi|\bsmart\b|\bAI\b|\bsafe\b|overexpos|underexpos", said.out)


@pytest.mark.parametrize("arguments", [["--version"], ["--help"], ["advise", "--help"]])
def test_what_is_light_pays_for_nothing_heavy(arguments: list[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "stillroom", *arguments],
        capture_output=True,
        text=True,
        check=True,
    )
    imported = {line.rpartition("|")[2].strip() for line in done.stderr.splitlines()}
    assert not [name for name in HEAVY if name in imported]


# ---- what goes wrong ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["develop"], "No such command 'develop'"),
        (["advise", "--nothing"], "No such option: --nothing"),
        (["advise", "a", "b"], "unexpected extra argument"),
        (["import"], "DOCUMENT"),
        (["advise", "--sheets"], "requires an argument"),
        (["advise", "--sheets", "two"], "write a whole number"),
        (["serve", "--port", "0"], "--port"),
    ],
)
def test_a_slip_of_the_keys_is_one_line(cli: Cli, arguments: list[str], said: str) -> None:
    assert said in cli.refused(*arguments)


def test_the_unexpected_is_one_line_with_an_id_and_details_in_a_file(tmp_path: Path) -> None:
    script = (
        "import sys; from stillroom.cli import given\n"
        "def broken(*_): raise RuntimeError('a wire came loose')\n"
        "given.read_document = broken\n"
        "sys.argv = ['stillroom', 'advise', '-']\n"
        "from stillroom.cli import main; main()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        env=os.environ | {"STILLROOM_DATA": str(tmp_path / "data")},
        check=False,
    )
    assert done.returncode == 1
    assert done.stdout == ""
    said = re.fullmatch(
        r"stillroom: Something unexpected went wrong \(error ([0-9a-f]{8})\); "
        r"the details are in (.*stillroom\.log)\.\n",
        done.stderr,
    )
    assert said
    details = Path(said[2]).read_text(encoding="utf-8")
    assert said[1] in details
    assert "RuntimeError: a wire came loose" in details


def test_a_log_that_cannot_be_written_is_no_second_accident(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("")
    monkeypatch.setenv("STILLROOM_DATA", str(blocked))
    log = logging.getLogger("stillroom")  # as it is, it would go on writing into this folder
    monkeypatch.setattr(log, "handlers", [])
    monkeypatch.setattr(log, "propagate", log.propagate)

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError

    assert quietly(broken) == 1
    assert "the details could not be written down" in capsys.readouterr().err


def test_nobody_reading_on_is_no_accident() -> None:
    with subprocess.Popen(
        [*TOOL, "schema"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as started:
        assert started.stdout is not None
        assert started.stderr is not None
        started.stdout.read(10)
        started.stdout.close()
        assert started.stderr.read() == b""


def listens_to_interrupts() -> None:
    """A shell that runs the tests in the background has told them to ignore interrupts."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def test_ctrl_c_is_quiet() -> None:
    with subprocess.Popen(
        [*TOOL, "loop"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        preexec_fn=listens_to_interrupts,  # noqa: PLW1509 (no thread is running)
    ) as started:
        assert started.stdin is not None
        assert started.stdout is not None
        assert started.stderr is not None
        started.stdin.write(b'{"op": "chains"}\n')
        started.stdin.flush()
        assert b"error" in started.stdout.readline()  # it is at work
        started.send_signal(signal.SIGINT)
        assert started.wait(timeout=10) == 130
        assert started.stderr.read() == b""


def test_the_loop_answers_bytes_that_are_no_text() -> None:
    done = subprocess.run(
        [*TOOL, "loop"],
        input=b'\xff\n{"op": "chains"}\n',
        capture_output=True,
        check=True,
        timeout=60,
    )
    first, second = done.stdout.splitlines()
    assert b"UTF-8" in first
    assert b"No sitting has begun" in second


def test_a_terminal_without_the_signs_gets_question_marks() -> None:
    done = subprocess.run(
        [*TOOL, "predict", "-"],
        input=demo_document().encode(),
        capture_output=True,
        env=os.environ | {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert b"Tones land" in done.stdout
    assert b"?" in done.stdout


@pytest.mark.skipif(os.name == "nt", reason="a pseudo-terminal is needed")
@pytest.mark.parametrize(("no_colour", "coloured"), [("", True), ("1", False)])
def test_colour_only_on_a_terminal_that_wants_it(
    tmp_path: Path, no_colour: str, *, coloured: bool
) -> None:
    import pty

    document = tmp_path / "d.json"
    document.write_text(demo_document(), encoding="utf-8")
    environment = os.environ | {"TERM": "xterm-256color", "COLUMNS": "80", "NO_COLOR": no_colour}
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        [*TOOL, "advise", str(document)], stdout=theirs, stdin=theirs, env=environment
    ) as started:
        os.close(theirs)
        seen = b""
        while True:
            try:
                part = os.read(ours, 4096)
            except OSError:
                break
            if not part:
                break
            seen += part
        assert started.wait(timeout=30) == 0
    os.close(ours)
    assert b"Tones land" in seen
    assert (b"\x1b[1;33m" in seen) is coloured  # bold yellow, the one accent


# ---- the web app ----------------------------------------------------------------------------


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@contextmanager
def opened(*arguments: object, folder: Path) -> Iterator[tuple[subprocess.Popen[str], list[str]]]:
    """A running server, and the lines it said until it answered."""
    environment = os.environ | {"TMPDIR": str(folder), "STILLROOM_DATA": str(folder / "data")}
    started = subprocess.Popen(
        [*TOOL, *map(str, arguments), "--no-open"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment,
    )
    try:
        assert started.stdout is not None
        said: list[str] = []
        while not (said and said[-1].startswith("Open http")):
            line = started.stdout.readline()
            assert line, started.stderr.read() if started.stderr else ""
            said.append(line.strip())
        yield started, said
    finally:
        if started.poll() is None:
            started.kill()
        started.communicate()


def address(said: list[str]) -> str:
    return said[-1].split()[1]


def page(url: str) -> str:
    with urllib.request.urlopen(url, timeout=30) as answer:  # noqa: S310 - our own address
        return str(answer.read().decode())


@pytest.mark.parametrize("ending", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_the_demo_opens_ends_and_leaves_nothing(tmp_path: Path, ending: signal.Signals) -> None:
    with opened("demo", "--port", free_port(), folder=tmp_path) as (started, said):
        (folder,) = tmp_path.glob("stillroom-demo-*")
        assert (folder / "quarry-lane.db").exists()
        assert "OM 4" in page(address(said))
        started.send_signal(ending)
        out, err = started.communicate(timeout=20)
    assert started.returncode == 0
    assert out.strip() == "The example is closed; nothing of it was kept."
    assert err == ""
    assert list(tmp_path.iterdir()) == []


def test_it_ends_as_quietly_while_the_first_page_is_made_ready(tmp_path: Path) -> None:
    with opened("demo", "--port", free_port(), folder=tmp_path) as (started, _):
        started.send_signal(signal.SIGINT)
        out, err = started.communicate(timeout=60)
    assert started.returncode == 0
    assert out.strip() == "The example is closed; nothing of it was kept."
    assert err == ""
    assert list(tmp_path.iterdir()) == []


def test_the_first_page_is_asked_for_before_anybody_opens_it() -> None:
    asked: queue.Queue[str] = queue.Queue()

    class FirstPage(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(204)
            self.end_headers()
            asked.put(self.path)

        def log_message(self, *_: object) -> None:
            """Say nothing."""

    with HTTPServer(("127.0.0.1", 0), FirstPage) as server:
        one = threading.Thread(target=server.handle_request)
        one.start()
        _get_ready(f"http://127.0.0.1:{server.server_port}/?token=ours")
        assert asked.get(timeout=30) == "/?token=ours"
        one.join()


def test_the_demo_cannot_touch_the_real_book(tmp_path: Path) -> None:
    real = tmp_path / "data" / "book.db"
    real.parent.mkdir()
    real.write_bytes(b"not even a book")
    with opened("demo", "--port", free_port(), folder=tmp_path) as (started, said):
        page(address(said))
        started.send_signal(signal.SIGINT)
        started.communicate(timeout=20)
    assert real.read_bytes() == b"not even a book"


def test_a_taken_port_gives_way_to_the_next(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = int(taken.getsockname()[1])
        with opened("demo", "--port", port, folder=tmp_path) as (_, said):
            assert re.fullmatch(rf"Port {port} is taken; \d+ is free\.", said[0])
            assert f":{port}/" not in address(said)
            assert "Stillroom" in page(address(said))


def test_serve_begins_a_book_where_there_is_none(tmp_path: Path) -> None:
    book = tmp_path / "mine" / "book.db"
    with opened("serve", "--book", book, "--port", free_port(), folder=tmp_path) as (one, said):
        assert said[0] == f"Your book: {book}"
        assert "Stillroom" in page(address(said))
        one.send_signal(signal.SIGINT)
        out, _ = one.communicate(timeout=20)
    assert one.returncode == 0
    assert out.strip() == "Closed. Everything that was written down is in the book."
    assert run("check", "--book", book).stdout == "Nothing wrong found. Sittings: 0, sheets: 0.\n"


def test_the_studio_network_needs_the_token(tmp_path: Path) -> None:
    arguments = ("serve", "--book", tmp_path / "b.db", "--port", free_port(), "--studio-network")
    with opened(*arguments, folder=tmp_path) as (started, said):
        url = address(said)
        assert re.search(r"/\?token=[\w-]{16,}$", url)
        with pytest.raises(urllib.error.HTTPError, match="403"):
            page(url.partition("?")[0])
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        assert b"Stillroom" in opener.open(url, timeout=30).read()
        assert started.stdout is not None
        other = started.stdout.readline().strip()
        assert re.match(r"In the studio: http://\d+\.\d+\.\d+\.\d+:\d+/\?token=", other)


def test_a_book_of_another_kind_is_refused_before_anything_is_opened(tmp_path: Path) -> None:
    other = tmp_path / "other.db"
    other.write_text("a shopping list")
    done = run("serve", "--book", other, "--no-open")
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert other.read_text() == "a shopping list"


def test_the_clock_of_the_demo_goes_on_from_its_last_sheet(tmp_path: Path) -> None:
    """A sitting begun today must not lie before the example's own, nor months after it."""
    from stillroom.cli.serving import _running_on
    from stillroom.services.demo import demo_book, open_demo

    clock = _running_on()
    with open_demo(tmp_path, clock) as store:
        last = max(s.when for x in store.load().sittings for s in x.sheets if s.when)
    assert last < clock()
    assert (clock() - last).total_seconds() < 6 * 3600
    first = clock()
    time.sleep(0.01)
    assert clock() > first
    assert demo_book().sittings[-1].when < clock()


def test_two_openings_of_one_book_see_the_same(cli: Cli, tmp_path: Path) -> None:
    """The command line writes while the web app has the book open."""
    book = tmp_path / "book.db"
    assert cli("import", "-", "--book", book, given=demo_document()).code == 0
    from stillroom.cli.given import now

    with open_book(book, clock=now) as other:
        assert cli("record", "--book", book, "--kept").code == 0
        assert other.load().sittings[-1].sheets[-1].kept is True


def test_every_command_is_in_this_list() -> None:
    single = {command.name or command.callback.__name__ for command in app.registered_commands
              if command.callback}  # fmt: skip
    grouped = {group.typer_instance.info.name for group in app.registered_groups
               if group.typer_instance}  # fmt: skip
    assert single | grouped == set(COMMANDS)


@pytest.mark.parametrize(("given", "used"), [({}, "1"), ({"OPENBLAS_NUM_THREADS": "2"}, "2")])
def test_one_thread_unless_somebody_says_otherwise(given: dict[str, str], used: str) -> None:
    script = (
        "import atexit, os, sys\n"
        "sys.argv = ['stillroom', '--version']\n"
        "atexit.register(lambda: print(os.environ['OPENBLAS_NUM_THREADS']))\n"
        "from stillroom.cli import main; main()\n"
    )
    clean = {k: v for k, v in os.environ.items() if k != "OPENBLAS_NUM_THREADS"}
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        check=True,
        env=clean | given,
    )
    assert done.stdout.split() == [__version__, used]
