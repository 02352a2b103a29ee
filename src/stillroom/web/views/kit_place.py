"""Places and seats of daylight: questions, and what the answers mean."""

from __future__ import annotations

import zoneinfo
from typing import Any

from stillroom.documents.book import Book
from stillroom.documents.seats import BeforeWindow, Indoors, OpenAir, Place, Seat
from stillroom.documents.thing import Thing
from stillroom.documents.to_daylight import place_of
from stillroom.light.daylight import GROUNDS, HAZE
from stillroom.light.window import SURFACES
from stillroom.quantity.compass import (
    LATITUDE_RANGE_DEG,
    LONGITUDE_RANGE_DEG,
    POINTS,
    bearing_text,
    bearing_words,
)
from stillroom.telling.names import called
from stillroom.web.forms import Field
from stillroom.web.views.kit_kind import NAME, NOTE, Answers, Data, Kind, plain

# ── Places ──────────────────────────────────────────────────────────────────────────────────────

_REGIONS = ("Africa", "America", "Antarctica", "Arctic", "Asia", "Atlantic", "Australia", "Europe",
            "Indian", "Pacific")  # fmt: skip
_HAZE_CHOICES = {
    "very clear": "far hills stand sharp and dark",
    "clear": "the usual country air",
    "hazy": "far hills are pale and blue",
    "very hazy": "a white sky near the sun, no far hills",
}


def zones() -> tuple[str, ...]:
    """Names of time zones a place may keep, those of towns and ``UTC``."""
    found = zoneinfo.available_timezones()
    return (*sorted(name for name in found if name.split("/")[0] in _REGIONS), "UTC")


def _place_data(answers: Answers) -> Data:
    return plain(
        ("name", "note", "latitude_deg", "longitude_deg", "zone", "altitude_m", "haze")
    )(answers)  # fmt: skip


def _place_answers(place: Place) -> Data:
    return place.model_dump(exclude_none=True) | {
        "latitude_deg": _coordinate(place.latitude_deg, "NS"),
        "longitude_deg": _coordinate(place.longitude_deg, "EW"),
        "altitude_m": f"{place.altitude_m:g} m",
    }


def _coordinate(deg: float, letters: str) -> str:
    return f"{abs(deg):.10g} {letters[deg < 0]}"


PLACES = Kind(
    "places",
    "Places",
    "place",
    Place,
    (
        Field("haze", "How is its air, most days?", "choice", start="clear",
              choices=tuple((word, word, _HAZE_CHOICES[word]) for word in HAZE)),
    ),
    (
        NAME,
        Field("latitude_deg", "Latitude", "latitude", "°", *LATITUDE_RANGE_DEG, required=True,
              hint="54.3 or 54° 18' N; minus is south"),
        Field("longitude_deg", "Longitude", "longitude", "°", *LONGITUDE_RANGE_DEG, required=True,
              hint="-1.5 or 1° 30' W; minus is west"),
        Field("zone", "Time zone", "zone", required=True, suggestions=zones(),
              hint="the clock that is kept there, such as Europe/London"),
        Field("altitude_m", "Height above the sea", "offset",
              hint="180 m, 600 ft; 0 unless you say").of(Place),
        NOTE,
    ),
    _place_data,
    _place_answers,
    lambda place: f"Place at {place.latitude_deg:.1f}, {place.longitude_deg:.1f}",
    lasting=("haze",),
    gone="Not worked at any more",
)  # fmt: skip

# ── Seats ───────────────────────────────────────────────────────────────────────────────────────

