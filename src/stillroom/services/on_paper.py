"""What a paper makes of lips, denim, freckles and glasses, against the skin beside them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from stillroom.documents import book as doc
from stillroom.documents.to_domain import batch_of, lens_of, named
from stillroom.light import light_of_kind
from stillroom.quantity import stops_text, stops_words
from stillroom.quantity.spectra import Spectrum
from stillroom.services.filters import main_kind
from stillroom.sitter import (
    actinic_reflectance,
    behind,
    photopic_reflectance,
    spectacles,
    surface,
)

_SKINS = {
    "light": "fair-skin",
    "medium": "south-asian-skin",
    "dark": "dark-skin",
    "unknown": "skin",
}
_FAIR = "fair-skin"
_LIPS_OF = ("light", "unknown")
"""The invented lips are those of a fair face; of others nothing is known."""


@dataclass(frozen=True, slots=True)
class OnPaper:
    """How one thing comes out beside the skin.

    Parameters
    ----------
    name : str
        What it is, such as ``Denim``.
    paper_stops, eye_stops : float
        Against the skin beside it, to the paper and to the eye; minus is darker [stops].
    sentence : str
        Both in words.
    """

    name: str
    paper_stops: float
    eye_stops: float
    sentence: str


def on_paper(book: doc.Book, sitting: doc.Sitting, skin: str = "unknown") -> tuple[OnPaper, ...]:
    """What the paper of a sitting makes of what sitters wear and have, in its main light.

    Parameters
    ----------
    book, sitting : Book, Sitting
        Whose paper, lens and main light count.
    skin : {"light", "medium", "dark", "unknown"}
        The skin it is compared with; unknown is taken for the middle of European skins.

    Returns
    -------
    tuple of OnPaper
        Lips (of a fair face only), denim, white cloth, freckles, glasses.

    Raises
    ------
    UnknownName
        If the book has no such paper, lens or lamp.

    Notes
    -----
    Skins are published tables; lips, cloth, glasses and how dark a freckle is are invented.
    """
    response = batch_of(named("paper", sitting.paper, book.papers)).sees
    through = (lens_of(named("lens", sitting.lens, book.kit.lenses)).passes,)
    light = light_of_kind(main_kind(book.kit, sitting.lights)).at_meter

    def against(seen: Spectrum, beside: Spectrum) -> tuple[float, float]:
        paper, eye = (
            [actinic_reflectance(one, light, response, through) for one in (seen, beside)],
            [photopic_reflectance(one, light) for one in (seen, beside)],
        )
        return math.log2(paper[0] / paper[1]), math.log2(eye[0] / eye[1])

    face = surface(_SKINS[skin])
    things = [
        *([("Lips", surface("lips"), face)] if skin in _LIPS_OF else []),
        ("Denim", surface("denim"), face),
        ("White cloth", surface("white-cloth"), face),
        ("Freckles", surface("freckle"), surface(_FAIR)),
        ("Skin behind clear glasses", behind(face, spectacles("clear")), face),
        ("Behind glasses that filter blue", behind(face, spectacles("blue-filter")), face),
    ]
    found = []
    for name, seen, beside in things:
        paper, eye = against(seen, beside)
        found.append(OnPaper(name, paper, eye, _sentence(name, paper, eye)))
    return tuple(found)


def _sentence(name: str, paper: float, eye: float) -> str:
    if stops_text(paper) == stops_text(eye):
        return f"{name}: {_way(paper)} the skin, to this paper as to the eye."
    return f"{name}: {_way(paper)} the skin to this paper, to the eye {_way(eye, short=True)}."


def _way(stops: float, *, short: bool = False) -> str:
    if stops_text(stops) == "0":
        return "as light" if short else "as light as"
    word = "darker" if stops < 0 else "lighter"
    return f"{stops_words(stops)} {word}" + ("" if short else " than")
