#!/usr/bin/env python3
"""Write docs/evidence.md: every published check, what was printed and what we get.

python3 scripts/evidence.py            runs the checks and writes the page
python3 scripts/evidence.py --check    tells whether the page is up to date
"""

from __future__ import annotations

import itertools
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree as ET

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "docs" / "evidence.md"
REASONS = ROOT / "tests" / "published" / "reasons.toml"
FIELDS = (
    "id",
    "what",
    "how",
    "expected",
    "tolerance",
    "got",
    "of",
    "kind",
    "source",
    "status",
    "disagreement",
)
TITLES = {
    "a_exposure": "Exposure and meters",
    "b_flash": "Flash and faces",
    "c_camera": "Lens and camera",
    "d_paper": "Paper",
    "f_stillness": "Stillness of the sitter",
    "e_colour": "Colour of the light and of skin",
    "e_spectra": "Spectra",
    "g_daylight": "Daylight and windows",
    "h_chemistry": "Chemistry of the line",
    "i_wet_line": "The wet line",
    "p_photobiology": "Light on eyes and skin",
}
INTRODUCTION = """# Evidence

Every figure here was printed by someone else, follows in closed form from a definition, is common
practice, or was computed apart; beside it stands what Stillroom gets. The page is written by
`python3 scripts/evidence.py`, a test fails when it is out of date, and each check runs with the
tests. "Seen" means that the text or an excerpt of it was read, "from memory" that it was not
opened; "common practice, no source" is a starting value, not a fact. "Computed apart" means by us
and printed by nobody, but with other code than the tool's and before it: two ways to one model
agree, which does not make the model right. Tolerances are those of the table the figure came from:
*last digit* is half the last printed decimal; stops on anything but stops are those of the ratio.
"""


class Row(NamedTuple):
    """One check and its outcome."""

    table: str
    id: str
    what: str
    how: str
    expected: str
    tolerance: str
    got: str
    of: str
    kind: str
    source: str
    status: str
    disagreement: str


def gather() -> list[Row]:
    """Run the published checks and return one row each.

    Returns
    -------
    list of Row
        In the order of the tables.

    Raises
    ------
    SystemExit
        If a check fails, so that no page is written from failing checks.
    """
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.xml"
        run = subprocess.run(
            [
                sys.executable,
                "-m",
                "pytest",
                "tests/published",
                "-m",
                "published",
                "-q",
                "-p",
                "no:cacheprovider",
                "-o",
                "junit_family=xunit1",  # the newer family carries no properties of a test
                f"--junit-xml={report}",
            ],
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=False,
        )
        if run.returncode:
            sys.exit(f"{run.stdout[-4000:]}\nA published check fails: mend it first.")
        cases = ET.parse(report).iter("testcase")  # noqa: S314 - written just now
        return [row for case in cases if (row := _row(case))]


def page(rows: list[Row]) -> str:
    """Return the page of evidence.

    Parameters
    ----------
    rows : list of Row
        From `gather`.

    Returns
    -------
    str
        Markdown.
    """
    parts = [INTRODUCTION, _counts(rows)]
    for table, of_table in itertools.groupby(rows, key=lambda row: row.table):
        parts.append(f"## {TITLES.get(table, table)}\n")
        for (source, status, kind), group in itertools.groupby(
            of_table, key=lambda row: (row.source, row.status, row.kind)
        ):
            parts.append(f"**{source}** ({status}; {kind})\n")
            parts.append(_table(list(group)))
    parts.append(_without())
    return "\n".join(parts)


def _row(case: ET.Element) -> Row | None:
    properties = {found.get("name", ""): found.get("value", "") for found in case.iter("property")}
    if "source" not in properties:
        return None
    name = case.get("name", "")
    properties.setdefault("id", name.partition("[")[2].rstrip("]") or name)
    table = properties.get("table") or case.get("classname", "").rpartition(".")[2]
    return Row(table, *(properties.get(field, "") for field in FIELDS))


def _counts(rows: list[Row]) -> str:
    def count(status: str) -> int:
        return sum(row.status == status for row in rows)

    disagreements = sum(bool(row.disagreement) for row in rows)
    return (
        f"{len(rows)} checks: {count('published (seen)')} published (seen), "
        f"{count('published (from memory)')} published (from memory), "
        f"{count('common practice, no source')} common practice, no source, "
        f"{count('computed apart')} computed apart. "
        f"In {disagreements} we disagree with the source, and say why.\n"
    )


def _without() -> str:
    reasons = tomllib.loads(REASONS.read_text(encoding="utf-8"))
    left_out = reasons.pop("left_out", {})
    lines = ["## Without a figure\n", "Functions, and why nobody printed a number for them:\n"]
    for room, functions in reasons.items():
        lines += [f"- `{room}.{name}`: {reason}" for name, reason in functions.items()]
    lines.append("\nFigures that were at hand and are not used:\n")
    lines += [f"- {name}: {reason}" for name, reason in left_out.items()]
    return "\n".join(lines) + "\n"


def _table(rows: list[Row]) -> str:
    lines = ["| id | what | printed | tolerance | we get | by |", "| --- " * 6 + "|"]
    for row in rows:
        what = f"{row.what}; we disagree: {row.disagreement}" if row.disagreement else row.what
        cells = (row.id, what, row.expected, row.tolerance, row.got, f"`{row.how or row.of}`")
        lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return "\n".join(lines) + "\n"


def main(arguments: list[str]) -> None:
    """Write the page, or tell whether it is up to date."""
    text = page(gather())
    if "--check" in arguments:
        if not PAGE.exists() or PAGE.read_text(encoding="utf-8") != text:
            sys.exit("docs/evidence.md is out of date: run python3 scripts/evidence.py.")
        return
    PAGE.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
