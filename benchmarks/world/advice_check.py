"""Whether what the tool answers can be set on the kit, and whether its forecast is one."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

from benchmarks.world.public import (
    POPS,
    STEPS_POPS,
    Head,
    Kit,
    Settings,
    Sitting,
    heads_by_role,
    lens_of,
)

_DIAL_TOLERANCE_STOPS = 1e-3
_SETTINGS = {"dial_stops", "f_number", "pops", "seconds", "steps_pops"}
_REGION_FORECAST = {"dev_mean", "dev_sd", "q"}


class IllegalAdvice(ValueError):
    """An answer that nobody could follow; the sentence says which part and why."""


def _number(name: str, value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise IllegalAdvice(f"{name} is {value!r}, which is not a finite number.")
    return float(value)


def _members(name: str, value: object, wanted: set[str]) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise IllegalAdvice(f"{name} is {value!r}, which is not an object.")
    if set(value) != wanted:
        raise IllegalAdvice(f"{name} has {sorted(value)}, but should have {sorted(wanted)}.")
    return value


def _legal_dial(role: str, value: object, head: Head) -> None:
    dial = _number(f"dial_stops.{role}", value)
    steps = round(dial / head["dial_step"])
    if abs(dial - steps * head["dial_step"]) > _DIAL_TOLERANCE_STOPS:
        raise IllegalAdvice(
            f"dial_stops.{role} is {dial}, not a multiple of {head['dial_step']:.4g} stop."
        )
    least, most = head["dial_min"], head["dial_max"]
    if not least - _DIAL_TOLERANCE_STOPS <= dial <= most + _DIAL_TOLERANCE_STOPS:
        raise IllegalAdvice(f"dial_stops.{role} is {dial}, outside {least:g} to {most:g}.")


def legal_settings(kit: Kit, sitting: Sitting, said: object) -> Settings:
    """Check one answer's settings against the kit.

    Parameters
    ----------
    kit, sitting : Kit, Sitting
        Open side.
    said : object
        The tool's ``settings``.

    Returns
    -------
    Settings
        Ready to expose.

    Raises
    ------
    IllegalAdvice
        A dial between two of its positions (by more than 0.001 stop) or outside its range, an
        f-number the lens does not list, pops outside 1 to 8, seconds that are not on offer,
        strips other than 1, 2, 4, 8; anything missing or unknown.
    """
    settings = _members("settings", said, _SETTINGS)
    heads = heads_by_role(kit, sitting)
    dials = _members("dial_stops", settings["dial_stops"], set(heads))
    for role, head in heads.items():
        _legal_dial(role, dials[role], head)
    f_number = _number("f_number", settings["f_number"])
    listed = lens_of(kit, sitting)["f_numbers"]
    if f_number not in listed:
        raise IllegalAdvice(f"f_number is {f_number}, which is not one of {listed}.")
    pops = settings["pops"]
    if isinstance(pops, bool) or not isinstance(pops, int) or pops not in POPS:
        raise IllegalAdvice(f"pops is {pops!r}, not a whole number from 1 to 8.")
    seconds = _number("seconds", settings["seconds"])
    if seconds != sitting["seconds_default"]:
        raise IllegalAdvice(f"seconds is {seconds}, but only {sitting['seconds_default']} is set.")
    steps = settings["steps_pops"]
    if steps is not None and steps != list(STEPS_POPS):
        raise IllegalAdvice(f"steps_pops is {steps!r}, neither null nor {list(STEPS_POPS)}.")
    return Settings.from_json(settings)


def legal_forecast(sitting: Sitting, settings: Settings, said: object) -> dict[str, Any] | None:
    """Check one answer's forecast.

    Parameters
    ----------
    sitting : Sitting
        Open side.
    settings : Settings
        What the forecast is for.
    said : object
        The tool's ``forecast``.

    Returns
    -------
    dict or None
        None for a stepped sheet only.

    Raises
    ------
    IllegalAdvice
        A chance outside 0 to 1, quantiles out of order, a spread that is not positive, a region
        missing or unknown.
    """
    if settings.steps_pops is not None:
        if said is not None:
            raise IllegalAdvice("forecast should be null for a stepped sheet.")
        return None
    aimed = {region for region, aim in sitting["aims"].items() if aim["tol_stops"] is not None}
    forecast = _members("forecast", said, {"p_keeper", *aimed})
    chance = _number("p_keeper", forecast["p_keeper"])
    if not 0.0 <= chance <= 1.0:
        raise IllegalAdvice(f"p_keeper is {chance}, outside 0 to 1.")
    for region in aimed:
        parts = _members(f"forecast.{region}", forecast[region], _REGION_FORECAST)
        _number(f"{region}.dev_mean", parts["dev_mean"])
        if _number(f"{region}.dev_sd", parts["dev_sd"]) <= 0.0:
            raise IllegalAdvice(f"{region}.dev_sd is {parts['dev_sd']}, which is not positive.")
        if not isinstance(parts["q"], list) or len(parts["q"]) != 4:
            raise IllegalAdvice(f"{region}.q is {parts['q']!r}, not four numbers.")
        quantiles = [_number(f"{region}.q", value) for value in parts["q"]]
        if any(low > high for low, high in pairwise(quantiles)):
            raise IllegalAdvice(f"{region}.q is {quantiles}, which is out of order.")
    return forecast


def legal_together(
    kit: Kit, sitting: Sitting, said: dict[str, Any], count: int
) -> tuple[list[tuple[Settings, dict[str, Any] | None]], float]:
    """Check a plan of several sheets.

    Parameters
    ----------
    kit, sitting : Kit, Sitting
        Open side.
    said : dict
        The tool's answer.
    count : int
        How many sheets were asked for.

    Returns
    -------
    tuple
        Settings and forecast of every sheet, and the odds that one at least lands.

    Raises
    ------
    IllegalAdvice
        Another number of sheets, odds outside 0 to 1, or a sheet that could not be made.
    """
    forecast = _members("forecast", said.get("forecast"), {"p_any", "sheets"})
    for name, value in (("settings", said.get("settings")), ("sheets", forecast["sheets"])):
        if not isinstance(value, list) or len(value) != count:
            raise IllegalAdvice(f"{name} is {value!r}, not a list of {count}.")
    p_any = _number("p_any", forecast["p_any"])
    if not 0.0 <= p_any <= 1.0:
        raise IllegalAdvice(f"p_any is {p_any}, outside 0 to 1.")
    sheets = [legal_settings(kit, sitting, one) for one in said["settings"]]
    return [
        (settings, legal_forecast(sitting, settings, one))
        for settings, one in zip(sheets, forecast["sheets"], strict=True)
    ], p_any


def legal_chain(name: str, said: dict[str, Any]) -> tuple[float, float]:
    """Check what is said of one chain.

    Parameters
    ----------
    name : str
        Of the chain.
    said : dict
        The tool's answer.

    Returns
    -------
    tuple of float
        Mean and sd [stops].

    Raises
    ------
    IllegalAdvice
        There is no such chain, or its spread is not positive.
    """
    chains = said.get("chains")
    found = [
        one
        for one in (chains if isinstance(chains, list) else [])
        if isinstance(one, dict) and one.get("name") == name
    ]
    if len(found) != 1:
        raise IllegalAdvice(f"chains name {name!r} {len(found)} times, not once.")
    mean = _number(f"{name}.mean", found[0].get("mean"))
    sd = _number(f"{name}.sd", found[0].get("sd"))
    if sd <= 0.0:
        raise IllegalAdvice(f"{name}.sd is {sd}, which is not positive.")
    return mean, sd
