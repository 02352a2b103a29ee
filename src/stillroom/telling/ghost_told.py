"""The answer about second edges and the dark test as both doors print them."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.documents.ghost import DarkTest, DarkTestRead, Ghost, RegionGhost
from stillroom.services.ghost_words import FIRES_WORDS
from stillroom.services.stillness_words import SUPPORT_WORDS
from stillroom.sitter import region_name
from stillroom.telling.odds import odds, one_in, worth_saying
from stillroom.telling.words import figure, seconds

FROM_SHARE = 0.001
"""A share of steady light below this is called none to speak of."""
TELLS_FROM = 1 / 20
"""From here on the odds of a second edge are worth a dark test."""


@dataclass(frozen=True, slots=True)
class GhostTold:
    """The line for a page, what helps, and the rows and sentences folded under it."""

    line: str
    """The odds and the longest open time, in one line."""
    ways: tuple[str, ...]
    """What would help."""
    dark_test: str
    """The offer of a dark test; empty where it would tell nothing."""
    regions: tuple[tuple[str, str, str], ...]
    """Region, steady light's share with its range, odds of a second edge."""
    rows: tuple[tuple[str, str], ...]
    """What it was reckoned from."""
    notes: tuple[str, ...]
    """Modelling lamps, walking in and out, mixing, other states of the room."""


@dataclass(frozen=True, slots=True)
class DarkTestTold:
    """How to make a dark test, and what it would prove."""

    line: str
    steps: tuple[str, ...]
    sees: tuple[tuple[str, str], ...]
    """How likely, and what it would prove."""
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DarkTestReadTold:
    """What a dark test proved."""

    line: str
    rows: tuple[tuple[str, str], ...]


def told(answer: Ghost) -> GhostTold:
    """Lines, rows and notes of an answer.

    Parameters
    ----------
    answer : Ghost
        The answer.

    Returns
    -------
    GhostTold
    """
    both = answer.has_flash and answer.has_steady
    regions = tuple((r.name, share_text(r), one_in(r.p_shows)) for r in answer.regions)
    return GhostTold(
        line=_line(answer),
        ways=tuple(way.text for way in answer.ways),
        dark_test=_dark_offer(answer),
        regions=regions if both else (),
        rows=_rows(answer) if both else (),
        notes=_notes(answer),
    )


def dark_told(answer: DarkTest) -> DarkTestTold:
    """The plan of a dark test.

    Parameters
    ----------
    answer : DarkTest
        The answer.

    Returns
    -------
    DarkTestTold
    """
    tenths = round(10 * answer.card_reflectance, 1)
    notes = [f"The card is taken to send back {tenths:g} tenths of the light the paper sees."]
    if not answer.has_steady:
        notes.append(
            "No light of the room is written down yet: the test writes one in, as a guess that "
            "may be off eight times either way."
        )
    return DarkTestTold(
        line=(
            f"Dark test: a white card in the chair, open {seconds(_short(answer.open_s))}, no pop."
        ),
        steps=answer.steps,
        sees=tuple((odds(x.p), x.text) for x in answer.sees),
        notes=tuple(notes),
    )


def dark_read_told(answer: DarkTestRead) -> DarkTestReadTold:
    """What a dark test proved.

    Parameters
    ----------
    answer : DarkTestRead
        The answer.

    Returns
    -------
    DarkTestReadTold
    """
    before, after = answer.before.share, answer.after.share
    return DarkTestReadTold(
        line=answer.sentence,
        rows=(
            ("Room light on the face, before", _share(before.q50, before.q05, before.q95)),
            ("Room light on the face, now", _share(after.q50, after.q05, after.q95)),
        ),
    )


def share_text(region: RegionGhost) -> str:
    """Steady light's share of a region, with its range.

    Parameters
    ----------
    region : RegionGhost
        The region.

    Returns
    -------
    str
        Such as ``1⁄50 (1⁄300 to 1⁄15)``.
    """
    return _share(region.steady.q50, region.steady.q05, region.steady.q95)


def part(share: float) -> str:
    """A share as a part of the whole.

    Examples
    --------
    >>> part(0.02), part(0.4), part(0.5), part(0.0002)
    ('1⁄50', '4⁄10', 'half', 'hardly any')
    """
    if share < FROM_SHARE:
        return "hardly any"
    if share > 0.95:
        return "all"
    if round(10 * share) == 5:
        return "half"
    if share >= 0.35:
        return f"{round(10 * share)}⁄10"
    n = 1 / share
    return f"1⁄{round(n) if n < 10 else round(n, -1 if n >= 50 else 0):.0f}"


