"""What was planned, with what was really set laid over it."""

from __future__ import annotations

from typing import Any

from stillroom.documents.book import LightSetting, Made, Settings


def as_made(settings: Settings, made: Made | None) -> Settings:
    """Settings of a sheet as it was made.

    Parameters
    ----------
    settings : Settings
        As planned.
    made : Made or None
        Where it differed: only what it says is taken over.

    Returns
    -------
    Settings

    Examples
    --------
    >>> plan = Settings(f_number=5.6, lights={"key": LightSetting(dial=-1.0)})
    >>> made = as_made(plan, Made(pops=2, lights={"key": LightSetting(on=False)}))
    >>> made.pops, made.f_number, made.lights["key"].dial, made.lights["key"].on
    (2, 5.6, -1.0, False)
    """
    if made is None:
        return settings
    lights = dict(settings.lights)
    for role, new in made.lights.items():
        said = {name: getattr(new, name) for name in new.model_fields_set}
        lights[role] = lights.get(role, LightSetting()).model_copy(update=said)
    return settings.model_copy(update={"lights": lights, **camera_made(made)})


MAY_BE_NONE = ("filter", "pre_flash_stops")
"""What a sheet may have been made without, though it was planned with it."""


def camera_made(made: Made) -> dict[str, Any]:
    """What is said of the camera and the sheet, lights left out; a filter may be said to be none.

    Examples
    --------
    >>> camera_made(Made(pops=2)), camera_made(Made(filter=None))
    ({'pops': 2}, {'filter': None})
    """
    return {
        name: getattr(made, name)
        for name in Made.model_fields
        if name != "lights"
        and (
            getattr(made, name) is not None
            or (name in MAY_BE_NONE and name in made.model_fields_set)
        )
    }
