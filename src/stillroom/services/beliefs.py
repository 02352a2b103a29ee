"""What is believed of papers and kit, and what each sheet taught."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass

import numpy as np

from stillroom.advice import QUANTILES
from stillroom.belief import ODD_FROM, Belief, Posterior
from stillroom.documents import answers
from stillroom.documents import book as doc
from stillroom.documents.making import as_made
from stillroom.documents.to_domain import named
from stillroom.paper import density, ei_of_speed_log2
from stillroom.quantity import NINE_IN_TEN, FloatArray, range_text
from stillroom.services import remembered
from stillroom.services.bath import bath_is_known
from stillroom.services.choices import glossary, is_held, with_choices
from stillroom.services.fired import is_left_out
from stillroom.services.folding import fold_book
from stillroom.services.forecasts import KNOWN_FROM_SHARE
from stillroom.services.histories import known
from stillroom.services.pieces import counted
from stillroom.services.readings import best_regions, is_read
from stillroom.services.reasons import placement_of_density, size_and_way
from stillroom.services.remembered import BeliefMemo
from stillroom.services.sittings import in_order_of_time
from stillroom.services.teaches import taught_by
from stillroom.services.worktable import Worktable, worktable
from stillroom.sitter import region_name

KIT_KINDS = ("head", "lamp", "modifier", "lens", "meter", "seat", "filter")
CURVE_POINTS_STOPS = tuple(float(x) for x in np.arange(-5.0, 5.01, 0.25))
CURVE_DRAWS = 400


@dataclass(frozen=True, slots=True)
class TermBelief:
    """What is believed of one thing's own term now."""

    prior_sd_stops: float
    sd_now_stops: float
    shift_stops: float
    """How far sheets have moved it from what was entered [stops]."""
    sentence: str


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """One point of a tone curve with its nine in ten."""

    placement_stops: float
    density: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class PaperBelief:
    """What is believed of one batch of paper now."""

    paper_id: str
    ei: float
    ei_low: float
    ei_high: float
    sd_stops: float
    prior_sd_stops: float
    dmin: float
    dmax: float
    contrast_per_stop: float
    asymmetry: float
    curve: tuple[CurvePoint, ...]
    sheets: int
    """Sheets of it that were read."""
    sentence: str


def belief_now(book: doc.Book, memo: BeliefMemo | None = None) -> Belief:
    """Belief after every sitting of the book, and what was said of single terms since."""
    belief = fold_book(book, in_order_of_time(book), memo)
    if not book.choices:
        return belief
    return with_choices(belief, book, glossary(book).terms.values())


def kit_belief(book: doc.Book, *, memo: BeliefMemo | None = None) -> dict[str, TermBelief]:
    """What sheets and meters have said of each head, lamp, modifier, lens, meter, seat and filter.

    Returns
    -------
    dict
        ``head/A``, ``lamp/hot``, ``modifier/octa``, ``lens/tele``, ``meter/M``, ``seat/yard``,
        ``filter/soft`` to its belief, of a filter that of its loss; and
        ``seat/parlour/curtains open`` where a seat's light is known apart for each state of its
        room. A thing that nothing was learned about is left out.
    """
    own = ("output", "loss", "transmission", "bias", "light")
    return {
        term.term.rsplit("/", 1)[0]: TermBelief(
            term.entered_sd, term.sd, term.shift, term.sentence
        )
        for term in known(book, memo=memo).terms
        if term.term.split("/")[0] in KIT_KINDS and term.term.endswith(own)
    }


