"""What the desk answers about second edges and firing, and how a dark test is written down."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stillroom.documents.book import Reading, State, Verdict
from stillroom.errors import BadValue
from stillroom.services.desk_base import DeskBase, find, planned_moment
from stillroom.services.strip_reading import by_steps

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stillroom.documents.firing import Firing
    from stillroom.documents.ghost import DarkTest, DarkTestRead, Ghost
    from stillroom.documents.holding import Fires
    from stillroom.services.ghost_answers import GhostAsked


class GhostVerbs(DeskBase):
    """Steady light beside a flash: whether it shows, how dark the room is, how it fires."""

    def ghost(self, sitting_id: str, asked: GhostAsked | None = None) -> Ghost:
        """Whether a second edge shows on the next sheet as advised, and what would help.

        Parameters
        ----------
        sitting_id : str
            Which sitting.
        asked : GhostAsked, optional
            What is asked otherwise than the sitting has it.

        Raises
        ------
        UnknownName
            If there is no such sitting.
        BadValue
            If a number is none that can be reckoned with.
        """
        from stillroom.services.ghost_answers import ghost  # noqa: PLC0415

        now = self._as_of_now(sitting_id)
        return self._answer(
            ("ghost", sitting_id, asked, planned_moment(now, sitting_id)),
            lambda _: ghost(
                now, sitting_id, self.advice(sitting_id).settings, asked, memo=self._store.memo
            ),
        )

    def firing(self, sitting_id: str, fires: Fires | None = None) -> Firing:
        """How the next sheet fires as advised, and what tubes, plugs and batteries allow.

        Parameters
        ----------
        sitting_id : str
            Which sitting.
        fires : str, optional
            How it fires; as the sitting says unless given.

        Raises
        ------
        UnknownName
            If there is no such sitting.
        NotPossible
            If no head is on.
        """
        from stillroom.services.firing import firing  # noqa: PLC0415

        return self._answer(
            ("firing", sitting_id, fires),
            lambda book: firing(book, sitting_id, self.advice(sitting_id).settings, fires=fires),
        )

    def dark_test(
        self,
        sitting_id: str,
        *,
        open_s: float | None = None,
        times: float | None = None,
        card: float | None = None,
    ) -> DarkTest:
        """How to make a dark test for the next sheet, and what each outcome would prove.

        Parameters
        ----------
        sitting_id : str
            Which sitting.
        open_s : float, optional
            How long the lens will be open about the pop [s]; as advised unless given.
        times : float, optional
            How many times as long it is open for the test; 16 unless given.
        card : float, optional
            Reflectance of the card in the paper's band; of a white one unless given.

        Raises
        ------
        UnknownName
            If there is no such sitting.
        OutOfRange, BadValue
            If a number lies outside its range.
        """
        from stillroom.services import dark_test as test  # noqa: PLC0415

        return self._answer(
            ("dark test", sitting_id, open_s, times, card),
            lambda book: test.dark_test(
                book,
                sitting_id,
                self.advice(sitting_id).settings,
                self.now(),
                open_s=open_s,
                times=test.TIMES if times is None else times,
                card=test.CARD_REFLECTANCE if card is None else card,
                memo=self._store.memo,
            ),
        )

    def make_dark_test(
        self,
        sitting_id: str,
        form_id: str = "",
        *,
        open_s: float | None = None,
        times: float | None = None,
        card: float | None = None,
    ) -> int:
        """Write a dark test down as a sheet of the sitting; how the set stands is as before.

        Where no light of the room is written down, one is written in as a guess.

        Parameters
        ----------
        sitting_id, open_s, times, card
            As `dark_test`.
        form_id : str
            The form's one-time id.

        Returns
        -------
        int
            Number of the sheet.

        Raises
        ------
        UnknownName, OutOfRange, BadValue
            As `dark_test`.
        """
        from stillroom.services import dark_test as test  # noqa: PLC0415

        settings = self.advice(sitting_id).settings

        def write() -> int:
            plan = test.planned(
                self.book(),
                sitting_id,
                settings,
                self.now(),
                open_s=open_s,
                times=test.TIMES if times is None else times,
                card=test.CARD_REFLECTANCE if card is None else card,
            )
            self._store.put_sitting(test.without_sheets(plan.sitting))
            self._store.add_sheet(sitting_id, plan.sheet)
            return plan.sheet.number

        return self._written(write, form_id, "make_dark_test")

    def read_dark_test(
        self,
        sitting_id: str,
        number: int,
        *,
        verdict: Verdict | None = None,
        density: float | None = None,
        steps: Sequence[str] = (),
        state: State | None = None,
        form_id: str = "",
    ) -> DarkTestRead:
        """Write down what the card looks like, and say what that proves.

        Parameters
        ----------
        sitting_id, number : str, int
            The sheet.
        verdict : str, optional
            ``black`` or ``bare_paper``.
        density : float, optional
            Its density by the comparison strip, instead.
        steps : sequence of str
            Instead: the step of the strip that vanished against it, or two neighbours; ``black``
            and ``bare`` are the ends.
        state : str, optional
            ``wet`` or ``dry``; wet unless given.
        form_id : str
            The form's one-time id.

        Raises
        ------
        UnknownName
            If there is no such sheet.
        NotPossible
            If it is no dark test.
        BadValue
            If nothing or more than one thing is said, or the density lies beyond the paper.
        """
        from stillroom.services import dark_test as test  # noqa: PLC0415

        def write() -> None:
            sitting = self._sitting(sitting_id)
            sheet = self._sheet(sitting, number)
            test.check_dark(sitting, sheet)
            region = test.region_of(sitting)
            if not steps:
                reading = test.dark_reading(region, verdict, density)
            elif verdict is None and density is None:
                paper = find("paper", sitting.paper, self.book().papers)
                seen = by_steps(steps, paper, region)
                reading = Reading(by="strip", regions={region: seen})
            else:
                raise BadValue("the card", "said twice", "say it by the strip or otherwise")
            said = {"when": self.now()} | ({} if state is None else {"state": state})
            taken = reading.model_copy(update=said)
            self._store.add_reading(sitting_id, number, taken)

        self._written(write, form_id, "read_dark_test")
        return self.dark_test_says(sitting_id, number)

    def dark_test_says(self, sitting_id: str, number: int) -> DarkTestRead:
        """What a dark test that was read proved of the room's light on the face.

        Raises
        ------
        UnknownName
            If there is no such sheet.
        NotPossible
            If it is no dark test, or not read yet.
        """
        from stillroom.services.dark_test import dark_test_read  # noqa: PLC0415

        return self._answer(
            ("dark test says", sitting_id, number),
            lambda book: dark_test_read(
                book,
                sitting_id,
                number,
                settings=self.advice(sitting_id).settings,
                memo=self._store.memo,
            ),
        )
