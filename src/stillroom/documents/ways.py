"""What the tool answers about another camera: its price in stops, and ways to the same aims."""

from __future__ import annotations

from typing import Literal

from stillroom.documents.base import Line, Name, Strict, Text
from stillroom.documents.book import Framing, Light, Settings
from stillroom.documents.focus import Floor
from stillroom.documents.holding import Viewing
from stillroom.documents.kit import Head, Modifier

WayKind = Literal["flash", "mixed", "lamp", "daylight"]


class InFocus(Strict):
    """How far before and behind the eye things look sharp on the sheet [mm]."""

    before_mm: float
    behind_mm: float | None
    """None: to infinity."""
    circle_mm: float
    """What counts as sharp on that sheet, as it is looked at [mm]."""


class CameraShown(Strict):
    """One camera with its lens and framing."""

    camera: Name
    camera_name: Line
    lens: Name
    lens_name: Line
    format_mm: tuple[float, float]
    f_number: float
    """As marked; for the other camera the stop at which it is as deep as the one in use."""
    magnification: float
    draw_mm: float
    bellows_stops: float
    """What the draw costs; 0 or below [stops]."""
    subject_distance_m: float
    """From the lens (its front principal point) to the eye [m]."""
    in_focus: InFocus
    """At `f_number`, in the viewing asked for."""


class Price(Strict):
    """What the other camera asks more than the one in use, to look as sharp."""

    viewing: Viewing
    f_number: float | None
    """The mark from which it is as deep; None where no mark of the lens is."""
    f_exact: float
    """The same between marks."""
    stops: float
    """All of it: what the light must do more [stops]; below 0: less."""
    depth_stops: float
    """Of that for the smaller stop."""
    bellows_stops: float
    """Of that for the draw."""
    glass_stops: float
    """Of that for the glass, as it is stated or learned."""
    sentence: Text
    """Such as: In the hand it asks for 2 stops more than the 13 × 18."""


class OutOfFrame(Strict):
    """How far the edge of a light stays out of the picture at its distance."""

    role: Name
    distance_m: float
    clear_mm: float
    """Below 0 it enters the picture."""
    nearest_m: float | None
    """As near as it may come and stay out; None: nowhere within reach of the search."""
    text: Text


class PoweredHead(Strict):
    """One head of a way, how it is set and what is asked of it."""

    role: Name
    head: Name
    head_name: Line
    dial: float | None
    below_full_stops: float
    """0 at full; else below 0."""
    energy_ws: float
    """Of one pop, so set."""
    is_hired: bool


class Firing(Strict):
    """Whether the heads can do it, and for how long it takes."""

    burst_s: float
    """From the first pop to the last [s]."""
    within_the_tubes: bool
    rest_s: float
    """Before the same can be made again [s]."""
    amps: float | None
    """On the fullest circuit while all charge at once; None where it is not known."""
    circuits_needed: int | None
    circuits: int | None
    recycle_known: bool
    """False: some head's time to charge is not in the kit, and the usual was taken."""
    text: Text


class Way(Strict):
    """One way to the same aims on the other camera."""

    rank: int
    feasible: bool
    """False: beyond the sitter, the tubes, the picture's edge or any dial; such stand last."""
    kind: WayKind
    title: Line
    """What is carried and set, such as: A and B in the octa, one cloth off, f/11."""
    detail: Line
    """How, such as: both full, cloth 0.70 m, one pop."""
    why: Text
    """One reason why it stands where it stands; or why it is not possible."""
    changes: tuple[Line, ...]
    """What is done beside turning dials, against how the set stands now."""
    effort: float
    cost: float
    """What ranks: effort, what a sheet takes by the odds, and depth given away; less is better."""

    lights: tuple[Light, ...]
    """The lights of the sitting so lit."""
    settings: Settings
    heads: tuple[PoweredHead, ...]
    heads_in_key: int
    cloths_off: int
    distance_m: float | None
    """Of the key light."""
    pops: int
    open_s: float
    """Of the whole sheet, first to last light for steady light; else as set [s]."""
    aims: tuple[Name, ...]
    """The aimed regions that this way can serve; `p_tones` speaks of these."""

    p_tones: float
    """Odds that every one of `aims` lands."""
    reaches_stops: float
    """How far the key region is expected from its aim [stops]; below 0 darker."""
    in_focus: InFocus
    depth_share: float
    """Depth about the eye over that of the camera in use, both as they are looked at [1]."""
    p_eye_sharp: float
    hold_s: float
    """How long the sitter must be still; 0: nothing to hold."""
    p_held: float
    p_ghost: float | None
    """Odds that a second edge shows; None where there is no flash, or no light beside it."""
    steady_share: float
    """Share of steady light at the key region [1]."""
    p_all: float
    """Tones, eye and stillness together, and no ghost."""
    firing: Firing | None
    """None without flash."""
    buy_ws: float
    """W·s to be bought or hired."""
    when: Line
    """Hours and month of a way by daylight; else empty."""
    out_of_frame: OutOfFrame | None


class Carried(Strict):
    """One part of what is known, and whether it counts with the other camera."""

    what: Literal["chain", "key_light", "paper", "lens", "flare", "back", "second_head", "cloth"]
    carries: bool
    range_stops: float | None
    """Nine in ten [stops], where it is one of light."""
    range_mm: float | None = None
    """Nine in ten at the eye [mm], where it is one of focus."""
    text: Text


class PieceOnSheet(Strict):
    """A test piece before a whole sheet: an offcut of the same batch where the cheek falls."""

    region: Name
    width_mm: float
    height_mm: float
    from_top_mm: float
    """From the top of the sheet as it hangs in the camera's picture, upright, to its middle."""
    right_of_middle_mm: float
    """Right as the finished picture is looked at; below 0: left."""
    share: float
    """Of the sheet and of the bath."""
    settings: Settings
    sd_now_stops: float
    sd_after_stops: float
    p_straight: float
    """Odds that a whole sheet made straight away lands."""
    p_after: float
    """Odds on average for the whole sheet after the piece is read."""
    text: Text


class Ways(Strict):
    """Another camera for a sitting: what it asks, and ways to the same aims, best first."""

    stillroom: Literal["ways/1"] = "ways/1"
    sitting: Name
    paper: Line
    viewing: Viewing
    in_use: CameraShown
    other: CameraShown
    framing: Framing
    """Of the other camera, as the sitting would say it."""
    in_the_hand: Price
    on_the_wall: Price
    headline: Text
    """What it asks, and what pays for it."""
    floor: Floor | None
    """Where there is nothing to focus on, or nobody to look."""
    out_of_frame: OutOfFrame | None
    """Of the key light as it stands."""
    ways: tuple[Way, ...]
    """Five at most, those that are possible first."""
    tried: int
    """Candidates looked at."""
    carried: tuple[Carried, ...]
    piece: PieceOnSheet | None
    nearest: Text
    """Where nothing reaches: the nearest that can be done; else empty."""
    modifiers: tuple[Modifier, ...]
    """What the kit lacks and a way names: a modifier with a cloth taken off."""
    hired: tuple[Head, ...]
    """Heads that a way names and the kit lacks."""
    cautions: tuple[Line, ...]
