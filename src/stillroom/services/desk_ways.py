"""What the desk answers about another camera."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stillroom.services.desk_base import DeskBase, planned_moment

if TYPE_CHECKING:
    from stillroom.documents.holding import Viewing
    from stillroom.documents.ways import Ways


class WaysVerbs(DeskBase):
    """Ways to the aims of a sitting on another camera."""

    def ways(
        self,
        sitting_id: str,
        camera: str,
        lens: str | None = None,
        *,
        viewing: Viewing | None = None,
        magnification: float | None = None,
        seat: str | None = None,
        room_state: str | None = None,
        paper: str | None = None,
        f_number: float | None = None,
        pops_most: int | None = None,
        buy_ws: float = 0.0,
    ) -> Ways:
        """What another camera asks, and ways to the same aims there.

        Parameters
        ----------
        sitting_id, camera : str
            Which sitting, on which camera.
        lens : str, optional
            With which lens; the one that shows the sitter most alike unless given.
        viewing : str, optional
            In the hand or on the wall; as the sitting says unless given.
        magnification : float, optional
            Of the sitter on the sheet [1]; as much of the sitter as now unless given.
        seat, room_state, paper : str, optional
            A seat by daylight, a state of the room, another paper.
        f_number : float, optional
            The only stop that may be set, as marked [1].
        pops_most : int, optional
            Most pops on one sheet; eight unless given.
        buy_ws : float
            Most W·s that may be bought or hired.

        Raises
        ------
        UnknownName
            If something asked about is not in the book.
        BadValue
            If it cannot be done; the sentence tells the nearest that can.
        NotPossible
            If there is no light at all.
        """
        from stillroom.services.ways import POPS_MOST, Asked, ways  # noqa: PLC0415

        asked = Asked(
            sitting=sitting_id,
            camera=camera,
            lens=lens,
            magnification=magnification,
            viewing=viewing,
            seat=seat,
            room_state=room_state,
            paper=paper,
            f_number=f_number,
            pops_most=POPS_MOST if pops_most is None else pops_most,
            buy_ws=buy_ws,
        )
        now = self._as_of_now(sitting_id)
        return self._answer(
            ("ways", asked, planned_moment(now, sitting_id)),
            lambda _: ways(now, asked, memo=self._store.memo),
        )
