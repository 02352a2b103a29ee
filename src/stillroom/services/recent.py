"""The last few things that were worked out, kept in memory."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Hashable
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)
Kept = TypeVar("Kept")


class Recent(Generic[Key, Kept]):
    """So many things by their keys; the one that was not asked for longest goes first.

    Parameters
    ----------
    most : int
        How many are kept.

    Examples
    --------
    >>> two = Recent(2)
    >>> for n in (1, 2, 3):
    ...     two.put(n, n * n)
    >>> two.get(1), two.get(3)
    (None, 9)
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[Key, Kept] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Key) -> Kept | None:
        """What is kept under a key, if it still is."""
        with self._lock:
            if key not in self._kept:
                return None
            self._kept.move_to_end(key)
            return self._kept[key]

    def every(self) -> tuple[Kept, ...]:
        """All that is kept, the latest last."""
        with self._lock:
            return tuple(self._kept.values())

    def put(self, key: Key, value: Kept) -> None:
        """Keep something under a key."""
        with self._lock:
            self._kept[key] = value
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