def paper_belief(book: doc.Book, paper_id: str, *, memo: BeliefMemo | None = None) -> PaperBelief:
    """What is believed of one batch now.

    Raises
    ------
    UnknownName
        If the book has no such paper.
    """
    paper = named("paper", paper_id, book.papers)
    belief = belief_now(book, memo)
    priors = {
        "speed": (math.log2(paper.ei / 10), paper.ei_sd_stops),
        "contrast": (math.log(paper.contrast_per_stop), paper.contrast_log_sd),
        "asymmetry": (0.0, paper.asymmetry_log_sd),
        "dmin": (paper.dmin, paper.dmin_sd),
        "dmax": (paper.dmax, paper.dmax_sd),
    }
    names = [f"paper/{paper_id}/{k}" for k in priors]
    if names[0] in belief.names:
        at = belief.positions(names)
        mean, covariance = belief.mean[at], belief.covariance[np.ix_(at, at)]
    else:
        mean = np.array([m for m, _ in priors.values()])
        covariance = np.diag([sd**2 for _, sd in priors.values()])
    sd = math.sqrt(float(covariance[0, 0]))
    wide = NINE_IN_TEN * sd
    speed = float(mean[0])
    read = [s for x in book.sittings if x.paper == paper_id for s in x.sheets if is_read(s)]
    return PaperBelief(
        paper_id=paper_id,
        ei=ei_of_speed_log2(speed),
        ei_low=ei_of_speed_log2(speed - wide),
        ei_high=ei_of_speed_log2(speed + wide),
        sd_stops=sd,
        prior_sd_stops=paper.ei_sd_stops,
        dmin=float(mean[3]),
        dmax=float(mean[4]),
        contrast_per_stop=math.exp(float(mean[1])),
        asymmetry=math.exp(float(mean[2])),
        curve=_curve(mean, covariance),
        sheets=sum(s.piece is None for s in read),
        sentence=_paper_sentence(
            counted(read) if read else "",
            sd,
            paper.ei_sd_stops,
            held=is_held(book, f"paper/{paper_id}/speed"),
        ),
    )


def _curve(mean: FloatArray, covariance: FloatArray) -> tuple[CurvePoint, ...]:
    """The tone curve with its range; its speed is not in it, for it starts at the mid-tone."""
    from stillroom.belief.named import standard_normal, stream  # noqa: PLC0415

    part = covariance[1:, 1:]
    values, vectors = np.linalg.eigh(part)
    root = vectors * np.sqrt(np.clip(values, 0, None))
    draws = mean[1:] + standard_normal(stream("curve"), CURVE_DRAWS, 4) @ root.T
    u = np.array(CURVE_POINTS_STOPS)
    tones = density(
        u[None], np.exp(draws[:, :1]), np.exp(draws[:, 1:2]), draws[:, 2:3], draws[:, 3:4]
    )
    middle = density(u, math.exp(mean[1]), math.exp(mean[2]), float(mean[3]), float(mean[4]))
    low, high = np.quantile(tones, (QUANTILES[0], QUANTILES[-1]), axis=0)
    return tuple(
        CurvePoint(float(p), float(d), float(a), float(b))
        for p, d, a, b in zip(u, middle, low, high, strict=True)
    )


def _paper_sentence(count: str, sd: float, prior_sd: float, *, held: bool) -> str:
    if held:
        return "You hold its speed: sheets do not move it."
    if not count:
        return "No sheet of it has been read: a stepped sheet comes first."
    if sd < KNOWN_FROM_SHARE * prior_sd:
        return f"Speed known from {count} to {range_text(NINE_IN_TEN * sd)}."
    return (
        f"{count.capitalize()} read; its speed is known in a chain with the lights, not alone: "
        "a sheet that changes only the light, or a meter reading, tells them apart."
    )


# ---- what a sheet taught --------------------------------------------------------------------


def taught(
    book: doc.Book, sitting_id: str, *, memo: BeliefMemo | None = None
) -> tuple[answers.SheetTaught, ...]:
    """What each read sheet of a sitting taught, in order.

    Raises
    ------
    UnknownName
        If the book has no such sitting.
    """
    table = worktable(book, sitting_id, memo=memo)
    read = [s for s in table.sitting.sheets if s.readings]
    if not read:
        return ()
    key = _key(table)
    if memo is not None:
        kept = _unpacked(memo.get(key))
        if kept is not None:
            return kept
    after = table.posterior()
    order = sorted(s.number for s in table.sitting.sheets)
    lessons: list[answers.SheetTaught] = []
    for sheet in sorted(read, key=lambda s: s.number):
        before = table.posterior(sheet.number)
        then = table.posterior(sheet.number + 1)
        odd = _odd(after, order.index(sheet.number))
        lessons.append(_lesson(table, sheet, before, then, odd))
    if memo is not None:
        memo.put(key, b"\n".join(x.model_dump_json().encode() for x in lessons))
    return tuple(lessons)


def _key(table: Worktable) -> str:
    """Everything a lesson rests on: what was believed, and what was said of single terms."""
    book = taught_by(table.book, table.sitting.id)
    order = in_order_of_time(book)
    so_far = order[: [s.id for s in order].index(table.sitting.id) + 1]
    (*_, belief) = remembered.keys(book, so_far, table.constants)
    said = "".join(c.model_dump_json() for c in table.book.choices)
    return "taught:" + hashlib.sha256(f"{belief}{said}".encode()).hexdigest()


