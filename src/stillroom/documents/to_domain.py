"""From the models of a document to the plain records of the rooms."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol, TypeVar

from stillroom import camera, light, paper, sitter
from stillroom.documents import book, kit
from stillroom.errors import UnknownName


class _HasId(Protocol):
    @property
    def id(self) -> str: ...


Thing = TypeVar("Thing", bound=_HasId)


def named(kind: str, name: str, things: Iterable[Thing]) -> Thing:
    """The thing of that name.

    Raises
    ------
    UnknownName
        If no thing carries it.
    """
    known = {thing.id: thing for thing in things}
    if name not in known:
        raise UnknownName(kind, name, known)
    return known[name]


def camera_of(model: kit.Camera) -> camera.Camera:
    """A camera."""
    return camera.Camera(
        model.id, model.format_mm, model.draw_min_mm, model.draw_max_mm, model.flare_share
    )


def lens_of(model: kit.Lens) -> camera.Lens:
    """A lens; its marks widest first."""
    return camera.Lens(
        model.id,
        model.focal_mm,
        tuple(sorted(model.f_numbers)),
        model.true_f_number_wide_open,
        model.pupil_ratio,
        model.transmission_stops,
        model.transmission_sd_stops,
        model.coverage_mm,
        model.spectral,
        model.own_transmission,
    )


def head_of(model: kit.Head) -> light.Head:
    """A flash head."""
    dial = light.Dial(model.dial.kind, model.dial.min, model.dial.max, model.dial.step)
    return light.Head(
        model.id,
        model.energy_ws,
        dial,
        model.efficacy_lm_s_per_ws,
        model.reflector_factor,
        model.output_sd_stops,
        model.full_log2_lxs_1m,
    )


def lamp_of(model: kit.Lamp) -> light.Lamp:
    """A steady lamp."""
    return light.Lamp(model.id, model.kind, model.intensity_cd, model.intensity_sd_stops)


def modifier_of(model: kit.Modifier) -> light.Modifier:
    """A modifier."""
    return light.Modifier(
        model.id,
        model.kind,
        model.width_m,
        model.height_m,
        model.layers,
        model.loss_stops,
        model.loss_sd_stops,
        model.measured_at_m,
    )


def batch_of(model: book.Paper) -> paper.PaperBatch:
    """A batch of paper."""
    return paper.PaperBatch(
        id=model.id,
        batch=model.batch,
        response=model.response,
        grade=model.grade,
        ei=model.ei,
        ei_sd_stops=model.ei_sd_stops,
        contrast_per_stop=model.contrast_per_stop,
        contrast_log_sd=model.contrast_log_sd,
        asymmetry_log_sd=model.asymmetry_log_sd,
        dmin=model.dmin,
        dmin_sd=model.dmin_sd,
        dmax=model.dmax,
        dmax_sd=model.dmax_sd,
        own_response=model.own_response,
    )


def sitter_of(model: book.Sitter) -> sitter.Sitter:
    """A sitter."""
    return sitter.Sitter(
        model.id,
        model.initials,
        model.skin.actinic_reflectance,
        model.skin.guess,
        model.holds_still_s or None,
    )


def magnification_of(framing: book.Framing, lens: camera.Lens) -> float:
    """The magnification a framing stands for."""
    if framing.magnification is not None:
        return framing.magnification
    if framing.subject_distance_m is not None:
        return camera.magnification_from_distance(lens.focal_mm, framing.subject_distance_m)
    return camera.magnification_from_draw(lens.focal_mm, framing.draw_mm or 0.0)
