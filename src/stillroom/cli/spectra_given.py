"""What is named on the command line of ``spectrum``, or lies in a file: made into spectra."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from stillroom.errors import BadDocument, UnknownName
from stillroom.quantity.spectra import (
    Light,
    PaperResponse,
    Scale,
    Spectrum,
    gel,
    glass,
    lens,
    lens_filter,
    light_named,
    measured_response,
    response_named,
    spectrum_from_csv,
)
from stillroom.sitter import surface

FILES = (".csv", ".tsv", ".txt")
"""Endings by which a file is told from a name."""
LARGEST_BYTES = 2_000_000


def light_given(text: str, gels: Iterable[str], glasses: Iterable[str], scale: Scale) -> Light:
    """The light at the meter: a name or a file, behind gels and window glass.

    Parameters
    ----------
    text : str
        A name, a colour temperature or a file.
    gels, glasses : iterable of str
        Names or files.
    scale : {"share", "percent"}
        What files of gels and glasses hold.

    Examples
    --------
    >>> light_given("tungsten", ["blue"], ["float"], "share").name
    'tungsten, blue gel, float'
    """
    own = _from_file(text, "power")
    light = light_named(text) if own is None else Light(own, "measured")
    behind = [_passing(name, gel, scale) for name in gels]
    behind += [_passing(name, glass, scale) for name in glasses]
    return light.through(*behind)


def paper_given(text: str) -> PaperResponse:
    """The response of a paper: a name or a file.

    Examples
    --------
    >>> paper_given("graded").name
    'graded'
    """
    own = _from_file(text, "power")
    return response_named(text) if own is None else measured_response(own)


def lens_given(text: str | None, scale: Scale) -> tuple[Spectrum, ...]:
    """The lens: a name, a colour code or a file; nothing where none is given.

    Examples
    --------
    >>> [one.name for one in lens_given("old330", "share")], lens_given(None, "share")
    (['old330'], ())
    """
    return () if text is None else (_passing(text, lens, scale),)


def filters_given(texts: Iterable[str], scale: Scale) -> tuple[Spectrum, ...]:
    """Filters on the lens: names or files.

    Examples
    --------
    >>> [one.name for one in filters_given(["yellow"], "share")]
    ['yellow filter']
    """
    return tuple(_passing(text, lens_filter, scale) for text in texts)


def surfaces_given(texts: Iterable[str], scale: Scale) -> tuple[Spectrum, ...]:
    """Surfaces: names or files, whose first and last figures are held beyond their ends.

    Examples
    --------
    >>> [one.name for one in surfaces_given(["denim"], "share")]
    ['denim']
    """
    return tuple(_passing(text, surface, scale).held() for text in texts)


def _passing(text: str, named: Callable[[str], Spectrum], scale: Scale) -> Spectrum:
    own = _from_file(text, scale)
    if own is not None:
        return own
    try:
        return named(text)
    except UnknownName as error:
        raise UnknownName(error.kind, text, (*error.known, "a .csv file")) from None


def _from_file(text: str, scale: Scale) -> Spectrum | None:
    """A spectrum out of a file; None where it is no file's name."""
    path = Path(text)
    if path.suffix.lower() not in FILES:
        return None
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise BadDocument(
                f"{text} has {size / 1e6:.1f} MB: at most {LARGEST_BYTES / 1e6:g} MB can be read; "
                "give fewer wavelengths."
            )
        raw = path.read_bytes()
    except OSError as error:
        raise BadDocument(f"{text} cannot be read: {error.strerror or error}.") from None
    if b"\x00" in raw:
        raise BadDocument(f"{text} is no plain text: save it as CSV in UTF-8.")
    return spectrum_from_csv(raw.decode("utf-8", errors="replace"), path.name, scale)
