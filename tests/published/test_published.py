"""Figures of other origin than the tool, one row each, in the tables beside this file.

A table is a TOML file: sources by a short name, each with its status (seen, from memory, common
practice without a source, or computed apart: by us, with other code, and printed by nobody), and
groups of checks that share a source and a kind. A check is

    [id, what it is, how we get it, expected as printed, tolerance as stated, why we disagree]

The last is left out where we agree; where it stands, the check must fail.

How we get it is an expression in the public functions of the rooms. Tolerances, as written:

    ±0.5 %              relative
    ±0.005 stop         absolute, in the unit of what is expected; of any other unit, as a ratio
    last digit, exact   half the last printed decimal; a whole number to nine digits
    range               between the two numbers
    integer             after rounding to whole numbers
"""

from __future__ import annotations

import ast
import importlib
import math
import re
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import NamedTuple

import pytest

from tests.published import reference_day, reference_sky
from tests.published.reference_curves import G1, V1

TABLES = sorted(Path(__file__).parent.glob("?_*.toml"))
STATUSES = {
    "published (seen)",
    "published (from memory)",
    "common practice, no source",
    "computed apart",
}
NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?")


class Check(NamedTuple):
    id: str
    what: str
    how: str
    expected: str
    tolerance: str
    disagreement: str = ""


# Rooms inside a room that the expressions call by their own names.
INNER = {
    "spectra": "quantity.spectra",
    "pigment": "sitter.pigment",
    "daylight": "light.daylight",
    "window": "light.window",
    "chemistry": "wetline.chemistry",
    "day": "wetline.day",
}


class Rooms(dict[str, object]):
    """The rooms by their names, and the few functions that arithmetic and the sky need."""

    def __missing__(self, name: str) -> ModuleType:
        room = self[name] = importlib.import_module(f"stillroom.{INNER.get(name, name)}")
        return room


ROOMS = Rooms(G1=G1, V1=V1, log2=math.log2, math=math, abs=abs, round=round, max=max, min=min)
ROOMS.update({name: getattr(reference_sky, name) for name in reference_sky.__all__})
ROOMS.update({name: getattr(reference_day, name) for name in reference_day.__all__})


def functions_in(how: str) -> tuple[str, ...]:
    """Public names that an expression leans on, as ``stillroom.room.name``."""
    return tuple(
        sorted(
            {
                f"stillroom.{INNER.get(node.value.id, node.value.id)}.{node.attr}"
                for node in ast.walk(ast.parse(how, mode="eval"))
                if isinstance(node, ast.Attribute)
                and isinstance(node.value, ast.Name)
                and node.value.id != "math"
            }
        )
    )


def rows() -> Iterator[object]:
    for table in TABLES:
        content = tomllib.loads(table.read_text(encoding="utf-8"))
        for group in content["group"]:
            source = content["source"][group["source"]]
            for row in group["checks"]:
                check = Check(*row)
                marks = [
                    pytest.mark.published(
                        of=functions_in(check.how),
                        kind=group["kind"],
                        source=source["text"],
                        status=source["status"],
                    )
                ]
                if check.disagreement:
                    marks.append(pytest.mark.xfail(reason=check.disagreement, strict=True))
                yield pytest.param(table.stem, check, id=check.id, marks=marks)


def numbers_in(text: str) -> list[str]:
    return NUMBER.findall(text.replace("\N{MINUS SIGN}", "-"))


def half_last_digit(printed: str) -> float:
    mantissa, _, exponent = printed.partition("e")
    _, _, decimals = mantissa.partition(".")
    if not decimals:
        return 1e-9 * abs(float(printed))
    return 0.5 * 10.0 ** (int(exponent or 0) - len(decimals))


def agrees(got: float, expected: str, tolerance: str) -> bool:
    printed = numbers_in(expected)
    if tolerance == "range":
        low, high = sorted(float(number) for number in printed)
        return low <= got <= high
    wanted = float(printed[0])
    if tolerance == "integer":
        return round(got) == wanted
    if tolerance in ("exact", "last digit"):
        limit = half_last_digit(printed[0])
    elif tolerance.startswith("±"):
        limit = float(numbers_in(tolerance)[0])
        if "stop" in tolerance and "stop" not in expected:
            got, wanted = (math.log2(one) if one > 0 else -math.inf for one in (got, wanted))
        if "%" in tolerance:
            limit *= abs(wanted) / 100
    else:
        pytest.fail(f"no such tolerance: {tolerance}")
    # Decimals are no binary numbers: a hair beyond the edge is on the edge.
    return abs(got - wanted) <= limit * (1 + 1e-9)


@pytest.mark.parametrize(("table", "check"), list(rows()))
def test_figure(table: str, check: Check, record_property: Callable[[str, object], None]) -> None:
    got = float(eval(check.how, {"__builtins__": {}}, ROOMS))  # noqa: S307 - our own tables
    record_property("table", table)
    for name, value in check._asdict().items():
        record_property(name, value)
    record_property("got", f"{got:.5g}")
    assert agrees(got, check.expected, check.tolerance), f"{check.id}: got {got:.7g}"


def test_ids_and_statuses() -> None:
    ids = [param.id for param in rows()]  # type: ignore[attr-defined]
    assert len(ids) == len(set(ids))
    for table in TABLES:
        content = tomllib.loads(table.read_text(encoding="utf-8"))
        assert {source["status"] for source in content["source"].values()} <= STATUSES
        assert {group["source"] for group in content["group"]} == set(content["source"])


@pytest.mark.parametrize(
    ("got", "expected", "tolerance", "agreed"),
    [
        (1.0049, "1.00", "last digit", True),
        (1.0051, "1.00", "last digit", False),
        (900.0000001, "900 mm", "exact", True),
        (900.001, "900 mm", "exact", False),
        (-0.9719, "−0.971 stop", "±0.001 stop", True),
        (-0.9721, "−0.971 stop", "±0.001 stop", False),
        (0.971, "−0.971 stop", "±0.001 stop", False),
        (101.0, "100", "±1 %", True),
        (101.1, "100", "±1 %", False),
        (math.nan, "100", "±1 %", False),
        (15.0, "15 … 45", "range", True),
        (45.1, "15 … 45", "range", False),
        (5.77, "6", "integer", True),
        (2.4e-5, "2.3e-05", "±2 %", False),
        (10.4, "10 klx", "±0.06 stop", True),
        (10.5, "10 klx", "±0.06 stop", False),
        (9.5, "10 klx", "±0.06 stop", False),
        (0.0, "10 klx", "±0.06 stop", False),
        (-10.0, "10 klx", "±0.06 stop", False),
    ],
)
def test_the_comparison_itself(got: float, expected: str, tolerance: str, *, agreed: bool) -> None:
    assert agrees(got, expected, tolerance) is agreed
