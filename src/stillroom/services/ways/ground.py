"""One set of lights on the other camera, made ready: layout, places, the picture's edge."""

from __future__ import annotations

import copy
import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from itertools import product
from typing import NamedTuple

from stillroom.advice import Table
from stillroom.belief import Posterior
from stillroom.documents import book as doc
from stillroom.documents.to_domain import modifier_of, named
from stillroom.exposure import Layout
from stillroom.light import distance_stops, face_size_m, outermost_face
from stillroom.quantity import FloatArray
from stillroom.scene import clear_of_frame_mm, nearest_out_of_frame_m
from stillroom.services.daylight_asked import REGION
from stillroom.services.ways.asked import Other
from stillroom.services.ways.choices import Stood
from stillroom.services.ways.limits import Powered
from stillroom.services.ways.sets import LightSet, OtherTable, on_other

STEPS_OF_DISTANCE = (1.0, 0.89, 0.79, 0.71, 0.63, 0.56, 0.5, 1.12, 1.26)
"""Distances of the key light against now."""
STEPS_ASIDE = (1.0, 0.71, 0.5)
"""The same of all other lights together."""
NEAREST_M = 0.25
BARE_FACE_M = 0.2
"""Width of a head in its plain reflector (common practice, no source)."""


class Place(NamedTuple):
    """Where lights stand: the key's distance [m], and that of the others over now [1]."""

    distance_m: float | None
    nearer: float


class Ground:
    """One set of lights made ready: its layout, and what each knob does there.

    Parameters
    ----------
    other, stood : Other, Stood
        Both cameras, and how it stands.
    lit : LightSet
        The lights.
    posterior : Posterior
        What was learned on the camera in use.
    """

    def __init__(self, other: Other, stood: Stood, lit: LightSet, posterior: Posterior) -> None:
        self.other = other
        self.stood = stood
        self.lit = lit
        self.posterior = posterior
        self.settings = self._settings()

    def _settings(self) -> doc.Settings:
        """How it would be set before anything is turned: a new head as the key's own."""
        as_now = self.stood.settings.lights
        before = {light.role: light.kit_id for light in self.stood.lights}
        lights = {
            light.role: as_now.get(light.role, doc.LightSetting())
            if light.kind == "head" and before.get(light.role) == light.kit_id
            else doc.LightSetting()
            for light in self.lit.lights
        }
        return self.stood.settings.model_copy(update={"lights": lights})

    def placed(self, place: Place) -> LightSet:
        """The lights with each where a place has it."""
        return self.lit.placed(*place)

    def at(self, place: Place) -> OtherTable:
        """The sitting so lit, the lights where a place has them."""
        lit = self.placed(place)
        moved: list[tuple[str, ...]] = []
        if self.is_moved(place):
            moved.append(lit.together)
        if place.nearer != 1.0:
            moved += [(light.role,) for light in lit.beside]
        book = on_other(self.other, lit, self.settings)
        sitting = self.other.other.sitting.id
        return OtherTable(book, sitting, self.posterior, at=lit.at, moved=tuple(moved))

    def is_moved(self, place: Place) -> bool:
        """Whether the key light stands elsewhere than it does now."""
        return place.distance_m is not None and place.distance_m != self.lit.key_light.distance_m

    def odds_on(self, table: OtherTable, settings: doc.Settings) -> Table:
        """What is believed on a table's layout, for the aims that this set can serve."""
        layout = self._aimed(table.layout(settings))
        return Table(self.posterior.states(layout), layout)

    def _aimed(self, layout: Layout) -> Layout:
        if self.lit.kind != "daylight":
            return layout
        return with_aims(layout, self.aims)

    @cached_property
    def aims(self) -> tuple[str, ...]:
        """The aimed regions that count: of one light by itself only the tone it is set for."""
        aims = self.other.other.sitting.aims
        aimed = tuple(r for r, aim in aims.items() if aim.tol_stops is not None)
        if self.lit.kind != "daylight" or len(self.lit.lights) > 1:
            return aimed
        return (REGION,) if REGION in aimed else aimed[:1]

    @cached_property
    def distances(self) -> tuple[float, ...]:
        """Distances of the key light that stay out of the picture; empty where it has none."""
        stands = self.lit.key_light.distance_m
        if stands is None or not self.lit.together:
            return ()
        least = max(NEAREST_M, self.nearest_m)
        tried = {round(stands * step, 2) for step in STEPS_OF_DISTANCE}
        found = sorted(
            {d for d in tried if d >= least} | {stands} | {math.ceil(least * 100) / 100}
        )
        return tuple(d for d in found if d >= least) or (stands,)

    @cached_property
    def places(self) -> tuple[Place, ...]:
        """Every place of the lights that is tried, as they stand first."""
        others = STEPS_ASIDE if self.lit.beside else (1.0,)
        return tuple(Place(d, n) for d, n in product(self.distances or (None,), others))

    @cached_property
    def face_m(self) -> float:
        """Width of what the sitter sees of the key light [m]."""
        known = self.other.book.kit.modifiers + self.lit.modifiers
        hung = [modifier_of(named("modifier", i, known)) for i in self.lit.key_light.modifiers]
        size = face_size_m(hung)
        return BARE_FACE_M if size is None else size[0]

    @cached_property
    def nearest_m(self) -> float:
        """As near as the key light may come and stay out of the picture [m]."""
        there = self.other.other
        return nearest_out_of_frame_m(self.face_m, there.frame_mm[0], there.subject_distance_m)

    def clear_mm(self, distance_m: float) -> float:
        """How far the key light stays out of the picture [mm]."""
        there = self.other.other
        return clear_of_frame_mm(
            self.face_m, distance_m, there.frame_mm[0], there.subject_distance_m
        )

    def moved_stops(self, place: Place, roles: Sequence[str]) -> list[float]:
        """What the place does to each source, near a large face too [stops]."""
        if not self.is_moved(place) and place.nearer == 1.0:
            return [0.0] * len(roles)
        then = {light.role: light for light in self.placed(place).lights}
        now = {light.role: light for light in self.lit.lights}
        return [
            self._level(then[role]) - self._level(now[role]) if role in now else 0.0
            for role in roles
        ]

    def _level(self, light: doc.Light) -> float:
        """Distance and near field of a light [stops]; 0 for light of the place."""
        if light.distance_m is None:
            return 0.0
        known = self.other.book.kit.modifiers + self.lit.modifiers
        face = outermost_face([modifier_of(named("modifier", i, known)) for i in light.modifiers])
        near = 0.0 if face is None else face.near_field_stops(light.distance_m)
        return distance_stops(light.distance_m) + near


def powered_by(ground: Ground, roles: Sequence[str], dials: FloatArray) -> list[Powered]:
    """The heads that fire, with their dials in each candidate.

    Parameters
    ----------
    ground : Ground
        The set of lights.
    roles : sequence of str
        Of the sources.
    dials : FloatArray
        Below full (candidates, sources) [stops].
    """
    known = (*ground.other.book.kit.heads, *ground.lit.hired)
    return [
        (named("head", light.kit_id or "", known), dials[:, roles.index(light.role)])
        for light in ground.lit.lights
        if light.kind == "head"
    ]


def with_aims(layout: Layout, regions: Sequence[str]) -> Layout:
    """The same layout, only these regions with a tolerance."""
    other = copy.copy(layout)
    other.aims = {
        region: aim if region in regions else replace(aim, tol_stops=None)
        for region, aim in layout.aims.items()
    }
    return other
