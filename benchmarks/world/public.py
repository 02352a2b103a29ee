"""What is said openly about a sitting: the shapes of the bare ledger."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Literal, NotRequired, TypedDict

REGIONS = ("key", "shadow", "rim", "bg")
STEPS_POPS = (1, 2, 4, 8)
POPS = tuple(range(1, 9))
Mode = Literal["scan", "patch", "eye"]
Word = Literal["black", "too_dark", "as_wanted", "too_light", "bare_paper"]
ClassName = Literal["A", "B", "C", "D"]


class Paper(TypedDict):
    """A paper as believed before any sheet."""

    id: str
    speed_log2: float
    speed_sd_stops: float
    contrast_per_stop: float
    contrast_log_sd: float
    asym_log_sd: float
    dmin: float
    dmin_sd: float
    dmax: float
    dmax_sd: float


class Head(TypedDict):
    """A flash head; dial in stops, 0 = full."""

    id: str
    full_log2_lxs_1m: float
    sd_stops: float
    dial_min: float
    dial_max: float
    dial_step: float


class Modifier(TypedDict):
    """Whatever stands between lamp and sitter."""

    id: str
    loss_stops: float
    sd_stops: float


class Lens(TypedDict):
    """A lens at the magnification of the sitting."""

    id: str
    f_numbers: list[float]
    transmission_stops: float
    sd_stops: float
    magnification: float


class Kit(TypedDict):
    """All there is to work with, and how far sheets scatter."""

    papers: list[Paper]
    heads: list[Head]
    modifiers: list[Modifier]
    lenses: list[Lens]
    pop_loss_per_doubling_stops: float
    pop_loss_sd: float
    reciprocity_loss_per_doubling_stops: float
    reciprocity_sd: float
    process_scatter_sd_stops: float
    setting_scatter_sd_stops: float
    region_scatter_sd_stops: float
    drift_sd_stops_per_sqrt_day: float
    spoiled_rate: float
    scan_sd_density: float
    eye_sd_density: float


class Source(TypedDict):
    """One light and what it gives each region."""

    role: str
    kind: Literal["flash", "continuous"]
    head: str | None
    modifiers: list[str]
    distance_m: float
    log2_lx: float | None
    sd_stops: float
    geo: str
    actinic_stops: float
    actinic_sd_stops: float
    region_stops: dict[str, float]
    region_sd_stops: dict[str, float]


class Aim(TypedDict):
    """Where a region should fall; ``tol_stops`` null = looked at, not aimed."""

    density: float
    tol_stops: float | None
    eye_tol_density: float


class Shared(TypedDict):
    """One unknown that moves several regions and sources together."""

    name: str
    sd_stops: float
    regions: list[str]
    sources: list[str]


class Sitting(TypedDict):
    """The open side of one sitting."""

    id: str
    cls: str
    day: float
    paper: str
    lens: str
    f_default: float
    seconds_default: float
    sources: list[Source]
    aims: dict[str, Aim]
    set: NotRequired[str]
    shared: NotRequired[list[Shared]]


class Tone(TypedDict, total=False):
    """What is read of one region."""

    density: float
    density_sd: float
    verdict: Word


class Strip(TypedDict):
    """One strip of a stepped sheet."""

    step: int
    regions: dict[str, Tone]


class Reading(TypedDict, total=False):
    """What a finished sheet shows: regions, or the strips of a stepped sheet."""

    regions: dict[str, Tone]
    strips: list[Strip]


class PastSheet(TypedDict):
    """A sheet of an earlier sitting."""

    settings: dict[str, Any]
    reading: Reading
    kept: NotRequired[bool | None]


class Past(TypedDict):
    """An earlier sitting with its sheets."""

    sitting: Sitting
    sheets: list[PastSheet]


@dataclass(frozen=True, slots=True)
class Settings:
    """What the hand turns for one sheet.

    Parameters
    ----------
    dial_stops : dict of str to float
        Dial of each flash head by role [stops, 0 = full].
    f_number : float
        As listed by the lens.
    pops : int
        Flashes given to the sheet, 1 to 8.
    seconds : float
        Open time of one pop [s].
    steps_pops : tuple of int, optional
        Multipliers of the strips of a stepped sheet.
    """

    dial_stops: dict[str, float]
    f_number: float
    pops: int
    seconds: float
    steps_pops: tuple[int, ...] | None = None

    def as_json(self) -> dict[str, Any]:
        """Give the settings as the bare ledger writes them."""
        steps = None if self.steps_pops is None else list(self.steps_pops)
        return {
            "dial_stops": {role: round(dial, 4) for role, dial in self.dial_stops.items()},
            "f_number": self.f_number,
            "pops": self.pops,
            "seconds": self.seconds,
            "steps_pops": steps,
        }

    @classmethod
    def from_json(cls, said: dict[str, Any]) -> Settings:
        """Read settings that have passed :func:`benchmarks.world.advice_check.legal_settings`."""
        steps = said.get("steps_pops")
        return cls(
            dial_stops=dict(said["dial_stops"]),
            f_number=said["f_number"],
            pops=said["pops"],
            seconds=said["seconds"],
            steps_pops=None if steps is None else tuple(steps),
        )

    def with_dial(self, role: str, dial_stops: float) -> Settings:
        """Give the same settings with one dial changed."""
        return replace(self, dial_stops={**self.dial_stops, role: dial_stops})


def paper_of(kit: Kit, sitting: Sitting) -> Paper:
    """Give the paper of a sitting."""
    return next(paper for paper in kit["papers"] if paper["id"] == sitting["paper"])


def lens_of(kit: Kit, sitting: Sitting) -> Lens:
    """Give the lens of a sitting."""
    return next(lens for lens in kit["lenses"] if lens["id"] == sitting["lens"])


def heads_by_role(kit: Kit, sitting: Sitting) -> dict[str, Head]:
    """Give the head behind each flash of a sitting."""
    by_id = {head["id"]: head for head in kit["heads"]}
    return {
        source["role"]: by_id[source["head"]]
        for source in sitting["sources"]
        if source["head"] is not None
    }
