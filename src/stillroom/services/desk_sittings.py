"""Verbs of a sitting: how it starts, its aims and lights, and who sits next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Literal

from stillroom.documents.book import (
    Aim,
    LightSetting,
    Settings,
    Sitter,
    Sitting,
    Skin,
)
from stillroom.documents.holding import Holding
from stillroom.documents.read import validated
from stillroom.documents.sitter_card import SitterCard, with_earlier
from stillroom.errors import BadValue, UnknownName
from stillroom.services.desk_base import DeskBase, find, free_name
from stillroom.services.looks import (
    LOOKS,
    aims_like_sheet,
    aims_of_look,
    first_sitter,
    reflectance_of,
)
from stillroom.services.marks import last_number, plain_initials
from stillroom.services.next_sitter import (
    TONES,
    SkinQuestion,
    Tone,
    carried_aims,
    skin_question,
)
from stillroom.services.starting import CARD_INITIALS, FirstAnswers, start
from stillroom.sitter import REGIONS
from stillroom.store import THINGS

STEPS_PREFERENCE = "steps"


class SittingVerbs(DeskBase):
    """What happens before the sheets and between them."""

    def first_sheet(self, answers: FirstAnswers, form_id: str = "") -> str:
        """Make kit, paper, a card in the chair and a sitting from the first answers.

        Parameters
        ----------
        answers : FirstAnswers
            What is known; everything may be missing.
        form_id : str
            The form's one-time id.

        Returns
        -------
        str
            Id of the sitting.

        Raises
        ------
        UnknownName, BadValue
            If an answer cannot be used.
        """

        def write() -> str:
            book = self.book()
            taken = {thing.id for kind in THINGS for thing in getattr(book.kit, kind)}
            taken |= {paper.id for paper in book.papers} | {s.id for s in book.sitters}
            taken |= {sitting.id for sitting in book.sittings}
            made = start(answers, self._clock(), taken, book.kit.seats)
            for kind in THINGS:
                for thing in getattr(made.kit, kind):
                    self._store.put_thing(kind, thing)
            self._store.put_paper(made.paper)
            self._store.put_sitter(made.sitter)
            self._store.put_sitting(made.sitting)
            if answers.steps is not None:
                self._store.set_preference(STEPS_PREFERENCE, answers.steps)
            return made.sitting.id

        return self._written(write, form_id, "first_sheet")

    def add_sitting(self, data: dict[str, Any], form_id: str = "") -> str:
        """Add a sitting with everything it needs; without an id and a moment it gets both.

        Returns
        -------
        str
            Its id.
        """

        def write() -> str:
            taken = [sitting.id for sitting in self.book().sittings]
            fields = {"when": self._clock(), **data}
            fields["id"] = free_name(str(data.get("id", "")), taken, "sitting")
            self._store.put_sitting(validated(Sitting, fields))
            return str(fields["id"])

        return self._written(write, form_id, "add_sitting")

    def finish_sitting(self, sitting_id: str, *, finished: bool = True) -> None:
        """Call a sitting finished, or not after all."""
        self._change(sitting_id, finished=finished)

    # ── Aims ────────────────────────────────────────────────────────────────────────────────

    def set_aims(self, sitting_id: str, aims: Mapping[str, Aim], look: str = "") -> None:
        """Set where each part of the picture should fall, for the next sheet on."""
        self._change(sitting_id, aims=dict(aims), look=look)

    def set_look(self, sitting_id: str, look_id: str) -> None:
        """Take the aims of one of the three starting looks."""
        roles = [light.role for light in self._sitting(sitting_id).lights]
        self.set_aims(sitting_id, aims_of_look(look_id, roles), LOOKS[look_id].name)

    def aims_like(self, sitting_id: str, mark: str) -> None:
        """Aim like a sheet: what it read becomes the aim, faces against its sitter's skin."""
        aims = aims_like_sheet(self.book(), self._sitting(sitting_id), mark)
        self.set_aims(sitting_id, aims, f"like {mark}")

    # ── The set ─────────────────────────────────────────────────────────────────────────────

    def set_locks_efforts(
        self, sitting_id: str, locks: Sequence[str], efforts: Mapping[str, float]
    ) -> None:
        """Say what is not to be turned, and how much effort each thing is."""
        self._change(sitting_id, locks=tuple(locks), efforts=dict(efforts))

    def set_dear(self, sitting_id: str, dear: Literal["paper", "time"]) -> None:
        """Say whether paper or time is dear."""
        self._change(sitting_id, dear=dear)

    def set_holding(self, sitting_id: str, **said: object) -> None:
        """Say how the sitter is held and focused on, how it fires, how the picture is looked at.

        Parameters
        ----------
        sitting_id : str
            Which sitting.
        **said
            Fields of `Holding`; what is not named stays, None takes a word back.

        Raises
        ------
        BadValue, OutOfRange
            If a field is unknown or its value is none it can have.
        """
        there = self._sitting(sitting_id).holding.model_dump(exclude_unset=True)
        kept = {name: value for name, value in {**there, **said}.items() if value is not None}
        self._change(sitting_id, holding=validated(Holding, kept).model_dump(exclude_unset=True))

    def set_room_state(self, sitting_id: str, room_state: str) -> None:
        """Name the state of the room's own light."""
        self._change(sitting_id, room_state=room_state)

    def move_light(
        self,
        sitting_id: str,
        role: str,
        *,
        distance_m: float | None = None,
        modifiers: Sequence[str] | None = None,
        on: bool | None = None,
    ) -> None:
        """Move a light, change what stands before it, or switch it, for the next sheet on.

        Earlier sheets keep what they were made with.

        Raises
        ------
        UnknownName
            If the sitting has no such light, or there is no such modifier.
        BadValue
            If the distance lies outside its range.
        """
        sitting = self._sitting(sitting_id)
        if role not in (roles := [light.role for light in sitting.lights]):
            raise UnknownName("light", role, roles)
        last = last_number(sitting)
        stands = sitting.stands if last and sitting.stands_after == last else None
        stands = stands or self._as_it_stands(sitting_id)
        moved = {"distance_m": distance_m, "modifiers": modifiers, "on": on}
        said = {name: value for name, value in moved.items() if value is not None}
        setting = stands.lights.get(role, LightSetting()).model_dump(exclude_unset=True) | said
        lights = {**stands.lights, role: validated(LightSetting, setting)}
        self._change(
            sitting_id, stands=stands.model_copy(update={"lights": lights}), stands_after=last
        )

    # ── The next sitter ─────────────────────────────────────────────────────────────────────

    def skin_question(self, sitting_id: str, skin: Skin) -> SkinQuestion:
        """Keep the light? With what each answer costs, for a sitter with that skin."""
        book, sitting = self.book(), self._sitting(sitting_id)
        last = first_sitter(book, sitting)
        return skin_question(
            self._key_placement_stops(sitting),
            last=last.initials if last and last.initials != CARD_INITIALS else "the card",
            before=reflectance_of(last),
            after=reflectance_of(Sitter(id="next", initials="", skin=skin)),
            response=find("paper", sitting.paper, book.papers).response,
        )

    def next_sitter(  # noqa: PLR0917 - in the order of the card at the door
        self,
        sitting_id: str,
        initials: str,
        skin: Skin,
        holds_still_s: float | None = None,
        tone: Tone = "keep",
        form_id: str = "",
        *,
        is_child: bool = False,
        card: SitterCard | None = None,
    ) -> str:
        """Seat the next sitter in the same set and light.

        Parameters
        ----------
        sitting_id : str
            The sitting that ends.
        initials : str
            Who sits; somebody with these initials who sat before is taken to have come back.
        skin : Skin
            As far as it is known.
        holds_still_s : float, optional
            How long they can hold still [s].
        tone : {"keep", "lift", "same"}
            Keep the light, lift the face to where the eye sees it, or give it the same tone.
        form_id : str
            The form's one-time id.
        is_child : bool
            A child holds less long than a grown-up.
        card : SitterCard, optional
            What they said at the door. Of somebody who comes back, what they agreed to before
            stands beside it; a yes is taken back on their own card.

        Returns
        -------
        str
            Id of the new sitting.

        Raises
        ------
        BadValue
            If there are no initials or the tone is none of the three.
        """
        if tone not in TONES:
            raise BadValue("tone", tone, f"choose {', '.join(TONES)}")
        name = plain_initials(initials)
        if not name:
            raise BadValue("initials", initials, "write one letter at least")
        stands = self._as_it_stands(sitting_id)

        def write() -> str:
            book, last = self.book(), self._sitting(sitting_id)
            sitter = self._seated(initials, skin, holds_still_s, is_child=is_child, card=card)
            self._store.put_sitter(sitter)
            place = last.set or last.id
            self._store.put_sitting(last.model_copy(update={"set": place, "finished": True}))
            new_id = free_name(name, [s.id for s in book.sittings], "sitting")
            aims = carried_aims(
                last.aims,
                tone,
                before=reflectance_of(first_sitter(book, last)),
                after=reflectance_of(sitter),
                response=find("paper", last.paper, book.papers).response,
            )
            fresh = {
                "id": new_id,
                "when": self._clock(),
                "sitters": (sitter.id,),
                "set": place,
                "aims": aims,
                "stands": stands,
                "stands_after": 0,
                "meter_readings": (),
                "control_strips": (),
                "sheets": (),
                "finished": False,
            }
            self._store.put_sitting(last.model_copy(update=fresh))
            return new_id

        return self._written(write, form_id, "next_sitter")

    # ── Shared ──────────────────────────────────────────────────────────────────────────────

    def _change(self, sitting_id: str, **changes: object) -> None:
        def write() -> None:
            there = self._sitting(sitting_id).model_dump(
                exclude_unset=True, exclude={"sheets", "meter_readings"}
            )
            self._store.put_sitting(validated(Sitting, {**there, **changes}))

        self._written(write)

    def _as_it_stands(self, sitting_id: str) -> Settings:
        settings = self.forecast(sitting_id).settings
        return settings.model_copy(update={"steps_pops": None})

    def _seated(
        self,
        initials: str,
        skin: Skin,
        holds_still_s: float | None,
        *,
        is_child: bool,
        card: SitterCard | None,
    ) -> Sitter:
        sitters = self.book().sitters
        name = plain_initials(initials)
        for known in sitters:
            if plain_initials(known.initials) == name:
                changes: dict[str, object] = {}
                if skin.guess != "unknown":
                    changes["skin"] = skin
                if holds_still_s is not None:
                    changes["holds_still_s"] = holds_still_s
                if is_child:
                    changes["is_child"] = True
                if card is not None:
                    changes["at_the_door"] = with_earlier(card, known.at_the_door)
                return validated(Sitter, {**known.model_dump(exclude_unset=True), **changes})
        new_id = free_name(name, [sitter.id for sitter in sitters], "sitter")
        fields: dict[str, object] = {
            "initials": initials,
            "skin": skin,
            "holds_still_s": holds_still_s,
        }
        if is_child:
            fields["is_child"] = True
        if card is not None:
            fields["at_the_door"] = card
        return validated(Sitter, {"id": new_id, **fields})

    def _key_placement_stops(self, sitting: Sitting) -> float | None:
        """Where the key cheek, or the first face region aimed at, is wanted [stops]."""
        faces = [region for region in REGIONS if REGIONS[region].is_skin]
        for region in faces:
            if region in sitting.aims:
                shown_aim = self.forecast(sitting.id).regions[region].aim
                return shown_aim.placement_stops if shown_aim else None
        return None
