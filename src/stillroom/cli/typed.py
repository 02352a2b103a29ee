"""What photographers type after an option, made into parts of a document."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any, get_args

from stillroom.documents.book import (
    LightSetting,
    Made,
    MeterReading,
    Paper,
    ReadBy,
    Reading,
    Reason,
    RegionReading,
    Settings,
    Sheet,
    State,
    StripReading,
    Verdict,
)
from stillroom.documents.read import validated
from stillroom.documents.shows import Shows
from stillroom.errors import BadValue
from stillroom.quantity import parse_length_m
from stillroom.services.strip_reading import by_steps

if TYPE_CHECKING:
    from stillroom.documents.book import Light
    from stillroom.documents.kit import Kit

BARE = "bare"
NONE = "none"
UNSURE = 2.0
"""A question mark after a step makes its spread so much wider (a judgement, not measured)."""
_FRACTION = re.compile(r"([0-9.]+)\s*[/⁄]\s*([0-9.]+)")
_SHOWS_F = re.compile(r"f?\s*[/⁄]?\s*([0-9.,]+)\s*@\s*(?:iso\s*)?([0-9.,]+)", re.IGNORECASE)
_SHOWS_LX = re.compile(r"([0-9.,]+)\s*(?:lx|lux)", re.IGNORECASE)
_SHOWS_EV = re.compile(r"ev\s*(-?[0-9.,]+)", re.IGNORECASE)
_DRY_WAYS = ("densitometer", "scan")


def number(option: str, text: str) -> float:
    """A number with a point, a comma, a true minus or a fraction bar.

    Examples
    --------
    >>> number("--dial", "−1,2"), number("--dial", "1/4")
    (-1.2, 0.25)
    """
    cleaned = text.strip().replace("\N{MINUS SIGN}", "-").replace(",", ".")
    if fraction := _FRACTION.fullmatch(cleaned):
        above, below = (_float(option, part, text) for part in fraction.groups())
        if below == 0:
            raise BadValue(option, text, "nothing is divided by 0")
        return above / below
    return _float(option, cleaned, text)


def _float(option: str, cleaned: str, text: str) -> float:
    try:
        found = float(cleaned)
    except ValueError:
        found = math.nan
    if not math.isfinite(found):
        raise BadValue(option, text, "write it as a number")
    return found


def seconds(text: str) -> float:
    """An open time as it is written.

    Examples
    --------
    >>> seconds("1/8 s"), seconds("2"), seconds("1.5s"), seconds("1 min 30 s")
    (0.125, 2.0, 1.5, 90.0)
    """
    minutes, found, rest = text.strip().lower().partition("min")
    if not found:
        minutes, rest = "0", text.strip().lower()
    rest = re.sub(r"\s*(seconds|second|sec|s)$", "", rest.strip())
    return 60 * number("--open", minutes) + (number("--open", rest) if rest else 0.0)


def f_number(text: str) -> float:
    """An f-number with or without its f and slash.

    Examples
    --------
    >>> f_number("f/8"), f_number("5.6"), f_number("F11")
    (8.0, 5.6, 11.0)
    """
    return number("--f", re.sub(r"^\s*f\s*[/⁄]?", "", text.strip(), flags=re.IGNORECASE))


def pairs(option: str, given: Iterable[str], example: str) -> dict[str, str]:
    """Options of the form name=value.

    Examples
    --------
    >>> pairs("--dial", ["key=-1.2"], "key=-1.2")
    {'key': '-1.2'}
    """
    found: dict[str, str] = {}
    for text in given:
        name, equals, value = text.partition("=")
        name, value = name.strip(), value.strip()
        if not (equals and name and value):
            raise BadValue(option, text, f"write it like {example}")
        if name in found:
            raise BadValue(option, text, f"{name} was given before; give it once")
        found[name] = value
    return found


def made(
    *,
    dial: Iterable[str] = (),
    distance: Iterable[str] = (),
    front: Iterable[str] = (),
    off: Iterable[str] = (),
    on: Iterable[str] = (),
    f: str | None = None,
    pops: int | None = None,
    open_: str | None = None,
    lens_filter: str | None = None,
    pre_flash: str | None = None,
) -> Made:
    """What was set, as far as it was typed.

    Examples
    --------
    >>> said = made(dial=["key=-1.2"], distance=["key=3 ft"], f="f/8")
    >>> said.lights["key"].dial, round(said.lights["key"].distance_m, 4), said.f_number
    (-1.2, 0.9144, 8.0)
    """
    lights: dict[str, dict[str, Any]] = {}
    for role, text in pairs("--dial", dial, "key=-1.2").items():
        full = text.lower() == "full"
        lights.setdefault(role, {})["dial"] = None if full else number("--dial", text)
    for role, text in pairs("--distance", distance, "key=0.9m").items():
        lights.setdefault(role, {})["distance_m"] = parse_length_m(text, "m")
    for role, text in pairs("--front", front, "rim=strip,grid").items():
        ids = () if text.lower() == BARE else tuple(listed(text))
        lights.setdefault(role, {})["modifiers"] = ids
    for roles, is_on in ((off, False), (on, True)):
        for role in roles:
            if "on" in lights.get(role, {}):
                raise BadValue("--off and --on", role, "it is one or the other")
            lights.setdefault(role, {})["on"] = is_on
    said: dict[str, Any] = {
        "f_number": None if f is None else f_number(f),
        "pops": pops,
        "open_s": None if open_ is None else seconds(open_),
    }
    said = {name: value for name, value in said.items() if value is not None}
    for name, typed in (("filter", lens_filter), ("pre_flash_stops", pre_flash)):
        if typed is not None:
            said[name] = _or_none(name, typed)
    if lights:
        said["lights"] = {role: validated(LightSetting, s) for role, s in lights.items()}
    return validated(Made, said)


def _or_none(name: str, text: str) -> str | float | None:
    """A filter or a pre-flash as it was typed; ``none`` is that there is none."""
    if text.strip().lower() == NONE:
        return None
    return text.strip() if name == "filter" else number("--pre-flash", text)


def at_full(lights: Iterable[Light], kit: Kit, said: Made) -> Made:
    """What was set, with ``full`` as the figure each head's own dial shows for it.

    Parameters
    ----------
    lights : iterable of Light
        The lights of the sitting.
    kit : Kit
        Whose heads they are.
    said : Made
        What was typed, of lights that are there.

    Raises
    ------
    BadValue
        If it is said of a light without a dial.
    """
    top = full_dials(lights, kit)
    settings = dict(said.lights)
    for role, setting in said.lights.items():
        if "dial" not in setting.model_fields_set or setting.dial is not None:
            continue
        if role in top:
            settings[role] = setting.model_copy(update={"dial": top[role]})
        else:
            raise BadValue("--dial", f"{role}=full", "only a head has a dial; leave it out")
    return said.model_copy(update={"lights": settings}) if said.lights else said


def full_dials(lights: Iterable[Light], kit: Kit) -> dict[str, float]:
    """What the dial of each light that is a head shows at full.

    Examples
    --------
    >>> from stillroom.documents.kit import Kit
    >>> full_dials((), Kit())
    {}
    """
    dials = {head.id: head.dial for head in kit.heads}
    return {
        light.role: dials[light.kit_id].max
        for light in lights
        if light.kind == "head" and light.kit_id in dials
    }


def free_text(note: str | None, moved: Iterable[str], room: str | None = None) -> None:
    """Refuse a note or a line that a document has no room for, before anything is written.

    Examples
    --------
    >>> free_text("she laughed", ["curtain"])
    """
    least = {"number": 1, "settings": {"f_number": 8}}
    said = {"note": note or "", "what_else_moved": list(moved), "room_state": room or ""}
    validated(Sheet, {**least, **said})


def steps_pops(text: str) -> tuple[int, ...]:
    """Strips of a stepped sheet, as multiples of the first.

    Examples
    --------
    >>> steps_pops("1,2,4,8")
    (1, 2, 4, 8)
    """
    whole = [number("--steps", part) for part in listed(text)]
    found = validated(Settings, {"f_number": 8, "steps_pops": whole}).steps_pops
    assert found is not None  # noqa: S101 - it was given
    return found


def readings(
    paper: Paper,
    *,
    saw: Iterable[str] = (),
    density: Iterable[str] = (),
    strip: Iterable[str] = (),
    by: str | None = None,
    is_wet: bool | None = None,
) -> tuple[Reading, ...]:
    """What a sheet shows: one reading for each way it was read.

    Parameters
    ----------
    paper : Paper
        Whose comparison strip it is.
    saw, density, strip : iterable of str
        Region and word, density or step; a strip of a stepped sheet stands before the region.
    by : str, optional
        How a density was come by; a densitometer when left out.
    is_wet : bool, optional
        Left out: wet by eye, dry by a densitometer or scan.

    Examples
    --------
    >>> (one,) = readings(Paper(id="x", ei=6), saw=["key=too-dark"], density=[])
    >>> one.by, one.state, one.regions["key"].verdict
    ('words', 'wet', 'too_dark')
    """
    ways = [way for way in get_args(ReadBy) if way != "early_look"]
    if by is not None and by not in ways:
        raise BadValue("--by", by, f"choose {', '.join(ways)}; an early look is told by --early")
    words = {k: _word(v) for k, v in pairs("--saw", saw, "key=too_dark").items()}
    numbers = {k: _density(v) for k, v in pairs("--density", density, "key=0.61").items()}
    steps = {k: _steps(v, paper, k) for k, v in pairs("--strip", strip, "key=5-6").items()}
    read = [("words", words), (_numbers_by(by), numbers), ("strip", steps)]
    said = [way for way, found in read if found]
    if by is not None and by not in said:
        raise BadValue("--by", by, f"what was typed is read by {' and '.join(said) or 'nothing'}")
    return tuple(_reading(way, found, is_wet=is_wet) for way, found in read if found)


def _numbers_by(by: str | None) -> str:
    return by if by == "scan" else "densitometer"


def _reading(way: str, found: Mapping[str, RegionReading], *, is_wet: bool | None) -> Reading:
    state: State = "dry" if way in _DRY_WAYS else "wet"
    if is_wet is not None:
        state = "wet" if is_wet else "dry"
    regions = {k: v for k, v in found.items() if ":" not in k}
    strips: dict[str, dict[str, RegionReading]] = {}
    for name, value in found.items():
        step, colon, region = name.partition(":")
        if colon:
            strips.setdefault(step, {})[region] = value
    return validated(
        Reading,
        {
            "state": state,
            "by": way,
            "regions": regions,
            "strips": [StripReading(step=_whole(k), regions=v) for k, v in strips.items()],
        },
    )


def _whole(text: str) -> int:
    if not text.isdecimal() or int(text) < 1:
        raise BadValue("strip", text, "before the colon stands its multiple, such as 2:key=0.61")
    return int(text)


def _word(text: str) -> RegionReading:
    word = text.lower().replace("-", "_").replace(" ", "_")
    words = get_args(Verdict)
    if word not in words:
        raise BadValue("--saw", text, f"choose {', '.join(words)}")
    return validated(RegionReading, {"verdict": word})


def _density(text: str) -> RegionReading:
    return validated(RegionReading, {"density": number("--density", text)})


def _steps(text: str, paper: Paper, region: str) -> RegionReading:
    unsure = text.endswith("?")
    taps = [tap.strip() for tap in text.removesuffix("?").split("-")]
    read = by_steps(taps, paper, region.rpartition(":")[2])
    if not unsure or read.density_sd is None:
        return read
    return read.model_copy(update={"density_sd": round(min(1.0, UNSURE * read.density_sd), 3)})


def reasons(text: str) -> tuple[Reason, ...]:
    """Why a sheet is not kept.

    Examples
    --------
    >>> reasons("face, tones")
    ('tones', 'face')
    """
    known: tuple[Reason, ...] = get_args(Reason)
    given = list(listed(text))
    for reason in given:
        if reason not in known:
            raise BadValue("--not-kept", reason, f"choose from {', '.join(known)}")
    return tuple(reason for reason in known if reason in given)


def metered(
    text: str, lights: Iterable[Light], kit: Kit, *, lit: str | None, meter: str | None
) -> MeterReading:
    """What a meter showed at a region.

    Parameters
    ----------
    text : str
        Region and what it showed: an f-number at an ISO, lux, or EV at ISO 100.
    lights : iterable of Light
        The lights of the sitting.
    kit : Kit
        Whose meter it is.
    lit : str, optional
        Which lights were on; left out: the one that serves the region.
    meter : str, optional
        Which meter; left out: the only one.
    """
    ((region, shown),) = pairs("--meter", [text], "key=f/22@25").items()
    roles = [light.role for light in lights]
    serving = {"shadow": "fill", "bg": "ground"}.get(region, region)
    if lit is not None:
        on = tuple(listed(lit))
    elif serving in roles:
        on = (serving,)
    else:
        raise BadValue("--meter", text, "say with --lit which lights were on, such as key,fill")
    meters = [m for m in kit.meters if not m.retired]
    if meter is None and len(meters) == 1:
        meter = meters[0].id
    data = {"region": region, "lights_on": on, "meter": meter, "shows": _shows(shown)}
    return validated(MeterReading, data)


def _shows(text: str) -> Shows:
    ways: tuple[tuple[re.Pattern[str], Callable[..., dict[str, float]]], ...] = (
        (_SHOWS_F, lambda f, iso: {"f_number": f, "iso": iso}),
        (_SHOWS_LX, lambda lx: {"lx": lx}),
        (_SHOWS_EV, lambda ev: {"ev100": ev}),
    )
    for pattern, fields in ways:
        if match := pattern.fullmatch(text.strip()):
            values = [number("--meter", part) for part in match.groups()]
            return validated(Shows, fields(*values))
    raise BadValue(
        "--meter", text, "write what it showed: f/22@25 (f-number at ISO), 640lx or ev9"
    )


def listed(text: str) -> Iterable[str]:
    """Parts between commas.

    Examples
    --------
    >>> list(listed("strip, grid"))
    ['strip', 'grid']
    """
    return (part.strip() for part in text.split(",") if part.strip())
