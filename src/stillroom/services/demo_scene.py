"""The example book before anything happens in it: Quarry Lane, its people and its kit, invented.

The gardeners of the allotments on Quarry Lane, each photographed once in the old pump house, a
brick room of 5.1 by 4.2 m with one north-east window. Nobody and nothing here exists.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Literal

from stillroom.documents.book import Aim, Book, Framing, Light, Paper, Sitter, Sitting, Skin
from stillroom.documents.holding import Holding
from stillroom.documents.kit import Camera, Dial, Head, Kit, Lens, Meter, Modifier, Room, Scanner
from stillroom.documents.seats import (
    BeforeWindow,
    Indoors,
    OpenAir,
    Place,
    Seat,
    SkySeen,
    SkyWord,
)
from stillroom.services.looks import LOOKS, aims_of_look

INVENTED = "Invented, like everybody and everything on Quarry Lane."
LOOK = "low"
SEAT = "north-east window"
Way = Literal["densitometer", "words", "strip", "scan"]

_TENTHS = Dial(kind="stops", min=-6.0, max=0.0, step=0.1)


@dataclass(frozen=True, slots=True)
class Making:
    """What the story says of one sheet; settings and tones are worked out."""

    by: Way
    blinked: bool = False
    misread_dial: tuple[str, float] | None = None
    """A light whose dial was set so many stops from what was asked, and written down so."""
    also: tuple[str, ...] = ()
    """Regions that are read though nobody aims at them."""
    strip_from_it: bool = False
    """Whether the comparison strip of its paper is punched from it."""


@dataclass(frozen=True, slots=True)
class Story:
    """One sitting as it begins, what is metered first, and what becomes of its sheets."""

    sitting: Sitting
    metered: tuple[tuple[str, str], ...]
    """Region and the light that is on alone."""
    makings: tuple[Making, ...]
    finished: bool


def bare_book() -> Book:
    """Kit, papers and sitters, before the first sitting."""
    return Book(stillroom="book/1", kit=_kit(), papers=_papers(), sitters=_sitters())


_IN_THE_REST = Holding(
    support="head_rest", rest_to_eye_mm=185, fires="sync_shutter", room="pump house"
)


def stories() -> tuple[Story, ...]:
    """The sittings in order of time: two by the window, a test, and a sitting that goes on."""
    return (
        _by_the_window("KS December", datetime(2025, 12, 14, 11, 5, tzinfo=UTC), "veiled", 3),
        _by_the_window("KS June", datetime(2026, 6, 13, 10, 5, tzinfo=UTC), "dull", 2),
        Story(
            sitting=Sitting(
                id="JB",
                when=datetime(2026, 11, 7, 9, 30, tzinfo=UTC),
                place="old pump house",
                paper="sorrel-2/7",
                camera="field",
                lens="tele300",
                sitters=("JB",),
                room_state="curtains closed",
                set="pump house test",
                framing=Framing(magnification=0.3),
                holding=_IN_THE_REST,
                lights=(
                    Light(
                        role="key", kind="head", kit_id="A", modifiers=("octa",), distance_m=0.9
                    ),
                    _room_light(),
                ),
                aims=_test_aims(),
                look=LOOKS[LOOK].name,
            ),
            metered=(("key", "key"),),
            makings=(
                Making("densitometer", also=("forehead", "cloth", "hair"), strip_from_it=True),
                Making("words"),
                Making("scan"),
            ),
            finished=True,
        ),
        Story(
            sitting=Sitting(
                id="OM",
                when=datetime(2026, 11, 14, 10, 30, tzinfo=UTC),
                place="old pump house",
                paper="sorrel-2/7",
                camera="field",
                lens="tele300",
                sitters=("OM",),
                room_state="curtains closed",
                set="pump house",
                framing=Framing(magnification=0.3),
                holding=_IN_THE_REST,
                lights=(
                    Light(
                        role="key", kind="head", kit_id="A", modifiers=("octa",), distance_m=0.9
                    ),
                    Light(
                        role="fill", kind="head", kit_id="D", modifiers=("card",), distance_m=1.2
                    ),
                    Light(
                        role="rim",
                        kind="head",
                        kit_id="C",
                        modifiers=("strip", "grid"),
                        distance_m=0.8,
                        facing_deg=35,
                    ),
                    _room_light(),
                ),
                aims=aims_of_look(LOOK, ("key", "fill", "rim")),
                look=LOOKS[LOOK].name,
            ),
            metered=(("key", "key"), ("shadow", "fill"), ("rim", "rim")),
            makings=(
                Making("strip", blinked=True),
                Making("strip"),
                Making("strip", misread_dial=("key", -0.6)),
            ),
            finished=False,
        ),
    )


def _by_the_window(sitting_id: str, when: datetime, sky: SkyWord, sheets: int) -> Story:
    """K. S. by the north-east window, on what was left of the older batch."""
    ways: tuple[Way, ...] = ("densitometer", "scan", "scan")
    return Story(
        sitting=Sitting(
            id=sitting_id,
            when=when,
            place="old pump house",
            paper="sorrel-2/6",
            camera="field",
            lens="tele300",
            sitters=("KS",),
            room_state="curtains open",
            sky=SkySeen(word=sky),
            set="by the window",
            framing=Framing(magnification=0.3),
            holding=Holding(support="head_rest", rest_to_eye_mm=185),
            lights=(Light(role="key", kind="window", kit_id=SEAT),),
            aims=_test_aims(),
            look=LOOKS[LOOK].name,
        ),
        metered=(("key", "key"),),
        makings=tuple(Making(way) for way in ways[:sheets]),
        finished=True,
    )


def _test_aims() -> dict[str, Aim]:
    """One light, so one tone can be aimed at; what the shadow does is only looked at."""
    aims = aims_of_look(LOOK, ("key",))
    return {**aims, "shadow": aims["shadow"].model_copy(update={"tol_stops": None})}


def _room_light() -> Light:
    """What comes round the closed curtain, guessed off a meter."""
    return Light(role="room", kind="room", metered_lx=20, metered_sd_stops=1.0)


def _kit() -> Kit:
    return Kit(
        cameras=(
            Camera(
                id="field",
                name="field camera, 13 × 18 cm",
                format_mm=(130, 180),
                draw_min_mm=90,
                draw_max_mm=480,
                note=INVENTED,
            ),
            Camera(
                id="whole-plate",
                name="box camera, whole plate",
                format_mm=(165.1, 215.9),
                draw_min_mm=200,
                draw_max_mm=560,
                holder_sides=2,
            ),
            Camera(
                id="box-8x10",
                name="box camera, 8×10",
                format_mm=(203.2, 254),
                draw_min_mm=300,
                draw_max_mm=720,
                flare_share=0.03,
                fixed_back=True,
            ),
        ),
        lenses=(
            Lens(
                id="tele300",
                name="300 mm of telephoto construction",
                focal_mm=300,
                f_numbers=(5.6, 8, 11, 16, 22, 32),
                true_f_number_wide_open=5.4,
                pupil_ratio=0.7,
                coverage_mm=280,
            ),
            Lens(
                id="old360",
                name="360 mm, old and uncoated",
                focal_mm=360,
                f_numbers=(6.3, 8, 11, 16, 22, 32, 45),
                transmission_stops=-0.4,
                transmission_sd_stops=0.2,
                coverage_mm=420,
                spectral="old",
            ),
        ),
        heads=(
            Head(
                id="A",
                name="head A",
                energy_ws=1200,
                dial=_TENTHS,
                recycle_s=3,
                modelling_w=250,
                pops_per_minute_full=12,
                pops_in_a_row_full=20,
                mains_a=8,
            ),
            Head(
                id="B",
                name="head B",
                energy_ws=1200,
                dial=_TENTHS,
                recycle_s=3,
                modelling_w=250,
                pops_per_minute_full=12,
                pops_in_a_row_full=20,
                mains_a=8,
            ),
            Head(
                id="C",
                name="head C",
                energy_ws=600,
                dial=_TENTHS,
                recycle_s=2,
                modelling_w=150,
                mains_a=5,
            ),
            Head(
                id="D",
                name="head D",
                energy_ws=300,
                dial=Dial(kind="energy", min=10, max=300, step=10),
                recycle_s=1.5,
                mains_a=3,
            ),
        ),
        modifiers=(
            Modifier(
                id="octa",
                name="octa 90 cm, two cloths",
                kind="octa",
                width_m=0.9,
                height_m=0.9,
                layers=2,
                loss_stops=2.5,
                loss_sd_stops=0.5,
            ),
            Modifier(
                id="strip",
                name="strip 30 × 90",
                kind="softbox",
                width_m=0.3,
                height_m=0.9,
                layers=1,
                loss_stops=1.5,
                loss_sd_stops=0.5,
            ),
            Modifier(
                id="grid",
                name="fabric grid for the strip",
                kind="fabric_grid",
                layers=0,
                loss_stops=0.75,
                loss_sd_stops=0.4,
            ),
            Modifier(
                id="card",
                name="white card",
                kind="card",
                width_m=0.6,
                height_m=0.8,
                layers=0,
                loss_stops=4.0,
                loss_sd_stops=0.5,
                note="A head turned to it: loss of the bounce, guessed.",
            ),
        ),
        meters=(Meter(id="flat", name="meter with a flat disc", kind="incident_flat"),),
        scanners=(Scanner(id="flatbed", name="flatbed scanner", sd_density=0.04),),
        rooms=(
            Room(
                id="pump house",
                name="old pump house",
                states=("curtains open", "curtains closed", "evening"),
                width_m=5.1,
                depth_m=4.2,
                circuit_a=16,
                note="Brick; one window to the north-east; latitude 54.3 N. " + INVENTED,
            ),
        ),
        places=(
            Place(
                id="quarry lane",
                name="Quarry Lane",
                latitude_deg=54.3,
                longitude_deg=-1.5,
                zone="Europe/London",
                altitude_m=60,
                note="The allotments and the old pump house. " + INVENTED,
            ),
        ),
        seats=(
            Seat(
                id=SEAT,
                name="pump house, north-east window",
                place="quarry lane",
                window=BeforeWindow(
                    faces_deg=45,
                    width_m=1.2,
                    height_m=1.5,
                    sill_m=0.9,
                    glass="float",
                    frame_share=0.15,
                    outer_reveal_m=0.2,
                    obstruction_deg=6,
                    distance_m=1.0,
                    turn_deg=20,
                    room=Indoors(width_m=5.1, depth_m=4.2, height_m=2.8, walls="brick"),
                ),
                off_sd_stops=0.35,
                note="The chair beside the pump, head rest on the wall.",
            ),
            Seat(
                id="north wall",
                name="bench at the north wall",
                place="quarry lane",
                open_air=OpenAir(faces_deg=0, sun=False, ground_sunlit=False, sky_share=0.8),
                off_sd_stops=0.3,
                note="Open shade, sheds opposite.",
            ),
        ),
    )


def _papers() -> tuple[Paper, ...]:
    return (
        Paper(
            id="sorrel-2/7",
            name="Sorrel No. 2",
            batch="7",
            response="graded",
            grade=2,
            surface="glossy",
            ei=5.0,
            ei_sd_stops=1.0,
            note="EI from the leaflet in the box. " + INVENTED,
        ),
        Paper(
            id="sorrel-2/6",
            name="Sorrel No. 2",
            batch="6",
            response="graded",
            grade=2,
            surface="glossy",
            ei=4.0,
            ei_sd_stops=0.5,
            note="Four sheets left; EI from an old notebook, checked by the window.",
        ),
        Paper(
            id="lovage/1",
            name="Lovage",
            batch="1",
            response="variable_contrast",
            surface="pearl",
            ei=8.0,
            ei_sd_stops=1.0,
            contrast_per_stop=1.2,
            dmax=1.75,
        ),
        Paper(
            id="tansy/1",
            name="Tansy velvet",
            batch="1",
            response="graded",
            grade=2,
            surface="matt",
            ei=2.2,
            ei_sd_stops=1.0,
            dmin=0.1,
            dmax=1.55,
            note="Fibre; dries darker.",
        ),
    )


def _sitters() -> tuple[Sitter, ...]:
    return (
        Sitter(
            id="JB",
            initials="J. B.",
            skin=Skin(guess="medium"),
            holds_still_s=3,
            note="Holds the water rota; sits for tests. " + INVENTED,
        ),
        Sitter(
            id="OM",
            initials="O. M.",
            skin=Skin(guess="light"),
            holds_still_s=2,
            note="Plots 4 and 5, dahlias.",
        ),
        Sitter(
            id="TR",
            initials="T. R.",
            skin=Skin(guess="dark"),
            holds_still_s=2,
            note="Plot 11; waits for the afternoon.",
        ),
        Sitter(
            id="KS",
            initials="K. S.",
            skin=Skin(guess="medium"),
            holds_still_s=12,
            note="Keeps the bees; sits like a stone in the head rest.",
        ),
    )
