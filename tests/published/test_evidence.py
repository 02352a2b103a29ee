"""The page of evidence is up to date, and no formula goes without a check or a reason."""

from __future__ import annotations

import importlib
import importlib.util
import inspect
import tomllib
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
ROOMS = (
    *("quantity", "quantity.spectra", "light", "light.daylight", "light.window"),
    *("camera", "sitter", "paper", "wetline", "wetline.chemistry", "wetline.day"),
)
REASONS = tomllib.loads(Path(__file__).with_name("reasons.toml").read_text(encoding="utf-8"))

pytestmark = pytest.mark.xdist_group("evidence")


@pytest.fixture(scope="module")
def evidence() -> ModuleType:
    spec = importlib.util.spec_from_file_location("evidence", ROOT / "scripts" / "evidence.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def rows(evidence: ModuleType) -> Any:
    return evidence.gather()


def public_functions(room: str) -> set[str]:
    module = importlib.import_module(f"stillroom.{room}")
    return {name for name in module.__all__ if inspect.isfunction(getattr(module, name))}


def test_the_page_is_up_to_date(evidence: ModuleType, rows: Any) -> None:
    message = "run python3 scripts/evidence.py"
    assert evidence.PAGE.read_text(encoding="utf-8") == evidence.page(rows), message


def test_what_a_check_is_of_exists(rows: Any) -> None:
    names = {name for row in rows for name in row.of.split()}
    assert names
    for name in names:
        module, _, attribute = name.rpartition(".")
        assert hasattr(importlib.import_module(module), attribute), name


@pytest.mark.parametrize("room", ROOMS)
def test_every_formula_has_a_check_or_a_reason(room: str, rows: Any) -> None:
    checked = {name for row in rows for name in row.of.split()}
    functions = public_functions(room)
    reasons = REASONS.get(room, {})
    without = {name for name in functions if f"stillroom.{room}.{name}" not in checked}
    assert without <= set(reasons), sorted(without - set(reasons))
    assert set(reasons) <= functions, "a reason for what is not there"


@pytest.mark.parametrize("room", ROOMS)
def test_a_check_makes_a_reason_needless(room: str, rows: Any) -> None:
    checked = {name for row in rows for name in row.of.split()}
    needless = {name for name in REASONS.get(room, {}) if f"stillroom.{room}.{name}" in checked}
    assert not needless
