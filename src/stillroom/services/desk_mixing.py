"""Verbs of chemistry: a bath is mixed, timed, thrown out; how long each is good for."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from stillroom.documents.mixing import Bath, Label, Mix, MixingList
from stillroom.documents.read import validated
from stillroom.documents.recipes import Recipe
from stillroom.errors import BadValue, NotPossible, UnknownName, shown
from stillroom.services.baths import baths_of
from stillroom.services.desk_base import DeskBase, free_name
from stillroom.services.labels import label_of, said_of
from stillroom.services.mixing import Asked, mixing_list
from stillroom.services.recipes import recipe_called
from stillroom.store.parts import MIXES

_AHEAD = timedelta(minutes=5)
"""Clocks of two machines may differ by so much."""
_STANDS = {
    "developer": ("first_development", "second_development"),
    "bleach": ("bleach",),
    "clear": ("clear",),
    "stop": ("first_wash",),
    "fixer": ("fix",),
    "wash_aid": ("wash_aid",),
}
"""Where a kind of bath may stand."""


class MixingVerbs(DeskBase):
    """Baths: every one that was mixed stays in the book, with what became of it."""

    def mixes(self) -> tuple[Mix, ...]:
        """Every bath that was written down, the latest first."""
        return tuple(sorted(self.book().mixes, key=lambda mix: mix.when, reverse=True))

    def baths(self) -> tuple[Bath, ...]:
        """The baths that stand in the line, each with its life in one line."""
        return baths_of(self.book(), self._clock())

    def label(self, mix_id: str) -> Label:
        """The label of a bath that was mixed.

        Raises
        ------
        UnknownName
            If there is no such bath.
        NotPossible
            If its recipe is not known here.
        """
        return label_of(self._mix(mix_id))

    def mix_planned(self, recipe: str, volume_ml: float, asked: Asked | None = None) -> MixingList:
        """The mixing list of a bath; nothing is written.

        Raises
        ------
        UnknownName, OutOfRange, BadValue, NotPossible
            As of `mixing_list`.
        """
        return mixing_list(recipe, volume_ml, asked)

    def mix_written(
        self,
        recipe: str,
        volume_ml: float,
        form_id: str = "",
        *,
        asked: Asked | None = None,
        steps: Sequence[str] = (),
        name: str = "",
        when: datetime | None = None,
        used_before: float = 0.0,
        note: str = "",
    ) -> str:
        """Write a bath down as mixed; from then on sheets through its steps count for it.

        Parameters
        ----------
        recipe : str
            Its id.
        volume_ml : float
            How much [ml].
        form_id : str
            The form's one-time id.
        asked : Asked, optional
            What differed from the recipe.
        steps : sequence of str
            Where it stands; left out: where its recipe says.
        name : str
            What it is called; left out: as its recipe.
        when : datetime, optional
            When it was mixed; left out: now.
        used_before : float
            8x10 sheets it has done already [1].
        note : str
            A note.

        Returns
        -------
        str
            Its id.

        Raises
        ------
        UnknownName, OutOfRange, BadValue, NotPossible
            As of `mixing_list`; and if it was mixed in a time to come, or would stand where
            another kind of bath belongs.
        """
        found = recipe_called(recipe)
        wanted = asked or Asked()
        mixing_list(found, volume_ml, wanted)
        _check_stands(found, steps)
        now = self._clock()
        moment = when or now
        if moment > now + _AHEAD:
            raise BadValue("mixed", f"{moment:%Y-%m-%d %H:%M}", "that is still to come")
        said: dict[str, object] = {"recipe": found.id, "when": moment, "volume_ml": volume_ml}
        said |= said_of(wanted)
        more: dict[str, object] = {
            "dilution": wanted.dilution or _dilution_of(found, steps),
            "name": name.strip(),
            "note": note.strip(),
            "steps": tuple(steps),
            "used_before": used_before,
        }
        said |= {key: value for key, value in more.items() if value}

        def write() -> str:
            taken = [mix.id for mix in self.book().mixes]
            mix_id = free_name(f"{found.id} {moment:%Y-%m-%d}", taken, "bath")
            self._store.put(MIXES, validated(Mix, {"id": mix_id, **said}))
            return mix_id

        return self._written(write, form_id, "mix_written")

    def mix_timed(self, mix_id: str, seconds: float, form_id: str = "") -> None:
        """Write down how long a bath took to show its work: to clear, or to the first black.

        Parameters
        ----------
        mix_id : str
            The bath.
        seconds : float
            What was counted [s].
        form_id : str
            The form's one-time id.

        Raises
        ------
        UnknownName
            If there is no such bath.
        NotPossible
            If it was thrown out.
        BadValue
            If the time cannot be.
        """

        def write() -> None:
            mix = self._standing(mix_id)
            timed = (*mix.timed, {"when": self._clock(), "seconds": seconds})
            self._put_mix(mix, timed=timed)

        self._written(write, form_id, "mix_timed")

    def mix_thrown_out(self, mix_id: str, form_id: str = "") -> None:
        """Write down that a bath was taken out of the line; it stays in the book.

        Raises
        ------
        UnknownName
            If there is no such bath.
        NotPossible
            If it was thrown out already.
        """

        def write() -> None:
            mix = self._standing(mix_id)
            self._put_mix(mix, thrown_out=max(self._clock(), mix.when))

        self._written(write, form_id, "mix_thrown_out")

    def mix_put_back(self, mix_id: str, form_id: str = "") -> None:
        """Write down that a bath stands in the line after all: it was taken out by mistake.

        Raises
        ------
        UnknownName
            If there is no such bath.
        NotPossible
            If it was not taken out.
        """

        def write() -> None:
            mix = self._mix(mix_id)
            if mix.thrown_out is None:
                raise NotPossible(f"Bath {shown(mix_id)} stands in the line.")
            self._put_mix(mix, thrown_out=None)

        self._written(write, form_id, "mix_put_back")

    def _mix(self, mix_id: str) -> Mix:
        by_id = {mix.id: mix for mix in self.book().mixes}
        if mix_id not in by_id:
            raise UnknownName("bath", mix_id, by_id)
        return by_id[mix_id]

    def _standing(self, mix_id: str) -> Mix:
        mix = self._mix(mix_id)
        if mix.thrown_out is not None:
            raise NotPossible(f"Bath {shown(mix_id)} was thrown out already.")
        return mix

    def _put_mix(self, mix: Mix, **changes: object) -> None:
        said = mix.model_dump(exclude_unset=True) | changes
        self._store.put(MIXES, validated(Mix, said))


def _check_stands(recipe: Recipe, steps: Sequence[str]) -> None:
    may = _STANDS[recipe.kind]
    for step in steps:
        if step not in may:
            place = step.replace("_", " ")
            if recipe.kind == "bleach" and step in _STANDS["developer"]:
                raise NotPossible(
                    f"Never a bleach into a developer: {recipe.id} for the {place} would spoil "
                    "both."
                )
            if recipe.kind == "developer" and step == "bleach":
                raise NotPossible(
                    f"Never a developer into a bleach: {recipe.id} there would spoil both."
                )
            known = ", ".join(each.replace("_", " ") for each in may)
            raise BadValue("stands in", place, f"{recipe.id} belongs in: {known}")


def _dilution_of(recipe: Recipe, steps: Sequence[str]) -> str:
    """How a bath is thinned where nobody said: as its recipe, for the one step it stands in."""
    if recipe.ready_made is not None:
        return recipe.ready_made.dilution
    if len(steps) == 1:
        return next((d for step, d in recipe.stock_dilutions.items() if step == steps[0]), "")
    return ""
