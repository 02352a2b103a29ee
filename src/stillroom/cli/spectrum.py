"""The command about the colour of light: what a meter shows and what the paper gets."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

import typer

from stillroom.cli.given import JsonOption
from stillroom.cli.knobs import FNumber, Open
from stillroom.cli.writing import WIDTH, Many

if TYPE_CHECKING:
    from stillroom.quantity import Stops
    from stillroom.quantity.spectra import Light, PaperResponse, Scale, Spectrum

SHOWN = ("skin", "dark-skin", "lips", "denim", "white-cloth")
"""Surfaces that are shown when none is named."""
LABEL = 18
COVERED_TO_NM = 370.0
"""A table that begins above this lacks ultraviolet that most lenses pass."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """Light, paper and what stands between them; what was metered."""

    light: Light
    paper: PaperResponse
    lens: tuple[Spectrum, ...]
    filters: tuple[Spectrum, ...]
    surfaces: tuple[Spectrum, ...]
    lux: float

    @property
    def through(self) -> tuple[Spectrum, ...]:
        """All that stands between the meter and the paper."""
        return (*self.lens, *self.filters)


@dataclass(frozen=True, slots=True)
class _Known:
    """An EI and the light it is known under; what is to be set on the lens and the clock."""

    ei: float
    under: Light
    f_number: float | None
    open_s: float | None


def spectrum(
    light: Annotated[
        str | None,
        typer.Argument(
            metavar="LIGHT",
            help="A name, a colour temperature such as 5500K, or a file: nm and power; left out: "
            "all that can be named.",
            show_default=False,
        ),
    ] = None,
    *,
    paper: Annotated[
        str,
        typer.Option(
            "--paper",
            metavar="NAME",
            help="graded, variable_contrast, or a file: nm and response per unit energy.",
        ),
    ] = "graded",
    gel: Annotated[
        Many, typer.Option("--gel", metavar="NAME", help="On the lamp, before the meter.")
    ] = None,
    glass: Annotated[
        Many, typer.Option("--glass", metavar="NAME", help="A window, before the meter.")
    ] = None,
    lens: Annotated[
        str | None,
        typer.Option(
            "--lens", metavar="NAME", help="The lens, behind the meter.", show_default=False
        ),
    ] = None,
    filter_: Annotated[
        Many, typer.Option("--filter", metavar="NAME", help="On the lens, behind the meter.")
    ] = None,
    surface: Annotated[
        Many,
        typer.Option(
            "--surface", metavar="NAME", help="How it comes out; left out: skin, lips, cloth."
        ),
    ] = None,
    lux: Annotated[
        str, typer.Option("--lux", metavar="LX", help="What a lux meter shows.")
    ] = "1000",
    ei: Annotated[
        str | None,
        typer.Option(
            "--ei",
            metavar="EI",
            help="The paper's EI as it is known, through the same lens.",
            show_default=False,
        ),
    ] = None,
    ei_under: Annotated[
        str, typer.Option("--ei-under", metavar="LIGHT", help="The light it is known under.")
    ] = "D55",
    f: FNumber = None,
    open_: Open = None,
    percent: Annotated[
        bool,
        typer.Option("--percent", help="What passes or reflects in files runs to 100, not to 1."),
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Say what a paper gets from a light, what a meter shows, and what EI to set on it.

    Gel, glass, lens, filter and surface may be files too: two columns, nm and what passes or
    reflects. With --ei, --f and --open it says what the meter should show.
    """
    if light is None:
        _print_names(as_json=as_json)
        return
    from stillroom.cli.spectra_given import (  # noqa: PLC0415
        filters_given,
        lens_given,
        light_given,
        paper_given,
        surfaces_given,
    )
    from stillroom.cli.typed import number  # noqa: PLC0415

    known = _known(ei, ei_under, f, open_)
    scale: Scale = "percent" if percent else "share"
    asked = _Asked(
        light_given(light, gel or (), glass or (), scale),
        paper_given(paper),
        lens_given(lens, scale),
        filters_given(filter_ or (), scale),
        surfaces_given(surface or SHOWN, scale),
        number("--lux", lux),
    )
    told = _told(asked, known)
    if as_json:
        typer.echo(json.dumps(told, ensure_ascii=False, indent=1).encode())
        return
    for line in _lines(told):
        typer.echo(line)


