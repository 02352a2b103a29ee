"""The first sheet: kit, paper and sitting from a few answers, each of which may be missing."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from stillroom.documents.book import (
    Aim,
    Framing,
    Light,
    LightKind,
    LightSetting,
    Paper,
    Settings,
    Sitter,
    Sitting,
    Skin,
)
from stillroom.documents.kit import Camera, Head, Kit, Lamp, Lens, Modifier
from stillroom.documents.read import validated
from stillroom.documents.seats import Seat
from stillroom.documents.to_domain import named
from stillroom.errors import BadValue, in_range
from stillroom.quantity import FULL_STOP_MARKS, sheet_size_mm

LightAnswer = Literal["flash", "daylight", "lamps"]
PaperAnswer = Literal["graded", "variable_contrast", "unknown"]
StepsAnswer = Literal["slide", "pieces", "wedge"]

# What stands in for an answer nobody gave, and how far it may be off. Common practice or invented,
# and wide on purpose: the first sheet says more than any of them.
TYPICAL_ENERGY_WS = 500.0
ENERGY_GIVEN_SD_STOPS = 0.5  # one head's light per W·s varies by a stop and a half end to end
ENERGY_UNKNOWN_SD_STOPS = 0.9
SOFTBOX_LOSS_STOPS, SOFTBOX_SD_STOPS = 2.0, 0.6  # one to three stops, one or two layers
SOFTBOX_SIDE_M = 0.8
TYPICAL_EI = 3.0
PAPER_SD_STOPS = {"graded": 1.0, "variable_contrast": 1.0, "unknown": 1.3}
TYPICAL_FORMAT = "13x18 cm"
CLOTH_TO_FACE_M = 0.8
HEAD_AND_SHOULDERS_M = 0.6  # what the long side of the sheet takes in: 0.3 on 13 x 18 cm
DAYLIGHT_LX, DAYLIGHT_SD_STOPS = 800.0, 1.5  # beside a window, sky not sun
LAMP_CD, LAMP_SD_STOPS = 2000.0, 1.2  # one flood of a few hundred watts, or an LED like it
LENS_PER_DIAGONAL = 1.35  # a portrait lens: 300 mm on 13 x 18 cm
FOCALS_MM = (90, 120, 135, 150, 180, 210, 240, 300, 360, 420, 450, 480, 600, 800, 1000)
SMALLEST_MARK = 45.0
STEADY_OPEN_S = 1.0
CARD_INITIALS = "card"


@dataclass(frozen=True, slots=True)
class FirstAnswers:
    """What was answered at the first run; None is *don't know*.

    Parameters
    ----------
    light : {"flash", "daylight", "lamps"}, optional
        What lights the face; flash when not answered.
    energy_ws : float, optional
        Energy of the flash head [W s].
    paper : {"graded", "variable_contrast", "unknown"}, optional
        Kind of paper.
    camera : str, optional
        Sheet size by its trade name, such as ``13x18`` or ``whole plate``.
    lens_mm : float, optional
        Focal length [mm].
    widest_f : float, optional
        Widest f-number as marked [1].
    distance_m : float, optional
        From the cloth (or lamp) to the face [m].
    steps : {"slide", "pieces", "wedge"}, optional
        How she can make steps.
    seat : str, optional
        The seat whose daylight it is; a guess of what a meter would show when not answered.
    """

    light: LightAnswer | None = None
    energy_ws: float | None = None
    paper: PaperAnswer | None = None
    camera: str | None = None
    lens_mm: float | None = None
    widest_f: float | None = None
    distance_m: float | None = None
    steps: StepsAnswer | None = None
    seat: str | None = None


@dataclass(frozen=True, slots=True)
class Start:
    """What the answers made: parts of a book that go together."""

    kit: Kit
    paper: Paper
    sitter: Sitter
    sitting: Sitting


def start(
    answers: FirstAnswers,
    when: datetime,
    taken: Collection[str] = (),
    seats: Sequence[Seat] = (),
) -> Start:
    """Make the kit, the paper, the card in the chair and the sitting of a first sheet.

    Parameters
    ----------
    answers : FirstAnswers
        What is known.
    when : datetime
        Moment of the sitting.
    taken : collection of str
        Ids the book has already; none of them is given again.
    seats : sequence of Seat
        The book's, of which an answer may name one.

    Returns
    -------
    Start
        Parts with spreads as wide as what is not known.

    Raises
    ------
    UnknownName
        If no sheet goes by the name of the camera, or there is no such seat.
    BadValue
        If an answer is not one of the choices or lies outside its range.

    Examples
    --------
    >>> from datetime import UTC
    >>> made = start(FirstAnswers(camera="8x10"), datetime(2026, 11, 14, tzinfo=UTC))
    >>> made.kit.heads[0].output_sd_stops, made.kit.lenses[0].focal_mm
    (0.9, 450.0)
    """
    size = sheet_size_mm(answers.camera or TYPICAL_FORMAT)
    short, long = sorted(size)
    camera = Camera(
        id=_free(f"{short / 10:.0f}x{long / 10:.0f}", taken),
        name=answers.camera or f"{TYPICAL_FORMAT} (not said)",
        format_mm=(short, long),
    )
    lens = _lens(answers, math.hypot(short, long), taken)
    paper = _paper(answers, taken)
    card = Sitter(
        id=_free("card", taken),
        initials=CARD_INITIALS,
        skin=Skin(guess="unknown"),
        note="A card as big as a face, in the chair; its blue has a range, it is not 'grey'.",
    )
    head, lamp, cloth, light = _light(answers, taken, seats)
    steady = light.kind != "head"
    sitting_id = _free("first", taken)
    sitting = Sitting(
        id=sitting_id,
        when=when,
        paper=paper.id,
        camera=camera.id,
        lens=lens.id,
        sitters=(card.id,),
        set=sitting_id,
        framing=Framing(magnification=long / 1000 / HEAD_AND_SHOULDERS_M),
        lights=(light,),
        aims={"key": Aim(placement_stops=0.0)},
        stands=Settings(
            lights={"key": LightSetting(dial=None if steady else 0.0)},
            f_number=lens.f_numbers[0],
            open_s=STEADY_OPEN_S if steady else 0.125,
        ),
    )
    kit = Kit(
        cameras=(camera,),
        lenses=(lens,),
        heads=(head,) if head else (),
        lamps=(lamp,) if lamp else (),
        modifiers=(cloth,) if cloth else (),
    )
    return Start(kit, paper, card, sitting)


def _lens(answers: FirstAnswers, diagonal_mm: float, taken: Collection[str]) -> Lens:
    focal = answers.lens_mm
    if focal is None:
        focal = min(FOCALS_MM, key=lambda f: abs(math.log(f / (LENS_PER_DIAGONAL * diagonal_mm))))
    widest = answers.widest_f or (5.6 if focal <= 300 else 9.0)  # larger lenses are slower
    marks = [mark for mark in FULL_STOP_MARKS if 1.05 * widest < mark <= SMALLEST_MARK]
    fields = {
        "id": _free(f"lens {focal:g}", taken),
        "name": f"{focal:g} mm" + (" (not said)" if answers.lens_mm is None else ""),
        "focal_mm": focal,
        "f_numbers": (widest, *marks),
        "transmission_sd_stops": 0.25,
    }
    return validated(Lens, fields)


def _paper(answers: FirstAnswers, taken: Collection[str]) -> Paper:
    kind = answers.paper or "unknown"
    if kind not in PAPER_SD_STOPS:
        raise BadValue("paper", kind, f"choose {', '.join(PAPER_SD_STOPS)}")
    names = {
        "graded": "Graded paper",
        "variable_contrast": "Variable-contrast paper",
        "unknown": "Paper (not said which)",
    }
    return Paper(
        id=_free(f"{kind.replace('_', '-') if kind != 'unknown' else 'paper'}/1", taken),
        name=names[kind],
        batch="1",
        response="variable_contrast" if kind == "variable_contrast" else "graded",
        ei=TYPICAL_EI,
        ei_sd_stops=PAPER_SD_STOPS[kind],
    )


def _light(
    answers: FirstAnswers, taken: Collection[str], seats: Sequence[Seat]
) -> tuple[Head | None, Lamp | None, Modifier | None, Light]:
    kind = answers.light or "flash"
    if kind not in ("flash", "daylight", "lamps"):
        raise BadValue("light", kind, "choose flash, daylight or lamps")
    if kind == "daylight" and answers.seat is not None:
        seat = named("seat", answers.seat, seats)
        shape: LightKind = "daylight" if seat.window is None else "window"
        return None, None, None, _key(shape, kit_id=seat.id)
    if kind == "daylight":
        light = _key("window", metered_lx=DAYLIGHT_LX, metered_sd_stops=DAYLIGHT_SD_STOPS)
        return None, None, None, light
    distance_m = in_range(
        "distance of the light",
        CLOTH_TO_FACE_M if answers.distance_m is None else answers.distance_m,
        0.05,
        100,
        "m",
    )
    if kind == "lamps":
        lamp = Lamp(
            id=_free("lamp", taken),
            kind="other",
            intensity_cd=LAMP_CD,
            intensity_sd_stops=LAMP_SD_STOPS,
        )
        return None, lamp, None, _key("lamp", kit_id=lamp.id, distance_m=distance_m)
    known = answers.energy_ws is not None
    head = validated(
        Head,
        {
            "id": _free("head A", taken),
            "energy_ws": answers.energy_ws if known else TYPICAL_ENERGY_WS,
            "output_sd_stops": ENERGY_GIVEN_SD_STOPS if known else ENERGY_UNKNOWN_SD_STOPS,
        },
    )
    cloth = Modifier(
        id=_free("softbox", taken),
        width_m=SOFTBOX_SIDE_M,
        height_m=SOFTBOX_SIDE_M,
        loss_stops=SOFTBOX_LOSS_STOPS,
        loss_sd_stops=SOFTBOX_SD_STOPS,
    )
    light = _key("head", kit_id=head.id, modifiers=(cloth.id,), distance_m=distance_m)
    return head, None, cloth, light


def _key(kind: LightKind, **fields: object) -> Light:
    return Light.model_validate({"role": "key", "kind": kind, **fields})


def _free(name: str, taken: Collection[str]) -> str:
    """The name, or the first of ``name-2``, ``name-3`` ... that nothing has."""
    if name not in taken:
        return name
    stem, slash, batch = name.partition("/")
    return next(
        candidate
        for n in range(2, len(taken) + 3)
        if (candidate := f"{stem}-{n}{slash}{batch}") not in taken
    )
