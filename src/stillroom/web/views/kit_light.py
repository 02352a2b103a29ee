"""Flash heads, steady lamps and modifiers: questions, and what the answers mean."""

from __future__ import annotations

from collections.abc import Callable

from stillroom.documents.kit import Head, Lamp, Modifier
from stillroom.light import MODIFIER_PRIORS, ROUND_KINDS
from stillroom.services.cautions import HOT, NEAR_EYES, NEVER_OPEN, ULTRAVIOLET
from stillroom.telling.words import figure, range_of_sd
from stillroom.web.forms import Field
from stillroom.web.views.kit_kind import NAME, NOTE, Answers, Data, Kind, dumped, plain

OWN_KIND = "other"

# ── Flash heads ─────────────────────────────────────────────────────────────────────────────────

_DIALS: dict[str, Callable[[float], Data]] = {
    "tenths": lambda _: {"kind": "stops", "min": -7.0, "max": 0.0, "step": 0.1},
    "thirds": lambda _: {"kind": "stops", "min": -7.0, "max": 0.0, "step": 1 / 3},
    "fraction": lambda _: {"kind": "fraction", "min": 1 / 128, "max": 1.0, "step": 0.1},
    "energy": lambda full_ws: {"kind": "energy", "min": full_ws / 64, "max": full_ws, "step": 1.0},
}
_DIAL_CHOICES = (
    ("tenths", "tenths of a stop", "full, and tenths below it"),
    ("thirds", "thirds of a stop", "clicks of a third below full"),
    ("fraction", "fractions", "1/1, 1/2, 1/4 and tenths between"),
    ("energy", "watt-seconds", "the energy itself"),
)
_ENERGIES_WS = ("100", "200", "250", "300", "400", "500", "600", "1000", "1200", "2400")
_HEAD_NUMBERS = (
    "energy_ws",
    "efficacy_lm_s_per_ws",
    "reflector_factor",
    "output_sd_stops",
    "recycle_s",
    "modelling_w",
    "pops_per_minute_full",
    "pops_in_a_row_full",
    "mains_a",
    "battery_pops_full",
)


def _head_data(answers: Answers) -> Data:
    data = plain(("name", "note", *_HEAD_NUMBERS))(answers)
    if "energy_ws" not in data and "about_ws" in answers:
        data["energy_ws"] = float(answers["about_ws"])
    dial = answers.get("dial")
    ends = {
        end: answers[f"dial_{end}"] for end in ("min", "max", "step") if f"dial_{end}" in answers
    }
    if dial:
        data["dial"] = _DIALS[dial](data.get("energy_ws", 1.0)) | ends
    return data


def _head_answers(head: Head) -> Data:
    dial = head.dial
    in_stops = "thirds" if abs(dial.step - 1 / 3) < 0.02 else "tenths"
    kind = in_stops if dial.kind == "stops" else dial.kind
    ends = {"dial_min": dial.min, "dial_max": dial.max, "dial_step": dial.step}
    return dumped(head) | {"dial": kind} | ends


HEADS = Kind(
    "heads",
    "Flash heads",
    "flash head",
    Head,
    (
        Field(
            "about_ws", "How strong, in W·s?", "choice",
            choices=tuple((e, e) for e in _ENERGIES_WS), start="500",
        ),
        Field("dial", "What does its dial show?", "choice", choices=_DIAL_CHOICES, start="tenths"),
    ),
    (
        NAME,
        Field("energy_ws", "Energy at full", "number", "W·s").of(Head),
        Field("reflector_factor", "Reflector factor", "number",
              hint="how far its plain reflector gathers; 4 is usual").of(Head),
        Field("efficacy_lm_s_per_ws", "Efficacy", "number", "lm·s per W·s",
              hint="40 is usual").of(Head),
        Field("output_sd_stops", "How unsure at full", "range", "stops").of(Head),
        Field("dial_min", "Dial, lowest", "number", hint="as the dial counts"),
        Field("dial_max", "Dial, full", "number", hint="as the dial counts"),
        Field("dial_step", "Dial, one click", "number",
              hint="stops, or W·s for an energy dial"),
        Field("recycle_s", "Full again after", "number", "s").of(Head),
        Field("modelling_w", "Modelling lamp", "number", "W").of(Head),
        Field("pops_per_minute_full", "Pops a minute at full", "number",
              hint="that its handbook allows").of(Head),
        Field("pops_in_a_row_full", "Pops at full before it must rest", "whole",
              hint="by its handbook").of(Head),
        Field("mains_a", "Draws from the mains", "number", "A", hint="while it charges").of(Head),
        Field("battery_pops_full", "Pops at full from one battery", "whole",
              hint="left out when it runs from the mains").of(Head),
        NOTE,
    ),
    _head_data,
    _head_answers,
    lambda head: f"{figure(head.energy_ws)} W·s head",
    (NEVER_OPEN, NEAR_EYES),
    {"dial": ("dial_min", "dial_max", "dial_step")},
)  # fmt: skip

# ── Steady lamps ────────────────────────────────────────────────────────────────────────────────

