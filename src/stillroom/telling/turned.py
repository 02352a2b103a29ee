"""What a hand turned: settings as fields of a form and of an address, and back."""

from __future__ import annotations

from collections.abc import Mapping

from stillroom.documents.book import Light, LightSetting, Made, Settings, Sitting
from stillroom.documents.read import validated
from stillroom.errors import BadValue
from stillroom.quantity.lengths import parse_length_m

Fields = dict[str, str]
"""Knob to its value as text: ``key.dial``, ``key.at``, ``key.with``, ``key.on``, ``f`` ..."""

_CAMERA = {
    "f": "f_number", "pops": "pops", "s": "open_s", "opening": "opening", "filter": "filter",
    "preflash": "pre_flash_stops",
}  # fmt: skip
_WORDS = ("opening", "filter")
_MAY_BE_NONE = ("filter", "preflash")
_LIGHT = {"dial": "dial", "at": "distance_m", "with": "modifiers", "on": "on"}


def resolved(sitting: Sitting, settings: Settings) -> dict[str, LightSetting]:
    """Every light with nothing left out: what stands as the sitting says is written in."""
    return {light.role: _whole(light, settings.lights.get(light.role)) for light in sitting.lights}


def _whole(light: Light, setting: LightSetting | None) -> LightSetting:
    given = setting or LightSetting()
    return LightSetting(
        dial=given.dial,
        distance_m=light.distance_m if given.distance_m is None else given.distance_m,
        modifiers=light.modifiers if given.modifiers is None else given.modifiers,
        on=given.on,
    )


def made_of(sitting: Sitting, planned: Settings, actual: Settings) -> Made | None:
    """What was really set, where it differed from the plan; nothing if nothing did."""
    fields = differences(sitting, planned, actual)
    if not fields:
        return None
    lights = {}
    ours = resolved(sitting, actual)
    for role, setting in ours.items():
        told = {
            attribute: getattr(setting, attribute)
            for knob, attribute in _LIGHT.items()
            if f"{role}.{knob}" in fields
        }
        if told:
            lights[role] = told
    camera = {name: getattr(actual, name) for knob, name in _CAMERA.items() if knob in fields}
    return Made.model_validate({"lights": lights, **camera})


def fields_of(sitting: Sitting, settings: Settings) -> Fields:
    """All knobs of a sitting with their values as text."""
    fields: Fields = {}
    for role, light in resolved(sitting, settings).items():
        if light.dial is not None:
            fields[f"{role}.dial"] = _text(light.dial)
        if light.distance_m is not None:
            fields[f"{role}.at"] = _text(light.distance_m)
        fields[f"{role}.with"] = ",".join(light.modifiers or ())
        fields[f"{role}.on"] = "yes" if light.on else "no"
    return fields | {
        "f": _text(settings.f_number),
        "pops": str(settings.pops),
        "s": _text(settings.open_s),
        "opening": settings.opening,
        "filter": settings.filter or "",
        "preflash": "" if settings.pre_flash_stops is None else _text(settings.pre_flash_stops),
    }


def differences(sitting: Sitting, planned: Settings, actual: Settings) -> Fields:
    """The knobs that stand otherwise than planned, with the values they really have."""
    plan = fields_of(sitting, planned)
    return {
        knob: text for knob, text in fields_of(sitting, actual).items() if plan.get(knob) != text
    }


def turned(sitting: Sitting, planned: Settings, fields: Mapping[str, str]) -> Settings:
    """The plan with the knobs in `fields` set as they say.

    Parameters
    ----------
    sitting : Sitting
        Whose lights they are.
    planned : Settings
        What was advised.
    fields : mapping
        Knob to value as text; names that are no knob are passed over.

    Returns
    -------
    Settings
        The settings as turned.

    Raises
    ------
    BadValue
        If a value cannot be used.
    """
    lights = {}
    for role, whole in resolved(sitting, planned).items():
        told: dict[str, object] = whole.model_dump()
        for knob, attribute in _LIGHT.items():
            name = f"{role}.{knob}"
            if (text := fields.get(name)) is None:
                continue
            if knob == "on":
                told[attribute] = text == "yes"
            elif knob == "with":
                told[attribute] = tuple(m for m in text.split(",") if m)
            elif knob == "at":
                told[attribute] = parse_length_m(text, "m")
            else:
                told[attribute] = _number(f"{role} {knob}", text)
        lights[role] = told
    camera: dict[str, object] = planned.model_dump(exclude={"lights"})
    for knob, attribute in _CAMERA.items():
        if (text := fields.get(knob)) is not None:
            camera[attribute] = _of_camera(knob, attribute, text)
    return validated(Settings, {**camera, "lights": lights})


def _of_camera(knob: str, attribute: str, text: str) -> object:
    if knob in _MAY_BE_NONE and not text.strip():
        return None
    return text if knob in _WORDS else _number(attribute, text)


def _number(name: str, text: str) -> float:
    try:
        return float(text.strip().replace(",", ".").replace("\N{MINUS SIGN}", "-"))
    except ValueError:
        raise BadValue(name, text, "write it as a number") from None


def _text(value: float) -> str:
    return f"{value:.10g}"
