"""Ways on another camera as a terminal shows them: figures beside each, and a line of reasons."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.ways import CameraShown, InFocus, Way, Ways
from stillroom.quantity import stops_text
from stillroom.telling.focus_words import taped
from stillroom.telling.odds import odds, one_in, worth_saying
from stillroom.telling.words import figure, seconds, tape


@dataclass(frozen=True, slots=True)
class WayTold:
    """One way."""

    rank: str
    """Its number; a cross where it is not possible."""
    title: str
    detail: str
    changes: str
    """What is done besides turning dials."""
    tones: str
    focus: str
    hold: str
    edge: str
    right: str
    """Odds of all together."""
    why: str
    firing: str


@dataclass(frozen=True, slots=True)
class WaysTold:
    """The whole answer."""

    title: str
    headline: str
    otherwise: str
    figures: tuple[tuple[str, str], ...]
    ways: tuple[WayTold, ...]
    nearest: str
    piece: str
    straight: str
    carries: tuple[str, ...]
    does_not: tuple[str, ...]
    cautions: tuple[str, ...]


def told(ways: Ways) -> WaysTold:
    """Put an answer in words.

    Parameters
    ----------
    ways : Ways
        The answer.

    Returns
    -------
    WaysTold
    """
    in_hand = ways.viewing == "in_the_hand"
    there, now = ways.other, ways.in_use
    figures = [
        ("Bellows", f"{_draw(there)}, now {_draw(now)}"),
        ("Draw", tape(there.draw_mm / 1000)),
        ("Lens to eye", tape(there.subject_distance_m)),
        ("In focus about the eye", f"{_depth(there.in_focus)} at f/{there.f_number:g}"),
        ("As now", f"{_depth(now.in_focus)} at f/{now.f_number:g}"),
    ]
    if ways.floor is not None:
        figures.append(("Tape on the floor", taped(ways.floor)))
    if ways.out_of_frame is not None:
        figures.append(("Out of the picture", ways.out_of_frame.text))
    piece, straight = "", ""
    if ways.piece is not None:
        piece = ways.piece.text
        straight = (
            f"Straight to a sheet, tones land {odds(ways.piece.p_straight)}; after the piece "
            f"{odds(ways.piece.p_after)}."
        )
    return WaysTold(
        title=f"{there.camera_name}, {there.lens_name}, on {ways.paper}",
        headline=ways.headline,
        otherwise=(ways.on_the_wall if in_hand else ways.in_the_hand).sentence,
        figures=tuple(figures),
        ways=tuple(_way(way) for way in ways.ways),
        nearest=ways.nearest,
        piece=piece,
        straight=straight,
        carries=tuple(c.text for c in ways.carried if c.carries),
        does_not=tuple(c.text for c in ways.carried if not c.carries),
        cautions=ways.cautions,
    )


def _way(way: Way) -> WayTold:
    edge = "no flash" if way.firing is None else "none"
    if way.p_ghost is not None and worth_saying(way.p_ghost):
        edge = one_in(way.p_ghost)
    hold = "nothing"
    if way.hold_s > 0:
        hold = f"{seconds(way.hold_s)}: {odds(way.p_held)}"
    reach = ""
    if not way.feasible and abs(way.reaches_stops) >= 1 / 3:
        reach = f" ({stops_text(way.reaches_stops)} from the aim)"
    return WayTold(
        rank=str(way.rank) if way.feasible else "\N{MULTIPLICATION SIGN}",
        title=way.title,
        detail=way.detail,
        changes=" ".join(way.changes),
        tones=f"{odds(way.p_tones)}{reach}",
        focus=f"{_depth(way.in_focus)}: {odds(way.p_eye_sharp)}",
        hold=hold,
        edge=edge,
        right=odds(way.p_all),
        why=way.why,
        firing=way.firing.text if way.firing is not None else "",
    )


def _draw(camera: CameraShown) -> str:
    stops, scale = figure(-camera.bellows_stops, 2), figure(1 / camera.magnification)
    return f"{stops} {'stop' if stops == '1' else 'stops'} at 1:{scale}"


def _depth(focus: InFocus) -> str:
    before = f"{focus.before_mm:.0f}"
    behind = "far" if focus.behind_mm is None else f"{focus.behind_mm:.0f}"
    return f"−{before} +{behind} mm"
