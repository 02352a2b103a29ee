"""The book in one file: written once, corrected by new rows, never overwritten."""

from stillroom.store.book_file import BookFile, open_book
from stillroom.store.memo import Memo
from stillroom.store.parts import PAPERS, SITTERS, SITTINGS, THINGS, Version
from stillroom.store.restoring import restore_book

__all__ = [
    "PAPERS",
    "SITTERS",
    "SITTINGS",
    "THINGS",
    "BookFile",
    "Memo",
    "Version",
    "open_book",
    "restore_book",
]
