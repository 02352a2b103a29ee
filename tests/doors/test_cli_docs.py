"""The page about the commands tells what they print, and leaves none out."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

from stillroom.cli.main import app

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def commands() -> ModuleType:
    spec = importlib.util.spec_from_file_location("commands", ROOT / "scripts" / "commands.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def page(commands: ModuleType) -> str:
    return str(commands.PAGE.read_text(encoding="utf-8"))


@pytest.mark.slow
def test_every_example_prints_what_the_page_says(commands: ModuleType, page: str) -> None:
    now = commands.filled(page)
    if not commands.alike(page, now):
        assert now == page, "run scripts/commands.py"


def test_every_command_has_its_help_and_an_example(commands: ModuleType, page: str) -> None:
    names = {one.name or getattr(one.callback, "__name__", "") for one in app.registered_commands}
    names |= {one.typer_instance.info.name for one in app.registered_groups if one.typer_instance}
    assert commands.helped(page) == names
    assert commands.exemplified(page) == names


def test_another_answer_is_found_also_where_a_processor_rounds_otherwise(
    commands: ModuleType,
) -> None:
    page = "Plan.\n```console\n$ stillroom advise\nSet the key to 1.8\nTones land, 8 in 10\n```\n"
    assert commands.alike(page, page.replace("8 in", "7 in").replace("1.8", "1.7"))
    assert not commands.alike(page, page.replace("advise", "predict"))
    assert not commands.alike(page, page.replace("Set", "stillroom: Set"))
    assert not commands.alike(page, page.replace("Plan", "Plans"))
    assert not commands.alike(page, page.replace("Set the key", "No"))


def test_another_word_or_figure_is_found(commands: ModuleType) -> None:
    page = "Tones land, 8 in 10\n−2.64 ±0.48\n"
    assert commands.agrees(page, page.replace("0.48", "0.49"))
    assert not commands.agrees(page, page.replace("0.48", "0.58"))
    assert not commands.agrees(page, page.replace("8 in", "7 in"))
    assert not commands.agrees(page, page.replace("land", "miss"))
    assert not commands.agrees(page, page + "one line more\n")
