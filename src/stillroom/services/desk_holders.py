"""Verbs of holders: load a side, unload it."""

from __future__ import annotations

from stillroom.documents.holders import HolderSide
from stillroom.errors import NotPossible
from stillroom.services.desk_base import DeskBase, find
from stillroom.services.holders import (
    Side,
    fits,
    side_called,
    sides_of,
    with_side,
)


class HolderVerbs(DeskBase):
    """What is in the holders. Every change is a row of its own; nothing is overwritten."""

    def holder_sides(self) -> tuple[Side, ...]:
        """Every side of every holder in use, as things stand."""
        return sides_of(self.book())

    def load_side(self, key: str, paper_id: str | None = None, form_id: str = "") -> None:
        """Say that a side was loaded.

        Parameters
        ----------
        key : str
            The side, such as ``2 B``.
        paper_id : str, optional
            With which paper; not said: any.
        form_id : str
            The form's one-time id.

        Raises
        ------
        UnknownName
            If there is no such side or paper.
        """
        if paper_id:
            find("paper", paper_id, self.book().papers)

        def write() -> None:
            self._fill(side_called(sides_of(self.book()), key), paper_id)

        self._written(write, form_id, "load_side")

    def unload_side(self, key: str, form_id: str = "") -> None:
        """Say that a side is empty: its sheet was taken out, exposed or not.

        Raises
        ------
        UnknownName
            If there is no such side.
        """

        def write() -> None:
            side = side_called(sides_of(self.book()), key)
            self._store.put_thing("holders", with_side(side.holder, side.letter, None))

        self._written(write, form_id, "unload_side")

    def load_empty(self, sitting_id: str, form_id: str = "") -> int:
        """Say that every empty side that goes with a sitting's camera holds its paper now.

        Returns
        -------
        int
            How many sides that were.

        Raises
        ------
        NotPossible
            If none is empty.
        """

        def write() -> int:
            sitting = self._sitting(sitting_id)
            camera = find("camera", sitting.camera, self.book().kit.cameras)
            empty = [
                side.key
                for side in sides_of(self.book())
                if side.state == "empty" and fits(camera.format_mm, side.holder.format_mm)
            ]
            if not empty:
                raise NotPossible("No side is empty, so none was loaded: unload one first.")
            for key in empty:
                self._fill(side_called(sides_of(self.book()), key), sitting.paper)
            return len(empty)

        return self._written(write, form_id, "load_empty")

    def unload_exposed(self, form_id: str = "") -> int:
        """Say that every exposed sheet was taken out of its holder.

        Returns
        -------
        int
            How many sides that were.

        Raises
        ------
        NotPossible
            If no side holds an exposed sheet.
        """

        def write() -> int:
            exposed = [s.key for s in sides_of(self.book()) if s.state == "exposed"]
            if not exposed:
                raise NotPossible("No side holds an exposed sheet, so none was unloaded.")
            for key in exposed:
                side = side_called(sides_of(self.book()), key)
                self._store.put_thing("holders", with_side(side.holder, side.letter, None))
            return len(exposed)

        return self._written(write, form_id, "unload_exposed")

    def _fill(self, side: Side, paper_id: str | None) -> None:
        holds = HolderSide(state="loaded", paper=paper_id or None, since=self._clock())
        self._store.put_thing("holders", with_side(side.holder, side.letter, holds))
