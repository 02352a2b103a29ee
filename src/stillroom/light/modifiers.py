"""What stands between lamp and sitter, and how much light it costs.

A loss is the fall of the far-field intensity on the axis, against the same head in its own plain
reflector. A loss metered at a distance holds a share of near field, which is taken out here, so
that distance and size are counted once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from stillroom.errors import BadValue, UnknownName, in_range
from stillroom.light.limits import DISTANCE_RANGE_M, FACE_RANGE_M
from stillroom.light.near_field import near_field_stops
from stillroom.quantity import Stops

if TYPE_CHECKING:
    from collections.abc import Sequence

ROUND_KINDS = frozenset({"octa", "umbrella", "shoot_through_umbrella", "dish"})
"""Kinds whose face counts as a disk."""


@dataclass(frozen=True, slots=True)
class Modifier:
    """One modifier as it hangs there, with all its layers.

    Parameters
    ----------
    id, kind : str
        Name, and kind: one of `MODIFIER_PRIORS` or the user's own word.
    width_m, height_m : float, optional
        Face it shines from [m], 0.005 to 20; None for one without a face of its own (a grid, a
        gel). A round face needs its width only.
    layers : int
        Diffuser layers it carries [1], 0 to 10; a note, the loss is that of the whole.
    loss_stops : float
        Loss [stops], -5 to 15; negative for a reflector that gathers.
    loss_sd_stops : float
        Standard uncertainty of the loss [stops], 0 to 5.
    measured_at_m : float, optional
        Distance from the face at which the loss was metered [m]; None where it is already the
        far-field loss.

    Raises
    ------
    OutOfRange
        If a number lies outside its range.
    BadValue
        If there is a height without a width, or a distance of measurement without a face.

    Examples
    --------
    >>> octa = Modifier("octa_90", "octa", 0.9, 0.9, 2, 2.4, 0.3, measured_at_m=1.2)
    >>> round(far_field_loss_stops(octa), 2)
    2.21
    """

    id: str
    kind: str
    width_m: float | None = None
    height_m: float | None = None
    layers: int = 0
    loss_stops: float = 0.0
    loss_sd_stops: float = 0.0
    measured_at_m: float | None = None

    def __post_init__(self) -> None:
        for name, side in (("width", self.width_m), ("height", self.height_m)):
            if side is not None:
                in_range(f"{name} of {self.id}", side, *FACE_RANGE_M, "m")
        if self.width_m is None and self.height_m is not None:
            raise BadValue(f"height of {self.id}", self.height_m, "give its width too")
        in_range(f"layers of {self.id}", self.layers, 0, 10)
        in_range(f"loss of {self.id}", self.loss_stops, -5.0, 15.0, "stops")
        in_range(f"uncertainty of the loss of {self.id}", self.loss_sd_stops, 0.0, 5.0, "stops")
        if self.measured_at_m is not None:
            in_range(f"measured at, {self.id}", self.measured_at_m, *DISTANCE_RANGE_M, "m")
            if self.width_m is None:
                raise BadValue(
                    f"measured at, {self.id}",
                    self.measured_at_m,
                    "it tells nothing without a face; give the width, or leave this out",
                )

    @property
    def is_round(self) -> bool:
        """Whether its face counts as a disk."""
        return self.kind in ROUND_KINDS or self.height_m is None

    def near_field_stops(self, distance_m: float) -> float:
        """Return how far its face falls short of the inverse-square law.

        Parameters
        ----------
        distance_m : float
            From the face [m], 0.02 to 500.

        Returns
        -------
        float
            Stops [stops], zero or negative.

        Raises
        ------
        OutOfRange
            If the distance lies outside its range.

        Notes
        -----
        A round kind given with two sides counts as the disk of their mean. For an eight-sided
        face that is 0.02 stop too bright at one width's distance, less farther off.

        Examples
        --------
        >>> round(Modifier("strip", "softbox", 0.3, 1.2).near_field_stops(1.0), 2)
        -0.31
        """
        if self.width_m is None or not self.is_round:
            return near_field_stops(self.width_m, self.height_m, distance_m)
        diameter = (self.width_m + (self.height_m or self.width_m)) / 2
        return near_field_stops(diameter, None, distance_m)


def far_field_loss_stops(modifier: Modifier) -> float:
    """Return the fall of far-field intensity on the axis, without any share of near field.

    Parameters
    ----------
    modifier : Modifier
        With its loss and, where it was metered, the distance.

    Returns
    -------
    float
        Loss [stops]; a metered loss less what near field took at that distance.

    Notes
    -----
    The head in its plain reflector counts as small at the distance of measurement.

    Examples
    --------
    >>> far_field_loss_stops(Modifier("cloth", "diffuser", loss_stops=1.0))
    1.0
    """
    if modifier.measured_at_m is None:
        return modifier.loss_stops
    return modifier.loss_stops + modifier.near_field_stops(modifier.measured_at_m)


def stacked_loss(modifiers: Sequence[Modifier]) -> Stops:
    """Return the far-field loss of several modifiers in a row.

    Parameters
    ----------
    modifiers : sequence of Modifier
        From the lamp outwards; may be empty.

    Returns
    -------
    Stops
        Sum of the losses; their uncertainties count as independent.

    Notes
    -----
    Light that bounces between layers is ignored; a stack metered as one modifier is better.

    Examples
    --------
    >>> cloth = Modifier("cloth", "diffuser", loss_stops=1.0, loss_sd_stops=0.3)
    >>> stacked_loss([cloth, cloth]).text()
    '+2.0 ± 0.4'
    """
    total = Stops(0.0)
    for modifier in modifiers:
        total += Stops(far_field_loss_stops(modifier), modifier.loss_sd_stops)
    return total


def outermost_face(modifiers: Sequence[Modifier]) -> Modifier | None:
    """Return the modifier whose face the sitter sees: the outermost one that has a size.

    Parameters
    ----------
    modifiers : sequence of Modifier
        From the lamp outwards.

    Returns
    -------
    Modifier or None
        None when the head counts as small.

    Examples
    --------
    >>> box = Modifier("box", "softbox", 0.6, 0.9)
    >>> outermost_face([box, Modifier("grid", "fabric_grid")]).id
    'box'
    """
    sized = [modifier for modifier in modifiers if modifier.width_m is not None]
    return sized[-1] if sized else None


def face_size_m(modifiers: Sequence[Modifier]) -> tuple[float, float] | None:
    """Return width and height of the face the sitter sees.

    Parameters
    ----------
    modifiers : sequence of Modifier
        From the lamp outwards.

    Returns
    -------
    tuple of float, or None
        Width and height [m]; None when the head counts as small.

    Examples
    --------
    >>> face_size_m([Modifier("box", "softbox", 0.6, 0.9)])
    (0.6, 0.9)
    """
    face = outermost_face(modifiers)
    if face is None or face.width_m is None:
        return None
    return face.width_m, face.width_m if face.height_m is None else face.height_m


class ModifierPrior(NamedTuple):
    """Loss to expect of a kind of modifier before it has been metered or read off a sheet."""

    name: str
    loss_stops: float
    loss_sd_stops: float
    source: str


_PRACTICE = "common practice, no source; uncertainty invented"
_HOBBY = "one photographer's meter readings, 2010, against a bare small flash, ± 0.7"

MODIFIER_PRIORS: dict[str, ModifierPrior] = {
    "diffuser": ModifierPrior("one layer of thin diffusion cloth", 1.0, 0.3, _PRACTICE),
    "heavy_diffuser": ModifierPrior("full diffuser", 1.75, 0.4, _PRACTICE),
    "softbox": ModifierPrior("softbox, inner and outer layer", 2.5, 0.5, _PRACTICE),
    "softbox_single": ModifierPrior("softbox, one layer", 1.0, 0.7, _HOBBY),
    "softbox_deep": ModifierPrior("deep softbox, two layers", 3.0, 0.7, _HOBBY),
    "octa": ModifierPrior("octa, inner and outer layer", 2.5, 0.5, _PRACTICE),
    "fabric_grid": ModifierPrior("fabric grid on a softbox", 0.75, 0.4, _PRACTICE),
    "honeycomb_10": ModifierPrior("honeycomb grid of 10°", 2.0, 0.4, _PRACTICE),
    "honeycomb_20": ModifierPrior("honeycomb grid of 20°", 1.3, 0.4, _PRACTICE),
    "honeycomb_30": ModifierPrior("honeycomb grid of 30°", 1.0, 0.4, _PRACTICE),
    "honeycomb_40": ModifierPrior("honeycomb grid of 40°", 0.7, 0.4, _PRACTICE),
    "umbrella": ModifierPrior("white bounce umbrella", 1.75, 0.5, _PRACTICE),
    "shoot_through_umbrella": ModifierPrior("white shoot-through umbrella", 2.0, 0.7, _HOBBY),
    "dish": ModifierPrior("white dish of 40 to 55 cm", 1.0, 0.4, _PRACTICE),
}
"""Kind to what its loss is likely to be, on the axis, against a standard reflector."""


def modifier_prior(kind: str) -> ModifierPrior:
    """Return the loss to expect of a kind of modifier.

    Parameters
    ----------
    kind : str
        A key of `MODIFIER_PRIORS`.

    Returns
    -------
    ModifierPrior
        Loss [stops], its standard uncertainty [stops] and where they come from.

    Raises
    ------
    UnknownName
        If nothing is known of that kind.

    References
    ----------
    Common practice without a source, or one photographer's readings, as each row says.

    Examples
    --------
    >>> modifier_prior("diffuser").loss_stops
    1.0
    """
    if kind not in MODIFIER_PRIORS:
        raise UnknownName("kind of modifier", kind, MODIFIER_PRIORS)
    return MODIFIER_PRIORS[kind]
