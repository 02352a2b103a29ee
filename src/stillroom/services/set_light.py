"""One light of a sitting, as it stands with what hangs on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stillroom.documents import book as doc
from stillroom.exposure import Daylit, SetLight, named
from stillroom.light import Head, Lamp, Modifier
from stillroom.quantity import Stops


@dataclass(frozen=True, slots=True)
class Things:
    """What a light may be made of, each by its id."""

    heads: Mapping[str, Head]
    lamps: Mapping[str, Lamp]
    modifiers: Mapping[str, Modifier]


def set_light(
    light: doc.Light,
    setting: doc.LightSetting,
    things: Things,
    *,
    state: str,
    shift: Stops,
    there: Daylit | None,
) -> SetLight:
    """A light of a sitting as a setting has it.

    Parameters
    ----------
    light, setting : Light, LightSetting
        Where it stands, and what a hand changed of that.
    things : Things
        The kit.
    state, shift : str, Stops
        State of the room for light of the place, and how far it lies from the one its level is
        known in.
    there : Daylit, optional
        Daylight of its seat.

    Raises
    ------
    UnknownName
        If the kit has no such head, lamp or modifier.
    """
    ids = light.modifiers if setting.modifiers is None else setting.modifiers
    return SetLight(
        role=light.role,
        kind=light.kind,
        head=named("head", light.kit_id or "", things.heads) if light.kind == "head" else None,
        lamp=named("lamp", light.kit_id or "", things.lamps) if light.kind == "lamp" else None,
        modifiers=tuple(named("modifier", i, things.modifiers) for i in ids),
        distance_m=setting.distance_m or light.distance_m,
        facing_deg=light.facing_deg,
        metered_lx=light.metered_lx,
        metered_sd_stops=light.metered_sd_stops,
        geo=light.geo,
        state=state,
        state_stops=shift.value,
        state_sd_stops=shift.u,
        daylit=there,
    )
