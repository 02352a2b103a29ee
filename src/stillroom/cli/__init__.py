"""The command line: parse, call a service, print."""

from stillroom.cli.main import main

__all__ = ["main"]