def _known(ei: str | None, ei_under: str, f: str | None, open_: str | None) -> _Known | None:
    from stillroom.cli.spectra_given import light_given  # noqa: PLC0415
    from stillroom.cli.typed import f_number, number, seconds  # noqa: PLC0415
    from stillroom.errors import BadValue  # noqa: PLC0415

    for option, given in (("--f", f), ("--open", open_)):
        if given is not None and (ei is None or f is None or open_ is None):
            raise BadValue(option, given, "--ei, --f and --open go together; give all three")
    if ei is None:
        return None
    return _Known(
        number("--ei", ei),
        light_given(ei_under, (), (), "share"),
        None if f is None else f_number(f),
        None if open_ is None else seconds(open_),
    )


# ---- what is told ----------------------------------------------------------------------------


def _told(asked: _Asked, known: _Known | None) -> dict[str, Any]:
    from stillroom.quantity.spectra import actinic_from_lux, shift_with_spread  # noqa: PLC0415

    shift = shift_with_spread(asked.light, asked.paper, asked.through)
    told: dict[str, Any] = {
        "light": asked.light.name,
        "kind": asked.light.kind,
        "paper": asked.paper.name,
        "through": [one.name for one in asked.through],
        "lux": asked.lux,
        "actinic_lux": actinic_from_lux(asked.lux, shift.value),
        "shift": _stops(shift),
    }
    if known is not None:
        told["ei"] = _ei(asked, known)
    return told | {
        "surfaces": [_rendered(asked, one) for one in asked.surfaces],
        "sources": _sources(asked),
        "cautions": _cautions(asked),
    }


def _ei(asked: _Asked, known: _Known) -> dict[str, Any]:
    from stillroom.light import ev100_from_lux, illuminance_from_meter_lx  # noqa: PLC0415
    from stillroom.quantity import NINE_IN_TEN, ratio_of_stops  # noqa: PLC0415
    from stillroom.quantity.spectra import ei_for_light, shift_between  # noqa: PLC0415

    shift = shift_between(asked.light, known.under, asked.paper, asked.through, asked.lens)
    ei = ei_for_light(
        known.ei,
        asked.light,
        asked.paper,
        asked.through,
        known_under=known.under,
        known_through=asked.lens,
    )
    either_way = ratio_of_stops(NINE_IN_TEN * shift.u)
    told: dict[str, Any] = {
        "known": known.ei,
        "known_under": known.under.name,
        "set": ei,
        "nine_in_ten": [ei / either_way, ei * either_way],
        "shift": _stops(shift),
    }
    if known.f_number is not None and known.open_s is not None:
        lux = illuminance_from_meter_lx(known.f_number, ei, known.open_s)
        told["meter_should_show"] = {
            "f_number": known.f_number,
            "open_s": known.open_s,
            "lux": lux,
            "ev100": ev100_from_lux(lux),
        }
    return told


def _rendered(asked: _Asked, one: Spectrum) -> dict[str, Any]:
    from stillroom.sitter import (  # noqa: PLC0415
        actinic_reflectance,
        photopic_reflectance,
        rendered_stops,
    )

    light = asked.light.at_meter
    return {
        "surface": one.name,
        "photopic_reflectance": photopic_reflectance(one, light),
        "actinic_reflectance": actinic_reflectance(one, light, asked.paper, asked.through),
        "rendered_stops": rendered_stops(one, light, asked.paper, asked.through),
        "source": one.source,
    }


def _stops(stops: Stops) -> dict[str, float]:
    return {"value_stops": stops.value, "sd_stops": stops.u}


def _sources(asked: _Asked) -> dict[str, str]:
    every = (asked.light.spectrum, *asked.light.behind, asked.paper.spectrum, *asked.through)
    return {one.name: one.source for one in every}


def _cautions(asked: _Asked) -> list[str]:
    said = []
    first = float(asked.light.spectrum.wavelength_nm[0])
    if first > COVERED_TO_NM:
        tube = "; a tenth of a stop is counted for a tube's line at 365 nm, if it gets through"
        said.append(
            f"Nothing is known of this light below {first:g} nm"
            f"{tube if asked.light.kind == 'tube' else ''}."
        )
    seen = asked.paper.spectrum.wavelength_nm
    for one in (*asked.light.behind, *asked.through):
        low, high = one.wavelength_nm[0], one.wavelength_nm[-1]
        if low > max(COVERED_TO_NM, seen[0]) or high < seen[-1]:
            said.append(f"{one.name} counts as passing nothing beyond {low:g} to {high:g} nm.")
    return said


