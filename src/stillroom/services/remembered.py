"""Beliefs after earlier sittings, remembered: their keys, and how they are written."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Sequence
from typing import Protocol

import numpy as np

from stillroom.belief import Belief
from stillroom.documents import book as doc
from stillroom.exposure import Life
from stillroom.quantity import Constants
from stillroom.services.bath import bath_readings
from stillroom.services.first_term import first_moves
from stillroom.services.readings import aims_from_sheets

ENGINE = "12"
"""Part of every key of remembered beliefs: raised when the same sheets teach something else."""
_UNSAID = {"smear_mm": True, "hand_over": True, "open_sd_s": True, "wet": True}
"""Of sheets: what teaches no tone, and what is added where it was said."""


class BeliefMemo(Protocol):
    """A place for beliefs that can be computed again; anything in it may vanish."""

    def get(self, key: str) -> bytes | None:
        """What was put under a key, if it is still there."""
        ...

    def put(self, key: str, value: bytes) -> None:
        """Keep something under a key."""
        ...


def keys(book: doc.Book, sittings: Sequence[doc.Sitting], constants: Constants) -> list[str]:
    """A key for the belief after each sitting: everything that it was formed from."""
    things = book.model_dump_json(
        include={"kit", "papers", "sitters"},
        exclude={
            "sitters": {"__all__": {"at_the_door": True}},
            "papers": {"__all__": {"process": True}},
            "kit": {
                "holders": True,
                "processes": True,
                "cameras": {"__all__": {"process": True}},
                "lamps": {"__all__": {"uva_w_m2_1m": True, "uv_peak_nm": True}},
            },
        },
    )
    said = sorted(book.choices, key=lambda c: c.when)
    running = hashlib.sha256(f"{ENGINE}\n{constants}\n{things}".encode())
    found = []
    for sitting in sittings:
        # What speaks of sharpness alone teaches no tone, nor does where a sheet is now.
        told = sitting.model_dump_json(exclude={"holding": True, "sheets": {"__all__": _UNSAID}})
        off = [(s.number, s.open_sd_s) for s in sitting.sheets if s.open_sd_s]
        wet = [m for s in sitting.sheets for m in first_moves(book, sitting, s.number, ("all",))]
        running.update(f"{told}{off or ''}{wet or ''}".encode())
        # What other sittings lend it, later ones too: reference runs, sheets its aims are like.
        lent = (bath_readings(book, sitting), aims_from_sheets(book, sitting))
        until = [c.model_dump_json() for c in said if c.when <= sitting.when]
        running.update(f"{lent}{until}".encode())
        found.append(running.copy().hexdigest())
    return found


def packed(belief: Belief) -> bytes:
    """A belief as bytes."""
    labels = {"names": belief.names, "lives": [x.value for x in belief.lives], "day": belief.day}
    buffer = io.BytesIO()
    text = np.frombuffer(json.dumps(labels).encode(), dtype=np.uint8)
    np.savez(buffer, labels=text, mean=belief.mean, covariance=belief.covariance)
    return buffer.getvalue()


def unpacked(value: bytes | None) -> Belief | None:
    """The belief again; None for what is missing or damaged."""
    if value is None:
        return None
    try:
        with np.load(io.BytesIO(value), allow_pickle=False) as found:
            labels = json.loads(found["labels"].tobytes())
            return Belief(
                tuple(labels["names"]),
                found["mean"],
                found["covariance"],
                tuple(Life(x) for x in labels["lives"]),
                labels["day"],
            )
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return None
