"""Where somebody sits in daylight, and the sky as one looks up: parts of a book."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from stillroom.documents.base import DistanceM, Line, Name, Share, SizeM, SpreadStops, Strict
from stillroom.documents.thing import Thing

Azimuth = Annotated[float, Field(ge=0, lt=360)]
"""Direction from north clockwise, as a compass shows it [deg]."""

SkyWord = Literal["clear", "veiled", "middling", "dull"]


class Place(Thing):
    """A place on earth, the clock that is kept there, and its usual air."""

    latitude_deg: Annotated[float, Field(ge=-90, le=90)]
    longitude_deg: Annotated[float, Field(ge=-180, le=180)]
    zone: Line
    """Time zone by its name in the tz database, such as ``Europe/London``."""
    altitude_m: Annotated[float, Field(ge=-500, le=5000)] = 0.0
    haze: Literal["very clear", "clear", "hazy", "very hazy"] = "clear"


class OpenAir(Strict):
    """A face in the open: which way it looks, and what it gets to see."""

    faces_deg: Azimuth
    sun: bool = True
    """Whether the sun, where it shines, can reach the face."""
    ground_sunlit: bool = True
    """Whether the sun reaches the ground in front of it."""
    ground_reflectance: Annotated[float, Field(ge=0, le=1)] | None = None
    """In the paper's band; left out: what lies all around."""
    sky_share: Annotated[float, Field(ge=0.001, le=1)] = 1.0
    skyline_deg: Annotated[float, Field(ge=0, le=89)] = 0.0


class Indoors(Strict):
    """What throws window light about; names of `stillroom.light.window.SURFACES`."""

    width_m: Annotated[float, Field(ge=0.5, le=100)]
    depth_m: Annotated[float, Field(ge=0.5, le=100)]
    height_m: Annotated[float, Field(ge=0.5, le=100)]
    ceiling: Line = "white paint"
    walls: Line = "white paint"
    floor: Line = "light wood"


class BeforeWindow(Strict):
    """A face before a window."""

    faces_deg: Azimuth
    """Which way the window looks."""
    width_m: SizeM
    height_m: SizeM
    sill_m: Annotated[float, Field(ge=0, le=50)] = 0.9
    glass: Literal["none", "float", "laminated"] = "float"
    panes: Annotated[int, Field(ge=1, le=4)] = 1
    frame_share: Share = 0.0
    outer_reveal_m: Annotated[float, Field(ge=0, le=3)] = 0.0
    inner_reveal_m: Annotated[float, Field(ge=0, le=3)] = 0.0
    obstruction_deg: Annotated[float, Field(ge=0, le=80)] = 0.0
    ground_reflectance: Annotated[float, Field(ge=0, le=1)] = 0.1
    distance_m: DistanceM
    """From the glass to the face, square to the wall."""
    offset_m: Annotated[float, Field(ge=-100, le=100)] = 0.0
    """Along the wall, to the right of the window's middle as one looks out."""
    face_height_m: Annotated[float, Field(ge=0, le=50)] = 1.2
    turn_deg: Annotated[float, Field(ge=-180, le=180)] = 0.0
    """Which way the face looks: 0 straight at the window's wall, 90 to the right."""
    room: Indoors | None = None


class Seat(Thing):
    """Where somebody sits in daylight: in the open air, or before a window."""

    place: Name
    open_air: OpenAir | None = None
    window: BeforeWindow | None = None
    off_sd_stops: SpreadStops = 0.35
    """How far its light may be off from tape and compass, until a sheet or a meter tells."""
    snow: bool = False
    """Whether snow lies all around now."""

    @model_validator(mode="after")
    def _one(self) -> Self:
        if (self.open_air is None) == (self.window is None):
            msg = "a seat takes exactly one of open_air and window"
            raise ValueError(msg)
        return self


class SkySeen(Strict):
    """The sky over a seat: one word, or eighths of cloud with what the sun does."""

    word: SkyWord | None = None
    okta: Annotated[int, Field(ge=0, le=8)] | None = None
    sun: Literal["yes", "no", "veiled", "comes and goes"] | None = None

    @model_validator(mode="after")
    def _one(self) -> Self:
        counted = self.okta is not None and self.sun is not None
        if (self.word is None) != counted or (self.word and (self.okta or self.sun)):
            msg = "a sky takes either a word, or okta together with sun"
            raise ValueError(msg)
        return self