_OPEN, _WINDOW = ("shape", "open"), ("shape", "window")
_WINDS = tuple((point, point) for point in POINTS[::2])
_YES_NO = (("yes", "yes"), ("no", "no"))
_FREE = {"all": 1.0, "most": 0.75, "half": 0.5, "quarter": 0.25}
_TURNS_DEG = {"to": 0.0, "half right": 45.0, "half left": -45.0, "right": 90.0, "left": -90.0}
_OPEN_NUMBERS = ("skyline_deg",)
_WINDOW_NUMBERS = (
    "width_m", "height_m", "sill_m", "panes", "frame_share", "outer_reveal_m", "inner_reveal_m",
    "obstruction_deg", "distance_m", "offset_m", "face_height_m",
)  # fmt: skip
_ROOM_SIZES = {"room_width_m": "width_m", "room_depth_m": "depth_m", "room_height_m": "height_m"}
_ROOM_PART = "The room, if it is to count"
_ROOM_SURFACES = ("ceiling", "walls", "floor")
_SURFACE_CHOICES = tuple((name, name) for name in SURFACES)


def _seat_data(answers: Answers) -> Data:
    data = plain(("name", "note", "place", "off_sd_stops"))(answers)
    if answers.get("shape") == "open":
        data["open_air"] = _open_air(answers)
    elif answers.get("shape") == "window":
        data["window"] = _before_window(answers)
    if answers.get("ground") == "snow":
        data["snow"] = True
    return data


def _open_air(answers: Answers) -> Data:
    data = plain(_OPEN_NUMBERS)(answers)
    _set(data, "faces_deg", _direction(answers, "faces", "looks"))
    _set(data, "ground_reflectance", _ground(answers))
    _set(data, "sky_share", answers.get("sky_share", _FREE.get(answers.get("free", ""))))
    for name in ("sun", "ground_sunlit"):
        _set(data, name, {"yes": True, "no": False}.get(answers.get(name, "")))
    return data


def _before_window(answers: Answers) -> Data:
    data = plain((*_WINDOW_NUMBERS, "glass"))(answers)
    _set(data, "faces_deg", _direction(answers, "window_faces", "window_looks"))
    _set(data, "turn_deg", answers.get("turn_deg", _TURNS_DEG.get(answers.get("turned", ""))))
    ground = _ground(answers)
    if ground is None and answers.get("ground") == "snow":
        ground = GROUNDS["snow"]  # before a window nothing else says what lies all around
    _set(data, "ground_reflectance", ground)
    room = {known: answers[name] for name, known in _ROOM_SIZES.items() if name in answers}
    if room:
        data["room"] = room | plain(_ROOM_SURFACES)(answers)
    return data


def _set(data: Data, name: str, value: Any) -> None:
    if value is not None:
        data[name] = value


def _direction(answers: Answers, typed: str, tapped: str) -> float | None:
    if typed in answers:
        return float(answers[typed])
    wind = answers.get(tapped)
    return None if wind is None else POINTS.index(wind) * 360 / len(POINTS)


def _ground(answers: Answers) -> float | None:
    """Its reflectance; None where it is what lies all around."""
    if "ground_reflectance" in answers:
        return float(answers["ground_reflectance"])
    word = answers.get("ground")
    return None if word in (None, "ordinary", "snow") else GROUNDS[word]


def _seat_answers(seat: Seat) -> Data:
    answers = seat.model_dump(exclude={"open_air", "window"}, exclude_none=True)
    inside = seat.open_air or seat.window
    assert inside is not None  # noqa: S101 - the model holds one of the two
    told = _open_answers(inside) if isinstance(inside, OpenAir) else _window_answers(inside)
    return answers | told | _ground_answers(seat, inside.ground_reflectance)


def _open_answers(open_air: OpenAir) -> Data:
    answers: Data = {
        "shape": "open",
        "sun": "yes" if open_air.sun else "no",
        "ground_sunlit": "yes" if open_air.ground_sunlit else "no",
        "skyline_deg": open_air.skyline_deg,
    }
    answers |= _direction_answers(open_air.faces_deg, "faces", "looks")
    return answers | _word_or_figure(open_air.sky_share, _FREE, "free", "sky_share")


