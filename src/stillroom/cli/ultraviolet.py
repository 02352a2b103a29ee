"""The command about a lamp's ultraviolet: how long somebody may sit in it, by published limits."""

from __future__ import annotations

import json
import math
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from stillroom.cli.given import JsonOption
from stillroom.cli.writing import WIDTH

if TYPE_CHECKING:
    from stillroom.light import UltravioletCheck
    from stillroom.quantity import FloatArray
    from stillroom.quantity.spectra import Spectrum

Weights = Literal["table", "analytic"]
LABEL = 26
_FIGURES = ("actinic_w_m2", "uva_w_m2", "actinic_s", "uva_s", "uva_by_irradiance_s")
COMPLETE_FROM_NM = 300.0
"""A table that begins above this lacks what counts most."""


@dataclass(frozen=True, slots=True)
class _Source:
    """What is known of the lamp where it was measured: a spectrum with its lux, or a band."""

    name: str
    nm: FloatArray
    power_w_m2: FloatArray
    spectrum: Spectrum | None = None
    lux: float = 0.0


def ultraviolet(
    light: Annotated[
        str | None,
        typer.Argument(
            metavar="LIGHT",
            help="A name as `stillroom spectrum` has it, or a file: nm and power; with --lux.",
            show_default=False,
        ),
    ] = None,
    *,
    lux: Annotated[
        str | None,
        typer.Option("--lux", metavar="LX", help="What a lux meter shows.", show_default=False),
    ] = None,
    bare: Annotated[
        str | None,
        typer.Option(
            "--bare",
            metavar="KELVIN",
            help="Instead of a light: a hot wire behind no glass; with --lux.",
            show_default=False,
        ),
    ] = None,
    irradiance: Annotated[
        str | None,
        typer.Option(
            "--irradiance",
            metavar="W/M2",
            help="Instead of lux: what a meter for ultraviolet shows; with --peak.",
            show_default=False,
        ),
    ] = None,
    peak: Annotated[
        str | None,
        typer.Option(
            "--peak", metavar="NM", help="Where the lamp's band peaks.", show_default=False
        ),
    ] = None,
    width: Annotated[
        str, typer.Option("--width", metavar="NM", help="How wide the band is at half its peak.")
    ] = "12",
    measured_at: Annotated[
        str, typer.Option("--measured-at", metavar="M", help="How far off that was measured.")
    ] = "1",
    at: Annotated[
        str | None,
        typer.Option(
            "--at",
            metavar="M",
            help="How far off somebody sits; left out: where it was measured.",
            show_default=False,
        ),
    ] = None,
    face: Annotated[
        str | None,
        typer.Option(
            "--face",
            metavar="M",
            help="Diameter of what shines: says how long one may look into its blue light.",
            show_default=False,
        ),
    ] = None,
    minutes: Annotated[
        str | None,
        typer.Option(
            "--minutes", metavar="MIN", help="How long it is to be on.", show_default=False
        ),
    ] = None,
    weights: Annotated[
        Weights, typer.Option("--weights", help="The guidelines' table, or the formula fitted.")
    ] = "table",
    as_json: JsonOption = False,
) -> None:
    """Say how long in a day somebody may sit in a steady lamp's ultraviolet.

    A check by published limits, not a clearance: risk group, maker and local rules go first.
    """
    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.errors import in_range  # noqa: PLC0415
    from stillroom.light import ultraviolet_check  # noqa: PLC0415

    source = _source(light, lux, bare, irradiance=irradiance, peak=peak, width=width)
    known_m = in_range("--measured-at", number("--measured-at", measured_at), 0.05, 100, "m")
    there_m = known_m if at is None else in_range("--at", number("--at", at), 0.05, 100, "m")
    falls = (known_m / there_m) ** 2
    check = ultraviolet_check(source.nm, source.power_w_m2 * falls, weights)
    told = _told(source, check, weights) | {"at_m": there_m}
    if minutes is not None:
        planned = in_range("--minutes", number("--minutes", minutes), 0, 1440, "min")
        told |= _planned(check, planned)
    if not told["is_known"]:
        told |= dict.fromkeys((*_FIGURES, *({"share_of_day"} & set(told))))
    if face is not None:
        told["blue_light"] = _blue(source, known_m, there_m, face)
    if as_json:
        typer.echo(json.dumps(_finite(told), ensure_ascii=False, indent=1).encode())
        return
    for line in _lines(told, check):
        typer.echo(line)


def _source(
    light: str | None,
    lux: str | None,
    bare: str | None,
    *,
    irradiance: str | None,
    peak: str | None,
    width: str,
) -> _Source:
    from stillroom.cli.spectra_given import light_given  # noqa: PLC0415
    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.errors import BadValue  # noqa: PLC0415
    from stillroom.light import bare_radiator, narrow_band, ultraviolet_of  # noqa: PLC0415

    ways = [w for w in (light, bare, irradiance) if w is not None]
    if len(ways) != 1:
        raise BadValue(
            "what is asked",
            ", ".join(ways) or "nothing",
            "give one of a light with --lux, --bare with --lux, and --irradiance with --peak",
        )
    if irradiance is not None:
        if peak is None or lux is not None:
            raise BadValue("--irradiance", irradiance, "--peak goes with it, and no --lux")
        nm = number("--peak", peak)
        band = narrow_band(nm, number("--irradiance", irradiance), number("--width", width))
        return _Source(f"a band at {nm:g} nm", *band)
    if lux is None or peak is not None:
        raise BadValue("light", ways[0], "--lux goes with it, and no --peak")
    spectrum = (
        bare_radiator(number("--bare", bare))
        if bare is not None
        else light_given(light or "", (), (), "share").at_meter
    )
    shown = number("--lux", lux)
    return _Source(spectrum.name, *ultraviolet_of(spectrum, shown), spectrum, shown)