_LAMP_NAMES = {"tungsten": "Hot lamp", "led": "LED", "fluorescent": "Tubes", "other": "Lamp"}
LAMPS = Kind(
    "lamps",
    "Steady lamps",
    "lamp",
    Lamp,
    (
        Field("kind", "What is it?", "choice", start="tungsten", choices=(
            ("tungsten", "hot lamp", "tungsten or halogen: red light, little for the paper"),
            ("led", "LED", "a blue peak; the paper sees it well"),
            ("fluorescent", "tubes", "blue lines; the paper sees them well"),
            ("other", "another", "it starts wider"),
        )),
    ),
    (
        NAME,
        Field("intensity_cd", "Light towards the sitter", "number", "cd", required=True,
              hint="the lux a meter shows at 1 m is the same number").of(Lamp),
        Field("intensity_sd_stops", "How unsure", "range", "stops").of(Lamp),
        Field("power_w", "Draws", "number", "W").of(Lamp),
        Field("uva_w_m2_1m", "Ultraviolet at 1 m", "number", "W/m²",
              hint="by a meter for 315 to 400 nm; 0.1 mW/cm² is 1 W/m²").of(Lamp),
        Field("uv_peak_nm", "Ultraviolet peaks at", "number", "nm",
              hint="by its maker, such as 365 or 395").of(Lamp),
        NOTE,
    ),
    plain(("name", "note", "kind", "intensity_cd", "intensity_sd_stops", "power_w",
           "uva_w_m2_1m", "uv_peak_nm")),
    dumped,
    lambda lamp: _LAMP_NAMES[lamp.kind],
    (HOT, ULTRAVIOLET),
)  # fmt: skip

# ── Modifiers ───────────────────────────────────────────────────────────────────────────────────

_SIZES_M: dict[str, tuple[float | None, float | None]] = {
    "none": (None, None),
    "40": (0.40, None), "55": (0.55, None), "70": (0.70, None), "90": (0.90, None),
    "120": (1.20, None), "150": (1.50, None),
    "30x90": (0.30, 0.90), "30x120": (0.30, 1.20), "60x60": (0.60, 0.60), "60x90": (0.60, 0.90),
    "80x120": (0.80, 1.20),
}  # fmt: skip
_SIZE_CHOICES = (
    ("none", "no face of its own"),
    *((key, f"{key.replace('x', ' × ')} cm") for key in _SIZES_M if key != "none"),
)


def _prior_choices() -> tuple[tuple[str, ...], ...]:
    known = tuple(
        (
            key,
            prior.name,
            f"{figure(-prior.loss_stops)} {range_of_sd(prior.loss_sd_stops)} stops",
        )
        for key, prior in MODIFIER_PRIORS.items()
    )
    return (*known, (OWN_KIND, "something else", "type its loss below"))


def _modifier_data(answers: Answers) -> Data:
    data = plain(
        ("name", "note", "width_m", "height_m", "layers", "loss_stops", "loss_sd_stops",
         "measured_at_m")
    )(answers)  # fmt: skip
    kind = answers.get("kind", OWN_KIND)
    data["kind"] = kind
    if kind in MODIFIER_PRIORS:
        prior = MODIFIER_PRIORS[kind]
        if "loss_stops" not in data:
            data["loss_stops"] = prior.loss_stops
            data.setdefault("loss_sd_stops", prior.loss_sd_stops)
    if "width_m" not in data:
        width, height = _SIZES_M[answers.get("size", "none")]
        if width is not None:
            data["width_m"] = width
            data["height_m"] = height if height is not None or kind in ROUND_KINDS else width
    return {name: value for name, value in data.items() if value is not None}


def _modifier_name(modifier: Modifier) -> str:
    kind = modifier.kind if modifier.kind != OWN_KIND else "modifier"
    size = next(
        (
            key.replace("x", " × ")
            for key, sides in _SIZES_M.items()
            if key != "none" and modifier.width_m in sides and modifier.height_m in sides
        ),
        "",
    )
    called = kind.replace("_", " ").capitalize()
    return f"{called} {size} cm" if size else called


MODIFIERS = Kind(
    "modifiers",
    "Modifiers",
    "modifier",
    Modifier,
    (
        Field("kind", "What stands before the lamp?", "choice", choices=_prior_choices(),
              start="softbox"),
        Field("size", "How large is its face?", "choice", choices=_SIZE_CHOICES, start="none"),
    ),
    (
        NAME,
        Field("width_m", "Width", "length", hint="any wording: 90 cm, 3 ft").of(Modifier),
        Field("height_m", "Height", "length", hint="left out for a round one").of(Modifier),
        Field("layers", "Layers of cloth", "whole").of(Modifier),
        Field("loss_stops", "Loss", "number", "stops",
              hint="against the same head in its plain reflector").of(Modifier),
        Field("loss_sd_stops", "How unsure", "range", "stops").of(Modifier),
        Field("measured_at_m", "Loss metered at", "length",
              hint="from its face; left out when it is a far-off figure").of(Modifier),
        NOTE,
    ),
    _modifier_data,
    dumped,
    _modifier_name,
    follows={"kind": ("loss_stops", "loss_sd_stops")},
)  # fmt: skip
