"""Verbs of the kit, the papers and the sitters."""

from __future__ import annotations

import math
from typing import Any, TypeVar

from stillroom.documents.base import Strict
from stillroom.documents.book import Paper, Sitter
from stillroom.documents.read import validated
from stillroom.documents.thing import Thing
from stillroom.errors import BadValue, DuplicateName, UnknownName
from stillroom.services.desk_base import DeskBase, find, free_name
from stillroom.services.marks import plain_initials
from stillroom.store import PAPERS, SITTERS, THINGS

BATCH_SD_STOPS = 0.3  # from one batch of a paper to the next (invented, about a third of a stop)
LARGEST_SD_STOPS = 10.0

Part = TypeVar("Part", bound=Strict)


class KitVerbs(DeskBase):
    """What is owned: added, put right, taken out of use. Nothing is ever deleted."""

    def add_thing(self, kind: str, data: dict[str, Any]) -> Thing:
        """Add a thing to the kit.

        Parameters
        ----------
        kind : str
            ``cameras``, ``lenses``, ``heads``, ``lamps``, ``modifiers``, ``meters``,
            ``scanners`` or ``rooms``.
        data : dict
            Its fields; without an id it gets one from its name.

        Returns
        -------
        Thing
            As it was written down.

        Raises
        ------
        UnknownName
            If there is no such kind.
        DuplicateName
            If its id is taken.
        BadValue, BadDocument
            If a field cannot be used.
        """
        model = _model(kind)

        def write() -> Thing:
            made = self._new(kind, model, data, getattr(self.book().kit, kind))
            self._store.put_thing(kind, made)
            return made

        return self._written(write)

    def edit_thing(self, kind: str, thing_id: str, data: dict[str, Any]) -> Thing:
        """Put a thing right; fields that are left out stay. See `add_thing`."""
        model = _model(kind)

        def write() -> Thing:
            there = find(kind, thing_id, getattr(self.book().kit, kind))
            made = _changed(model, there, data)
            self._store.put_thing(kind, made)
            return made

        return self._written(write)

    def retire_thing(self, kind: str, thing_id: str, *, retired: bool = True) -> Thing:
        """Take a thing out of use, or back into it; what it taught stays."""
        return self.edit_thing(kind, thing_id, {"retired": retired})

    # ── Papers ──────────────────────────────────────────────────────────────────────────────

    def add_paper(self, data: dict[str, Any]) -> Paper:
        """Add a batch of paper; without an id it gets one from its name and batch."""

        def write() -> Paper:
            name = f"{data.get('name', '')}/{data.get('batch', '')}".strip("/")
            wanted = free_name(name, self._paper_ids(), "paper")
            made = self._new(PAPERS, Paper, {"id": wanted, **data}, self.book().papers)
            self._store.put_paper(made)
            return made

        return self._written(write)

    def edit_paper(self, paper_id: str, data: dict[str, Any]) -> Paper:
        """Put a batch of paper right; fields that are left out stay."""

        def write() -> Paper:
            made = _changed(Paper, find("paper", paper_id, self.book().papers), data)
            self._store.put_paper(made)
            return made

        return self._written(write)

    def retire_paper(self, paper_id: str, *, retired: bool = True) -> Paper:
        """Take a batch out of use, or back into it."""
        return self.edit_paper(paper_id, {"retired": retired})

    def new_batch(self, paper_id: str, batch_name: str) -> str:
        """Open a new box of the same paper.

        What is believed of the last batch is where the new one starts, with the spread from
        batch to batch added.

        Parameters
        ----------
        paper_id : str
            The batch it follows.
        batch_name : str
            What is printed on the box.

        Returns
        -------
        str
            Id of the new batch.

        Raises
        ------
        UnknownName
            If there is no such paper.
        BadValue
            If the batch has no name.
        """
        if not batch_name.strip():
            raise BadValue("batch", batch_name, "write what is printed on the box, or a date")
        known = self.paper_belief(paper_id)

        def write() -> str:
            last = find("paper", paper_id, self.book().papers)
            stem = last.id.rpartition("/")[0] or last.id
            new_id = free_name(f"{stem}/{batch_name}", self._paper_ids(), "paper")
            sd = min(math.hypot(known.sd_stops, BATCH_SD_STOPS), LARGEST_SD_STOPS)
            changes = {
                "id": new_id,
                "batch": batch_name.strip(),
                "ei": known.ei,
                "ei_sd_stops": sd,
                "contrast_per_stop": known.contrast_per_stop,
                "dmin": known.dmin,
                "dmax": known.dmax,
                "retired": False,
                "comparison_strip": (),
            }
            self._store.put_paper(validated(Paper, {**_fields(last), **changes}))
            return new_id

        return self._written(write)

    def _paper_ids(self) -> list[str]:
        return [paper.id for paper in self.book().papers]

    # ── Sitters ─────────────────────────────────────────────────────────────────────────────

    def add_sitter(self, data: dict[str, Any]) -> Sitter:
        """Add a sitter; without an id, one is made of the initials."""

        def write() -> Sitter:
            taken = [sitter.id for sitter in self.book().sitters]
            wanted = free_name(plain_initials(str(data.get("initials", ""))), taken, "sitter")
            made = self._new(SITTERS, Sitter, {"id": wanted, **data}, self.book().sitters)
            self._store.put_sitter(made)
            return made

        return self._written(write)

    def edit_sitter(self, sitter_id: str, data: dict[str, Any]) -> Sitter:
        """Put a sitter right; fields that are left out stay."""

        def write() -> Sitter:
            made = _changed(Sitter, find("sitter", sitter_id, self.book().sitters), data)
            self._store.put_sitter(made)
            return made

        return self._written(write)

    # ── Shared ──────────────────────────────────────────────────────────────────────────────

    def _new(
        self, kind: str, model: type[Part], data: dict[str, Any], there: tuple[Any, ...]
    ) -> Part:
        taken = [thing.id for thing in there]
        fields = dict(data)
        if not fields.get("id"):
            fields["id"] = free_name(str(fields.get("name", "")), taken, kind.removesuffix("s"))
        if fields["id"] in taken:
            raise DuplicateName(kind, str(fields["id"]))
        return validated(model, fields)


def _model(kind: str) -> type[Thing]:
    if kind not in THINGS:
        raise UnknownName("kind of kit", kind, THINGS)
    return THINGS[kind]


def _fields(part: Strict) -> dict[str, Any]:
    return part.model_dump(exclude_unset=True)


def _changed(model: type[Part], there: Any, data: dict[str, Any]) -> Part:
    if data.get("id", there.id) != there.id:
        raise BadValue("id", data["id"], f"it stays {there.id!r}; change the name instead")
    return validated(model, {**_fields(there), **data})