def _unpacked(value: bytes | None) -> tuple[answers.SheetTaught, ...] | None:
    if value is None:
        return None
    try:
        return tuple(answers.SheetTaught.model_validate_json(line) for line in value.splitlines())
    except ValueError:
        return None


def _lesson(
    table: Worktable,
    sheet: doc.Sheet,
    before: Posterior,
    then: Posterior,
    odd: str | None,
) -> answers.SheetTaught:
    if is_left_out(sheet):
        sentence = "A head did not fire, so its tones were left out of what is believed."
        return answers.SheetTaught(number=sheet.number, sentence=sentence, odd=None)
    if sheet.settings.steps_pops is not None:
        return answers.SheetTaught(
            number=sheet.number, sentence=_stepped_lesson(table, before, then), odd=odd
        )
    sentence = _against_expected(table, sheet, then)
    return answers.SheetTaught(
        number=sheet.number, sentence=f"{sentence}{_narrowed(before, then)}".strip(), odd=odd
    )


def _odd(after: Posterior, at: int) -> str | None:
    if after.p_spoiled(at) <= ODD_FROM:
        return None
    shift = after.shift(at)
    return (
        f"It came out {size_and_way(shift)} than everything else says: spoiled, or something was "
        "set otherwise than written down. It is held apart."
    )


def _stepped_lesson(table: Worktable, before: Posterior, then: Posterior) -> str:
    name = f"paper/{table.paper.id}/speed"
    sds = [_sd(p.belief, name) for p in (before, then)]
    return (
        f"Its strips found the light this paper needs: speed {range_text(NINE_IN_TEN * sds[0])} "
        f"before, {range_text(NINE_IN_TEN * sds[1])} after.{_narrowed(before, then)}"
    )


def _against_expected(table: Worktable, sheet: doc.Sheet, then: Posterior) -> str:
    """The region that surprised most, against what was said of it."""
    worst: tuple[float, str] | None = None
    words = []
    made = table.layout(as_made(sheet.settings, sheet.made), number=sheet.number)
    for _, regions in best_regions(sheet.readings):
        for region, value in regions.items():
            expected = sheet.expected.get(region)
            if value.density is None:
                if value.verdict in ("black", "bare_paper"):
                    word = "black" if value.verdict == "black" else "bare paper"
                    words.append(f"{region_name(region)} was {word}.")
                continue
            placed = placement_of_density(then, value.density, made)
            if placed is None or expected is None:
                continue
            difference = placed - expected.mean_stops
            if worst is None or abs(difference) > abs(worst[0]):
                worst = (difference, region)
    if worst is None:
        return " ".join(words[:2])
    difference, region = worst
    if abs(difference) < 1 / 6:
        return f"Landed as expected on {region_name(region).lower()}."
    return (
        f"{region_name(region)} landed {size_and_way(difference)} than expected. "
        f"{_suspects(table)}: one sheet cannot tell."
    )


def _suspects(table: Worktable) -> str:
    light = next((x for x in table.sitting.lights if x.kind in ("head", "lamp")), None)
    parts = ["Paper"] if bath_is_known(table.book, table.sitting) else ["Paper", "bath"]
    if light is not None:
        parts.append("head" if light.kind == "head" else "lamp")
        if light.modifiers:
            parts.append("what hangs on it")
    return f"{', '.join(parts[:-1])} or {parts[-1]}" if len(parts) > 1 else parts[0]


def _narrowed(before: Posterior, then: Posterior) -> str:
    """How much surer the first aimed region's whole chain is."""
    aimed = [r for r, a in then.layout.aims.items() if a.tol_stops is not None]
    if not aimed:
        return ""
    region = aimed[0]
    sds = [_chain_sd(p, region) for p in (before, then)]
    was, now = (range_text(NINE_IN_TEN * sd) for sd in sds)
    if sds[1] > 0.95 * sds[0] or was == now:
        return ""
    return f" What reaches {region_name(region).lower()} is known to {now}; it was {was}."


def _chain_sd(posterior: Posterior, region: str) -> float:
    from stillroom.advice import how_it_stands  # noqa: PLC0415
    from stillroom.belief import landing  # noqa: PLC0415

    layout = posterior.layout
    placed = landing(posterior.states(), layout, how_it_stands(layout, None))
    return float(placed[:, 0, layout.regions.index(region)].std())


def _sd(belief: Belief, name: str) -> float:
    at = belief.names.index(name)
    return math.sqrt(float(belief.covariance[at, at]))