# ── What stands behind it ────────────────────────────────────────────────────────────────────────


def _share(mid: float, low: float, high: float) -> str:
    middle, least, most = part(mid), part(low), part(high)
    if least == most:
        return middle
    return f"{middle} ({least} to {most})"


def _line(answer: Ghost) -> str:
    if not (answer.has_flash and answer.has_steady):
        return answer.sentence
    worst = max(answer.regions, key=lambda r: r.p_shows)
    shown = one_in(answer.p_shows)
    if worth_saying(answer.p_shows):
        line = f"Second edge, {worst.name.lower()}: {shown} open {seconds(_short(answer.open_s))}"
    else:
        line = f"Second edge: none to expect, open {seconds(_short(answer.open_s))}"
    if answer.longest_s is None:
        return f"{line}."
    if answer.longest_s == 0:
        return f"{line}; no time is short enough to show none {odds(answer.odds)}."
    return f"{line}; {odds(answer.odds)} shows none up to {seconds(_short(answer.longest_s))}."


def _dark_offer(answer: Ghost) -> str:
    if not answer.has_flash or answer.sitting is None:
        return ""
    if not answer.has_steady:
        return "How dark the room is nobody has said: make a dark test."
    spread = max(
        (r.steady.q95 / max(r.steady.q05, 1e-9) for r in answer.regions if r.steady.q95 > 0),
        default=1.0,
    )
    if answer.p_shows < TELLS_FROM or spread < 4:
        return ""
    return "How dark the room is is not well known: a dark test tells."


def _rows(answer: Ghost) -> tuple[tuple[str, str], ...]:
    rows = []
    if answer.room_state:
        rows.append(("Room", answer.room_state))
    if answer.fires is not None:
        rows.append(("Opened by", FIRES_WORDS[answer.fires]))
    off = f" ± {figure(answer.open_sd_s, 1)} s" if answer.open_sd_s >= 0.01 else ""
    rows.append(("Open", f"{seconds(_short(answer.open_s))}{off}"))
    if answer.support is not None:
        rows.append(("Held", SUPPORT_WORDS[answer.support]))
    unseen = f"unseen up to {figure(answer.allowed_mm, 2)} mm"
    rows.append(("Head moves on the sheet", f"{figure(answer.smear_mm, 2)} mm, {unseen}"))
    return tuple(rows)


def _notes(answer: Ghost) -> tuple[str, ...]:
    notes = []
    if answer.walk is not None:
        walk = answer.walk
        longest = ""
        if walk.longest_away_s is not None:
            most = seconds(_short(walk.longest_away_s or 0.01))
            longest = f"; {odds(answer.odds)} unseen up to {most}"
        notes.append(
            f"Away from the chair {seconds(walk.away_s)} while it is open: what stands behind "
            f"shows through the {region_name(walk.region).lower()} "
            f"{one_in(walk.p_shows_through)}{longest}."
        )
    if answer.modelling is not None and not answer.modelling.are_on:
        notes.append(
            f"Modelling lamps are taken as out; left on, a second edge "
            f"{one_in(answer.modelling.p_shows)}."
        )
    if answer.mixing is not None:
        notes.append(_mixing(answer))
    notes += [f"With the room as “{x.room_state}”: {one_in(x.p_shows)}." for x in answer.states]
    settings = answer.settings
    if answer.has_flash and settings is not None and settings.pops > 1:
        notes.append(
            f"{settings.pops} pops draw edges of their own, whatever the room: see how the sitter "
            "holds still."
        )
    return tuple(notes)


def _mixing(answer: Ghost) -> str:
    mixing = answer.mixing
    assert mixing is not None  # noqa: S101 - the caller looked
    wanted = part(mixing.wanted_share)
    if mixing.open_s is None:
        return f"No open time up to 10 min gives steady light {wanted} here: change a light."
    held = "" if mixing.p_held is None else f"; the sitter holds it {odds(mixing.p_held)}"
    return f"For {wanted} by steady light open {seconds(_short(mixing.open_s))}{held}."


def _short(value_s: float) -> float:
    """A time to two digits: more is not known of rooms and hands."""
    return float(f"{value_s:.2g}")