def _window_answers(window: BeforeWindow) -> Data:
    answers: Data = {name: getattr(window, name) for name in (*_WINDOW_NUMBERS, "glass")}
    answers["shape"] = "window"
    answers |= _direction_answers(window.faces_deg, "window_faces", "window_looks")
    answers |= _word_or_figure(window.turn_deg, _TURNS_DEG, "turned", "turn_deg")
    if window.room is not None:
        answers |= {name: getattr(window.room, known) for name, known in _ROOM_SIZES.items()}
        answers |= {name: getattr(window.room, name) for name in _ROOM_SURFACES}
    return answers


def _direction_answers(deg: float, typed: str, tapped: str) -> Data:
    point = bearing_text(deg)
    is_wind = any(point == wind for wind, _ in _WINDS)
    return {tapped: point, typed: ""} if is_wind else {tapped: "", typed: point}


def _word_or_figure(value: float, words: dict[str, float], tapped: str, typed: str) -> Data:
    word = next((word for word, known in words.items() if known == value), "")
    return {tapped: word, typed: "" if word else value}


def _ground_answers(seat: Seat, reflectance: float | None) -> Data:
    usual = None if seat.open_air is not None else GROUNDS["ordinary"]
    if seat.snow:
        usual = None if seat.open_air is not None else GROUNDS["snow"]
        typed = "" if reflectance == usual else reflectance
        return {"ground": "snow", "ground_reflectance": typed}
    if reflectance == usual:
        return {"ground": "ordinary", "ground_reflectance": ""}
    words = {word: GROUNDS[word] for word in ("grass", "sand")}
    return _word_or_figure(reflectance or 0.0, words, "ground", "ground_reflectance")


def _seat_name(seat: Seat) -> str:
    if seat.window is not None:
        return f"Window to the {bearing_words(seat.window.faces_deg)}"
    assert seat.open_air is not None  # noqa: S101 - the model holds one of the two
    return f"Open, facing {bearing_words(seat.open_air.faces_deg)}"


def _places_of(book: Book) -> dict[str, tuple[tuple[str, str], ...]]:
    return {"place": tuple((p.id, called(p, p.id)) for p in book.kit.places if not p.retired)}


def _window_field(
    name: str, label: str, kind: Any = "offset", unit: str = "", **more: Any
) -> Field:
    part = more.pop("part", "The window")
    return Field(name, label, kind, unit, when=_WINDOW, part=part, **more).of(BeforeWindow)


def _room_field(name: str, label: str) -> Field:
    room = Field(name, label, "length", when=_WINDOW, part=_ROOM_PART, together=tuple(_ROOM_SIZES))
    return room.of(Indoors, _ROOM_SIZES[name])


