"""Runs the examples in the documentation: each ``python`` fence of each page.

Examples in docstrings run through pytest's own ``--doctest-modules``.
"""

from __future__ import annotations

import pytest
from sybil import Sybil
from sybil.integration.pytest import SybilItem
from sybil.parsers.markdown import PythonCodeBlockParser

pytest_collect_file = Sybil(
    parsers=[PythonCodeBlockParser()],
    patterns=["README.md", "docs/*.md", "docs/**/*.md"],
).pytest()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep the examples of one page together: a later one may lean on an earlier one."""
    for item in items:
        if isinstance(item, SybilItem):
            item.add_marker(pytest.mark.xdist_group(str(item.path)))
