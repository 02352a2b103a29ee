"""What was planned, with what was really set laid over it."""

from __future__ import annotations

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
    camera = {
        name: getattr(made, name)
        for name in ("f_number", "pops", "open_s", "opening")
        if getattr(made, name) is not None
    }
    return settings.model_copy(update={"lights": lights, **camera})
