"""Every caution by its place in the work, for the page that lists them."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.services.cautions.caution import Caution
from stillroom.services.cautions.kit import (
    HOT,
    NEAR_EYES,
    NEVER_OPEN,
    SENSITIVE_TO_FLASHES,
    ULTRAVIOLET,
)
from stillroom.services.cautions.mixing import COLLECT, WEAR
from stillroom.services.cautions.steps import AT_THE_TRAYS, every_bleach

FIRST = (
    "This is general information, no medical, legal or electrical advice. The safety data sheet, "
    "the maker’s words, local rules and licensed people go first."
)


@dataclass(frozen=True, slots=True)
class Place:
    """Cautions of one place in the work.

    Parameters
    ----------
    id, title : str
        Where: an anchor, and what a page calls it.
    cautions : tuple of Caution
        In the order the work meets them.
    known_from : str
        Where the figures come from.
    """

    id: str
    title: str
    cautions: tuple[Caution, ...]
    known_from: str = ""


PLACES: tuple[Place, ...] = (
    Place(
        "sitter",
        "Before somebody sits down",
        (
            SENSITIVE_TO_FLASHES,
            NEAR_EYES,
            Caution(
                "If somebody has a seizure",
                "Stop the lights, keep calm, clear what is hard, time it, hold nobody down. Call "
                "the local emergency number if it is the first, lasts more than five minutes, or "
                "you are in doubt.",
            ),
            Caution(
                "What touches people",
                "Clean the head rest between sitters, wipe holders, keep every chemical off "
                "clothes. A child sits only with a guardian’s yes, and anybody may stop at any "
                "time.",
            ),
        ),
        "Flashes a second: pages of epilepsy societies. Five minutes: first-aid guidance, from "
        "memory. A metre: common practice, no source.",
    ),
    Place(
        "lights",
        "Lights, stands and the mains",
        (
            NEVER_OPEN,
            Caution(
                "Mains and water",
                "Sockets of the wet side behind a residual-current switch, no wet hand on a plug "
                "or switch, a dry floor. Heads off and unplugged before a tube or cable is "
                "changed, and then wait as their maker says.",
            ),
            HOT,
            ULTRAVIOLET,
            Caution(
                "Stands and cables",
                "A sandbag on every stand, one leg towards the sitter, cables taped down and "
                "uncoiled, nothing above a head that is not tied twice.",
            ),
            Caution(
                "Your own eyes",
                "Look away from every pop of a long day, and put cloth before bare heads.",
            ),
        ),
        "Studio heads store up to some 1000 J, and 10 J can kill: a page of hints on flash and "
        "strobe lamps. Twenty minutes to cool: lighting lessons.",
    ),
    Place(
        "dark",
        "In the dark",
        (
            Caution(
                "Nothing to fall over",
                "A clear floor, taped routes, a mat that does not slip, no trailing cord, glow "
                "marks at corners and steps. Say “lights on” before they come on.",
            ),
            Caution(
                "Alone",
                "Tell somebody when you will be done. A phone, first aid and water for the eyes "
                "where a hand finds them in the dark.",
            ),
        ),
        "Common practice, no source.",
    ),
    Place(
        "mixing",
        "Mixing",
        (
            Caution(
                "Before the first bottle",
                f"{WEAR} No food, no children, no animals. Nobody pregnant near dichromate or "
                "powders, nobody with asthma over sulfite and acid.",
            ),
            Caution(
                "Acid into water",
                "Slowly and stirring, never water into acid: it boils and splashes.",
            ),
            Caution(
                "Label at once",
                "Name, strength, date and hazard on every bottle and tray; nothing in a bottle "
                "that held a drink. Peroxide under a cap that lets gas out.",
            ),
            Caution(
                "Air",
                "Where powders and acids are mixed the air should change some twenty times an "
                "hour, in the darkroom ten times or more.",
            ),
        ),
        "Twenty changes: a navy’s basic course in photography; ten: from memory.",
    ),
    Place(
        "line",
        "At the trays",
        (AT_THE_TRAYS[0], *every_bleach(), *AT_THE_TRAYS[1:]),
        "What the labels say, and practice. Those of bleach and clear are told before the step.",
    ),
    Place(
        "first-aid",
        "First aid",
        (
            Caution(
                "First aid is not this page",
                "Do what the safety data sheet says, and call the local emergency number or "
                "poison centre, with the sheet in hand. Until then: eyes under running water for "
                "fifteen minutes, skin under water, wet clothes off.",
            ),
            Caution(
                "Dichromate and permanganate",
                "On skin: water, then a doctor, also when it does not hurt. Small spills: sulfite "
                "solution, wipe, and collect the cloth.",
            ),
        ),
        "Fifteen minutes: safety data sheets, from memory.",
    ),
    Place(
        "used",
        "Used baths",
        (
            Caution(
                "Collect until you have asked",
                f"{COLLECT} Nothing here says that a bath may go down a drain.",
            ),
            Caution(
                "What is in them",
                "A used bleach holds all the silver of the negative, and its chromium or "
                "manganese; a used fixer a few grams of silver in a litre. Keep each in its own "
                "labelled container whose cap lets gas out.",
            ),
        ),
        "Silver of a used fixer, 3 to 5 g in a litre: pages on silver recovery.",
    ),
    Place(
        "after",
        "Afterwards",
        (
            Caution(
                "Hands",
                "Gloves off before face, phone and food; wash. One towel for clean hands, another "
                "for wet ones.",
            ),
            Caution(
                "Sheets that leave",
                "Dry before they are handed over. One that was not fixed stays out of strong "
                "light; say so, and write it on the back.",
            ),
        ),
        "Common practice, no source.",
    ),
)
"""Everything that is cautioned against, in the order of a day."""