# ---- what is printed -------------------------------------------------------------------------


def _lines(told: dict[str, Any]) -> Iterator[str]:
    from stillroom.cli.failures import plain  # noqa: PLC0415
    from stillroom.quantity import stops_decimal_text  # noqa: PLC0415
    from stillroom.telling.words import range_of_sd  # noqa: PLC0415

    through = f", through {', '.join(told['through'])}" if told["through"] else ""
    yield from _wrapped(plain(f"{told['light']} on {told['paper']} paper{through}"))
    yield ""
    shift = told["shift"]
    size = stops_decimal_text(shift["value_stops"], 1)
    way = {"0": "as much as", "+": "more than"}.get(size[0], "less than")
    yield _row("A meter shows", _lux(told["lux"]))
    yield _row("The paper gets", f"{_lux(told['actinic_lux'])}, actinic")
    span = range_of_sd(shift["sd_stops"])
    yield _row("Shift", f"{size} {span} stops: {way} the meter says, D55 being even")
    if "ei" in told:
        yield from _ei_lines(told["ei"])
    yield ""
    yield "How it comes out against what the eye sees, in stops; minus is darker"
    for one in told["surfaces"]:
        yield _row(plain(one["surface"]), stops_decimal_text(one["rendered_stops"], 1))
    yield ""
    for said in told["cautions"]:
        yield from _wrapped(plain(said))
    invented = [name for name, source in told["sources"].items() if _is_guess(source)]
    invented += [one["surface"] for one in told["surfaces"] if _is_guess(one["source"])]
    if invented:
        yield from _wrapped(plain(f"Invented or from memory: {', '.join(invented)}."))
    yield from _wrapped("Ranges are nine in ten.")


def _ei_lines(ei: dict[str, Any]) -> Iterator[str]:
    from stillroom.cli.failures import plain  # noqa: PLC0415
    from stillroom.telling.words import figure, seconds  # noqa: PLC0415

    low, high = ei["nine_in_ten"]
    span = f", {figure(low, 2)} to {figure(high, 2)}" if high > low else ""
    yield _row(
        "EI to set",
        plain(
            f"{figure(ei['set'], 2)}{span}; known as {figure(ei['known'])} under "
            f"{ei['known_under']}"
        ),
    )
    if "meter_should_show" in ei:
        shows = ei["meter_should_show"]
        yield _row(
            "It should show",
            f"{_lux(shows['lux'])}, EV {shows['ev100']:.1f} at ISO 100, for "
            f"f/{figure(shows['f_number'])} and {seconds(shows['open_s'])}",
        )


def _lux(lux: float) -> str:
    """Three digits: more would not be true."""
    from stillroom.telling.words import figure  # noqa: PLC0415

    return f"{figure(float(f'{lux:.3g}'))} lx"


def _is_guess(source: str) -> bool:
    return any(word in source for word in ("invented", "demo data", "memory", "no source"))


def _row(label: str, text: str) -> str:
    return f"  {label:<{LABEL}}{text}".rstrip()


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, break_on_hyphens=False)


def _print_names(*, as_json: bool) -> None:
    from stillroom.quantity.spectra import (  # noqa: PLC0415
        FILTERS,
        GELS,
        GLASSES,
        LENSES,
        LIGHT_NAMES,
        RESPONSES,
    )
    from stillroom.sitter import SURFACES  # noqa: PLC0415

    names = {
        "light": LIGHT_NAMES,
        "paper": tuple(RESPONSES),
        "gel": GELS,
        "glass": tuple(GLASSES),
        "lens": tuple(LENSES),
        "filter": FILTERS,
        "surface": SURFACES,
    }
    if as_json:
        typer.echo(json.dumps(names, ensure_ascii=False, indent=1).encode())
        return
    for kind, known in names.items():
        text = f"{kind:<9}{', '.join(known)}"
        indent = " " * 9
        typer.echo(
            "\n".join(textwrap.wrap(text, WIDTH, subsequent_indent=indent, break_on_hyphens=False))
        )
    typer.echo("         A light may be a colour temperature, any of them a file of two columns.")
