"""Slips in the photographer's words: what happened, and whether the sheet shows it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stillroom.belief import Comparison, Posterior, Slip, Spot, Weighed, alike
from stillroom.documents.odd import OddSheet
from stillroom.light import nearest_third_f_number
from stillroom.services.reasons import placement_of_density, size, size_and_way
from stillroom.sitter import region_name

FITS_STOPS = 0.35
"""What is seen bears out a slip when it lies so near to what the slip would do."""
HARDLY_STOPS = 1 / 6
FITS_DENSITY = 0.12
NEAR_END_DENSITY = 0.12
_VERDICTS = {
    "black": "black",
    "too_dark": "too dark",
    "as_wanted": "as wanted",
    "too_light": "too light",
    "bare_paper": "bare paper",
}


def slip_id(weighed: Weighed) -> str:
    """What an answer calls a slip by."""
    e = weighed.explanation
    return "-".join(part.replace(" ", "_") for part in (e.kind.value, e.subject, e.part) if part)


def what_happened(weighed: Weighed, names: Mapping[str, str] | None = None) -> str:
    """A slip as it would be said: *the key dial stood 1 lower than written*.

    Parameters
    ----------
    weighed : Weighed
        The slip.
    names : mapping, optional
        ``paper/sorrel-2/7`` to the name people know.
    """
    e, value = weighed.explanation, weighed.case.value
    higher = "higher" if value > 0 else "lower"
    wider = "wider" if sum(weighed.change_stops) > 0 else "smaller"
    text = _SIZED.get(e.kind) or _PLAIN[e.kind]
    return text.format(
        role=(names or {}).get(f"paper/{e.subject}", e.subject),
        part=e.part,
        value=value,
        much=size(value) if e.kind in (Slip.DIAL, Slip.NOT_CHARGED) else "",
        mark=nearest_third_f_number(value) if e.kind is Slip.STOP else "",
        way=wider if e.kind is Slip.STOP else higher,
        s="" if value == 1 else "s",
        time=seconds_text(value) if e.kind is Slip.TIME else "",
    )


_SIZED = {
    Slip.DIAL: "the {role} dial stood {much} {way} than written",
    Slip.NOT_CHARGED: "the {role} head was not charged, {much} short",
    Slip.STOP: "the lens stood at f/{mark:g}, a {way} stop",
    Slip.POPS: "it got {value:g} pop{s}",
    Slip.TIME: "the lens was open for {time}",
    Slip.PAPER: "it was another paper: {role}",
}
_PLAIN = {
    Slip.MODIFIER_OFF: "the {part} was not on the {role} light",
    Slip.MODIFIER_ON: "the {part} was left on the {role} light",
    Slip.NOT_FIRED: "the {role} head did not fire",
    Slip.ROOM: "the room was otherwise: {role}",
    Slip.KNOCKED: "the {role} light was knocked",
    Slip.TWICE: "it was exposed twice",
    Slip.WRONG_SIDE: "the paper lay wrong side out",
    Slip.THIN_BLACKS: "re-exposure or second development was too short",
    Slip.TIRED: "the developer was tired",
    Slip.VEIL: "light leaked in, or the sheet was fogged",
    Slip.SCATTER: "nothing went wrong",
    Slip.SPOILED: "it was spoiled by something else",
}


_CHECKS = {
    Slip.DIAL: "read the {role} dial as it stands",
    Slip.MODIFIER_OFF: "look at what hangs on the {role} light now",
    Slip.MODIFIER_ON: "look at what hangs on the {role} light now",
    Slip.NOT_FIRED: "fire the {role} head alone and look",
    Slip.NOT_CHARGED: "meter the {role} head twice, after a long wait and after a short one",
    Slip.KNOCKED: "measure how far the {role} light stands, and see where it points",
    Slip.STOP: "read the mark on the lens as it stands",
    Slip.POPS: "ask whoever counted the pops",
    Slip.TIME: "time the opening once more, without paper",
    Slip.TWICE: "process the sheet that lay behind it: if it never saw light it is black all over",
    Slip.ROOM: "look at curtains and lamps as they are now",
    Slip.PAPER: "read the label of the box, and count its sheets",
    Slip.WRONG_SIDE: "look at which side of the paper the picture is",
    Slip.THIN_BLACKS: "put a control strip through the baths: its black is short as well",
    Slip.TIRED: "put a control strip through the baths: its tones are darker too",
    Slip.VEIL: "look at the edges that lay under the holder: what lit them came past the lens",
}


def what_would_tell(weighed: Weighed) -> str:
    """The check that tells a slip from another that gives the same sheet, as a sentence.

    Parameters
    ----------
    weighed : Weighed
        A slip with a name.
    """
    e = weighed.explanation
    return f"This would tell: {_CHECKS[e.kind].format(role=e.subject)}."


def seconds_text(seconds: float) -> str:
    """An open time in a few signs."""
    return f"1/{round(1 / seconds)} s" if seconds < 0.6 else f"{seconds:.2g} s"


def sentence_of(
    weighed: Weighed, spots: Sequence[Spot], without: Posterior, names: Mapping[str, str]
) -> str:
    """What a slip would have done, and whether the sheet shows it.

    The part of the picture it would change most is named, and the one it would leave alone.
    """
    what = what_happened(weighed, names)
    what = what[0].upper() + what[1:]
    if weighed.explanation.kind is Slip.THIN_BLACKS:
        return f"{what}: {_thin(weighed, spots)}"
    most = max(range(len(spots)), key=lambda i: abs(weighed.change_stops[i]))
    spot, change = spots[most], weighed.change_stops[most]
    would = _near_end(weighed.density[most], without) or size_and_way(change)
    said = f"{what}: {_name(spot)} would be {would}"
    seen = seen_change(spot, without)
    near = spot.density is not None and abs(spot.density - weighed.density[most]) < FITS_DENSITY
    said += ", and it is" if near or _fits(seen, change) else f"; it is {_told(seen)}"
    least = min(range(len(spots)), key=lambda i: abs(weighed.change_stops[i]))
    if abs(weighed.change_stops[least]) < HARDLY_STOPS and least != most:
        stays = seen_change(spots[least], without)
        if isinstance(stays, float):
            ends = ", and it does" if abs(stays) < FITS_STOPS else f"; it is {_told(stays)}"
            said += f". {_name(spots[least]).capitalize()} would stay{ends}"
    return f"{said}."


def _near_end(density: float, without: Posterior) -> str:
    """The word for a tone near an end of the paper, where stops say little."""
    curves = without.states().curves
    if density > float(curves.dmax.mean()) - NEAR_END_DENSITY:
        return "near black"
    return "near bare paper" if density < float(curves.dmin.mean()) + NEAR_END_DENSITY / 2 else ""


def _thin(weighed: Weighed, spots: Sequence[Spot]) -> str:
    """Thin blacks are told in densities, for no light makes them."""
    lost = [s.expected_density - d for s, d in zip(spots, weighed.density, strict=True)]
    most = max(range(len(spots)), key=lambda i: lost[i])
    spot, would = spots[most], weighed.density[most]
    said = f"{_name(spot)} would be {would:.2f} instead of {spot.expected_density:.2f}"
    if spot.density is None:
        return f"{said}; it was said to be {_told(spot.verdict or '')}."
    fits = abs(spot.density - would) < FITS_DENSITY
    return (
        f"{said}, and it is {spot.density:.2f}." if fits else f"{said}; it is {spot.density:.2f}."
    )


def seen_change(spot: Spot, without: Posterior) -> float | str:
    """How far a spot lies from what was expected [stops], or the word it ends in."""
    if spot.density is None:
        return spot.verdict or ""
    placed = placement_of_density(without, spot.density)
    if placed is None:
        dark = spot.density > (spot.expected_density if spot.expected_density > 1 else 1.0)
        return "black" if dark else "bare_paper"
    return placed - spot.expected_stops


def _fits(seen: float | str, change: float) -> bool:
    if isinstance(seen, float):
        return abs(seen - change) < FITS_STOPS
    darker = seen in ("black", "too_dark")
    return darker if change < 0 else seen in ("bare_paper", "too_light")


def _told(seen: float | str) -> str:
    if isinstance(seen, str):
        return _VERDICTS.get(seen, seen)
    return "about as expected" if abs(seen) < HARDLY_STOPS else size_and_way(seen)


def _name(spot: Spot) -> str:
    name = region_name(spot.region).lower()
    return f"{name} of strip {spot.strip + 1}" if spot.strip else name


def how_it_stands_out(spots: Sequence[Spot], without: Posterior) -> str:
    """What is odd about a sheet: the part furthest from what everything else says."""
    changes = [seen_change(s, without) for s in spots]
    known = [(abs(c), i) for i, c in enumerate(changes) if isinstance(c, float)]
    ends = [i for i, c in enumerate(changes) if isinstance(c, str)]
    if known and (max(known)[0] >= HARDLY_STOPS or not ends):
        i = max(known)[1]
        change = changes[i]
        assert isinstance(change, float)  # noqa: S101 - it is one of the known
        return (
            f"{_name(spots[i]).capitalize()} came out {size_and_way(change)} than everything "
            "else says."
        )
    i = ends[0]
    expected = size_and_way(spots[i].expected_stops)
    return (
        f"{_name(spots[i]).capitalize()} came out {_told(changes[i])}; everything else says "
        f"{expected} than the middle tone."
    )


def told_together(sheets: tuple[OddSheet, ...]) -> tuple[OddSheet, ...]:
    """Sheets that stand out at once, each told of the others: one of them may be the good one.

    Parameters
    ----------
    sheets : tuple of OddSheet
        Those of one sitting.
    """
    asked = [sheet for sheet in sheets if sheet.answer is None]
    if len(asked) < 2:
        return sheets
    told = []
    for sheet in sheets:
        others = " and ".join(x.mark for x in asked if x is not sheet)
        more = (
            f" So did {others}, and sheets contradict each other: answer first for the one you "
            "are surer of; what is left may then fit."
        )
        sentence = sheet.sentence + more if sheet.answer is None else sheet.sentence
        told.append(sheet.model_copy(update={"sentence": sentence}))
    return tuple(told)


def cannot_tell(named: Sequence[Weighed]) -> dict[int, tuple[int, ...]]:
    """Which of the named slips would give the same sheet, by their places."""
    return {
        i: tuple(j for j, other in enumerate(named) if j != i and alike(one, other))
        for i, one in enumerate(named)
    }


def likeliest_slip_sentence(comparison: Comparison, number: int) -> str:
    """One sentence for the bare ledger: what most likely happened to a sheet.

    Parameters
    ----------
    comparison : Comparison
        The sheet's, from `stillroom.belief.compare`.
    number : int
        Of the sheet in its sitting [1].
    """
    named = comparison.likeliest()
    first = named[0]
    most = max(range(len(comparison.spots)), key=lambda i: abs(first.change_stops[i]))
    region = comparison.spots[most].region
    change = first.change_stops[most]
    same = [what_happened(w) for w in named[1:] if alike(first, w)]
    either = f" or {same[0]}, which looks the same" if same else ""
    return (
        f"Sheet {number} contradicts everything else and is held apart; likeliest that "
        f"{what_happened(first)}{either}: {region} would be {size(change)} "
        f"{'lighter' if change > 0 else 'darker'}."
    )
