"""Runs the examples in the documentation: each ``python`` fence of each page.

Examples in docstrings run through pytest's own ``--doctest-modules``.
"""

from __future__ import annotations

from sybil import Sybil
from sybil.parsers.markdown import PythonCodeBlockParser

pytest_collect_file = Sybil(
    parsers=[PythonCodeBlockParser()],
    patterns=["README.md", "docs/*.md", "docs/**/*.md"],
).pytest()
