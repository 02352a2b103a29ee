"""How long a photographer waits: a light command, an answer, the first page from cold.

Whole processes, each started afresh; the least and the middle of several runs, beside a bare
Python on the same machine in the same run, so that the ratio means something elsewhere.

    python3 run bench start
"""

from __future__ import annotations

import argparse
import os
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable
from pathlib import Path

QUIET = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}


def _timed(run: Callable[[], None], times: int) -> tuple[float, float]:
    """Least and middle of the runs [ms]."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        found.append(1000 * (time.perf_counter() - start))
    return min(found), statistics.median(found)


def _process(*arguments: str, given: bytes | None = None) -> Callable[[], None]:
    def run() -> None:
        subprocess.run(
            [sys.executable, *arguments],
            input=given,
            stdout=subprocess.DEVNULL,
            check=True,
            env=os.environ | QUIET,
        )

    return run


def _free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


def _first_page() -> None:
    """Start the demo and wait for its first page."""
    port = _free_port()
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | QUIET | {"STILLROOM_BOOK": str(Path(folder) / "none.book")}
        with subprocess.Popen(
            [sys.executable, "-m", "stillroom", "demo", "--no-open", "--port", str(port)],
            stdout=subprocess.DEVNULL,
            env=environment,
        ) as server:
            try:
                _wait_for(f"http://127.0.0.1:{port}/")
            finally:
                server.terminate()


def _wait_for(address: str, longest_s: float = 30.0) -> None:
    end = time.perf_counter() + longest_s
    while True:
        try:
            with urllib.request.urlopen(address, timeout=longest_s) as page:  # noqa: S310
                page.read()
                return
        except OSError:
            if time.perf_counter() > end:
                raise
            time.sleep(0.01)


def main(given: list[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="benchmarks.start", description=__doc__)
    parser.add_argument("--runs", type=int, default=5, help="how often each is started")
    runs = parser.parse_args(given).runs
    document = subprocess.run(
        [sys.executable, "-m", "stillroom", "demo", "--document"], capture_output=True, check=True
    ).stdout
    rows = [
        ("bare Python", _process("-c", "pass")),
        ("stillroom --version", _process("-m", "stillroom", "--version")),
        ("stillroom paths", _process("-m", "stillroom", "paths")),
        ("predict, demo", _process("-m", "stillroom", "predict", "-", "--json", given=document)),
        ("advise, demo", _process("-m", "stillroom", "advise", "-", "--json", given=document)),
        ("first page of the demo, cold", _first_page),
    ]
    base: float | None = None
    print("| start | least ms | middle ms | times bare Python |")
    print("| --- | --- | --- | --- |")
    for name, run in rows:
        least, middle = _timed(run, runs)
        base = base or middle
        print(f"| {name} | {least:.0f} | {middle:.0f} | {middle / base:.1f} |")


if __name__ == "__main__":
    main()