# ---- what is told ----------------------------------------------------------------------------


def _told(source: _Source, check: UltravioletCheck, weights: Weights) -> dict[str, Any]:
    from stillroom.services.ultraviolet import NOT_A_CLEARANCE  # noqa: PLC0415
    from stillroom.telling.ultraviolet_told import TWO_RULES  # noqa: PLC0415

    notes = [TWO_RULES]
    first = 0.0 if source.spectrum is None else float(source.spectrum.wavelength_nm[0])
    if first > COMPLETE_FROM_NM:
        missing = f"Nothing is known of this light below {first:g} nm, where ultraviolet counts"
        notes = [f"{missing} most: measure it. Its maker's risk group says more than this."]
    elif first == COMPLETE_FROM_NM:
        notes.insert(0, "Nothing is counted below 300 nm; a hot wire behind no glass: --bare.")
    return {
        "light": source.name,
        "weights": weights,
        "is_known": first <= COMPLETE_FROM_NM,
        "actinic_w_m2": check.actinic_w_m2,
        "uva_w_m2": check.uva_w_m2,
        "actinic_s": check.actinic_s,
        "uva_s": check.uva_s,
        "uva_by_irradiance_s": check.uva_by_irradiance_s,
        "notes": notes,
        "check_not_clearance": NOT_A_CLEARANCE,
    }


def _planned(check: UltravioletCheck, minutes: float) -> dict[str, float]:
    from stillroom.telling.ultraviolet_told import share_of_day  # noqa: PLC0415

    return {"minutes": minutes, "share_of_day": share_of_day(check, minutes)}


def _blue(source: _Source, known_m: float, there_m: float, face: str) -> dict[str, Any]:
    from stillroom.cli.typed import number  # noqa: PLC0415
    from stillroom.errors import BadValue, in_range  # noqa: PLC0415
    from stillroom.light import (  # noqa: PLC0415
        SMALL_SOURCE_RAD,
        blue_light_radiance_w_m2_sr,
        longest_blue_light_s,
        longest_small_source_s,
    )

    if source.spectrum is None:
        raise BadValue("--face", face, "blue light needs a light with --lux")
    size_m = in_range("--face", number("--face", face), 0.001, 5, "m")
    if size_m / there_m < SMALL_SOURCE_RAD:
        e_b = blue_light_radiance_w_m2_sr(source.spectrum, source.lux * (known_m / there_m) ** 2)
        return {
            "irradiance_w_m2": e_b,
            "longest_s": longest_small_source_s(e_b),
            "by_standard_s": longest_small_source_s(e_b, "standard"),
        }
    luminance = source.lux * known_m**2 / (math.pi * size_m**2 / 4)
    radiance = blue_light_radiance_w_m2_sr(source.spectrum, luminance)
    return {"radiance_w_m2_sr": radiance, "longest_s": longest_blue_light_s(radiance)}


def _finite(told: Any) -> Any:
    """The same with null where there is no end, for JSON has no infinity."""
    if isinstance(told, dict):
        return {name: _finite(value) for name, value in told.items()}
    return None if isinstance(told, float) and not math.isfinite(told) else told


# ---- what is printed -------------------------------------------------------------------------


def _lines(told: dict[str, Any], check: UltravioletCheck) -> Iterator[str]:
    from stillroom.cli.failures import plain  # noqa: PLC0415
    from stillroom.telling.ultraviolet_told import until  # noqa: PLC0415
    from stillroom.telling.words import figure  # noqa: PLC0415

    yield from _wrapped(plain(f"{told['light']}, {told['at_m']:g} m off: how long in a day"))
    yield ""
    if told["is_known"]:
        weighted, uva = told["actinic_w_m2"], told["uva_w_m2"]
        yield _row("Skin and eye, weighted", f"{until(check.actinic_s)}; {weighted:.2g} W/m²")
        yield _row("Eye, 315 to 400 nm", f"{until(check.uva_s)}; {uva:.2g} W/m²")
        yield _row("  by the other rule", until(check.uva_by_irradiance_s))
    else:
        yield _row("Skin and eye", "not known")
    if "minutes" in told and told["is_known"]:
        share = told["share_of_day"]
        said = "beyond a day's limit" if share > 1 else f"{share:.2g} of a day's limit"
        yield _row(f"{figure(told['minutes'])} min", said)
    if "blue_light" in told:
        yield from _blue_lines(told["blue_light"])
    yield ""
    for note in (*told["notes"], told["check_not_clearance"]):
        yield from _wrapped(plain(note))


def _blue_lines(blue: dict[str, Any]) -> Iterator[str]:
    from stillroom.telling.ultraviolet_told import until  # noqa: PLC0415

    if "radiance_w_m2_sr" in blue:
        amount = f"{blue['radiance_w_m2_sr']:.2g} W/(m² sr)"
        yield _row("Blue light, looking in", f"{until(blue['longest_s'])}; {amount}")
        return
    amount = f"{blue['irradiance_w_m2']:.2g} W/m²"
    yield _row("Blue light, from a point", f"{until(blue['longest_s'])}; {amount}")
    yield _row("  by the other rule", until(blue["by_standard_s"]))


def _row(label: str, text: str) -> str:
    return f"  {label:<{LABEL}}{text}".rstrip()


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, break_on_hyphens=False)