SEATS = Kind(
    "seats",
    "Seats",
    "seat",
    Seat,
    (
        Field("place", "At which place?", "choice", required=True),
        Field("shape", "Where does one sit?", "choice", required=True, start="window", choices=(
            ("window", "before a window", "a door or a gate with nothing in it counts too"),
            ("open", "in the open", "a yard, a garden, the shade of a wall"),
        )),
        Field("looks", "Which way does the face look?", "choice", choices=_WINDS, required=True,
              when=_OPEN, unless="faces"),
        Field("sun", "Can the sun reach the face?", "choice", choices=_YES_NO, start="yes",
              when=_OPEN),
        Field("ground_sunlit", "Is the ground in front sunlit?", "choice", choices=_YES_NO,
              start="yes", when=_OPEN),
        Field("free", "How much of the sky in front is free?", "choice", start="all", when=_OPEN,
              choices=(("all", "all of it"), ("most", "three quarters"), ("half", "half"),
                       ("quarter", "a quarter"))),
        Field("window_looks", "Which way does the window look?", "choice", choices=_WINDS,
              required=True, when=_WINDOW, unless="window_faces"),
        Field("glass", "Which glass?", "choice", start="float", when=_WINDOW, choices=(
            ("float", "window glass", "plain panes"),
            ("laminated", "laminated", "two sheets with foil between: no ultraviolet"),
            ("none", "none", "an open window, a door, a gate"),
        )),
        Field("turned", "How is the face turned?", "choice", start="to", when=_WINDOW, choices=(
            ("to", "to the window"),
            ("half right", "half away, to the right as one looks out"),
            ("half left", "half away, to the left"),
            ("right", "along the wall, to the right"),
            ("left", "along the wall, to the left"),
        )),
        Field("ground", "What ground lies in front?", "choice", start="ordinary",
              choices=tuple((word, word) for word in GROUNDS)),
    ),
    (
        NAME,
        Field("faces", "Face looks, exactly", "direction", when=_OPEN, part="In the open",
              hint="degrees from north clockwise, or a finer point: 47, NNE"),
        Field("sky_share", "Share of the sky in front that is free", "number", when=_OPEN,
              part="In the open").of(OpenAir),
        Field("skyline_deg", "Skyline", "number", "°", when=_OPEN, part="In the open",
              hint="roofs and trees hide the sun below it; a fist at arm’s length is about 10°",
              ).of(OpenAir),
        _window_field("width_m", "Width of the window", "length", required=True),
        _window_field("height_m", "Height of the window", "length", required=True),
        Field("window_faces", "Window looks, exactly", "direction", when=_WINDOW,
              part="The window",
              hint="degrees from north clockwise, or a finer point: 47, NNE"),
        _window_field("sill_m", "Sill above the floor", hint="90 cm unless you say"),
        _window_field("panes", "Panes, one behind the other", "whole"),
        _window_field("frame_share", "Share of it that frame and bars take", "number"),
        _window_field("outer_reveal_m", "Wall outside the glass", hint="how deep it stands in"),
        _window_field("inner_reveal_m", "Wall inside the glass"),
        _window_field("obstruction_deg", "Houses opposite, up to", "number", "°",
                      hint="seen from the window; a fist at arm’s length is about 10°"),
        _window_field("distance_m", "Face from the glass", "length", required=True,
                      part="The face", hint="square to the wall"),
        _window_field("offset_m", "Face to the side of the window’s middle", part="The face",
                      hint="to the right as one looks out; minus for the left"),
        _window_field("face_height_m", "Face above the floor", part="The face",
                      hint="1.2 m unless you say"),
        _window_field("turn_deg", "Face turned, exactly", "number", "°", part="The face",
                      hint="0 to the window, 90 along the wall to the right as one looks out"),
        _room_field("room_width_m", "Room, along that wall"),
        _room_field("room_depth_m", "Room, away from it"),
        _room_field("room_height_m", "Room, floor to ceiling"),
        *(
            Field(name, label, "choice", choices=_SURFACE_CHOICES, when=_WINDOW, start=start,
                  part=_ROOM_PART)
            for name, label, start in (
                ("ceiling", "Ceiling", "white paint"),
                ("walls", "Walls", "white paint"),
                ("floor", "Floor", "light wood"),
            )
        ),
        Field("ground_reflectance", "Ground in front, share it throws back", "number", low=0,
              high=1, part="The ground", hint="as the paper sees it, where no word fits"),
        Field("off_sd_stops", "How far its light may be off", "range", "stops", part="How sure",
              hint="tape and compass alone; sheets narrow it").of(Seat),
        NOTE,
    ),
    _seat_data,
    _seat_answers,
    _seat_name,
    follows={
        "looks": ("faces",),
        "window_looks": ("window_faces",),
        "free": ("sky_share",),
        "turned": ("turn_deg",),
        "ground": ("ground_reflectance",),
    },
    lasting=("place", "shape", "looks", "sun", "ground_sunlit", "free", "window_looks", "glass",
             "turned", "ground"),
    gone="Not sat on any more",
    offered=_places_of,
)  # fmt: skip


def doubts(thing: Thing) -> tuple[str, ...]:
    """What looks like a slip of the pen in a place that can be written down all the same."""
    return place_of(thing).cautions if isinstance(thing, Place) else ()
