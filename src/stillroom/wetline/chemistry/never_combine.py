"""What must never meet, and why; checked before a list is made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from stillroom.errors import NotPossible

Status = Literal["published_seen", "published_memory", "common_practice", "computed"]

KINDS: dict[str, tuple[str, ...]] = {
    "permanganate": ("potassium permanganate",),
    "dichromate": (
        "potassium dichromate",
        "sodium dichromate dihydrate",
        "ammonium dichromate",
    ),
    "peroxide": ("hydrogen peroxide",),
    "hydrochloric acid": ("hydrochloric acid", "muriatic acid"),
    "salt": ("sodium chloride", "table salt"),
    "concentrated sulfuric acid": ("sulfuric acid", "concentrated acid"),
    "strong acid": ("sulfuric acid", "nitric acid", "hydrochloric acid"),
    "acid": (
        "sulfuric acid",
        "nitric acid",
        "hydrochloric acid",
        "acetic acid",
        "citric acid",
        "citric acid monohydrate",
        "sodium bisulfate",
        "sodium bisulfate monohydrate",
    ),
    "acetic acid": ("acetic acid", "vinegar"),
    "sulfite": (
        "sodium sulfite",
        "sodium sulfite heptahydrate",
        "sodium bisulfite",
        "sodium metabisulfite",
        "potassium metabisulfite",
    ),
    "fixer": (
        "rapid fixer",
        "ammonium thiosulfate",
        "sodium thiosulfate",
        "sodium thiosulfate pentahydrate",
        "thiosulfate",
    ),
    "developer": (
        "paper developer",
        "p-methylaminophenol sulfate",
        "hydroquinone",
        "1-phenyl-3-pyrazolidinone",
        "amidol",
    ),
    "bleach": (
        "potassium permanganate",
        "potassium dichromate",
        "sodium dichromate dihydrate",
        "ammonium dichromate",
        "hydrogen peroxide",
    ),
    "cyanide maker": ("ferricyanide", "potassium ferricyanide", "thiocyanate"),
    "cleaner": ("hypochlorite", "household bleach", "chlorine cleaner"),
    "cleaner's enemy": ("bleach", "ammonia"),
    "fuel": ("glycerol", "glycerin", "alcohol", "ethanol", "glycol", "paper dust", "organics"),
    "reducer": ("hydrazine", "hydroxylamine"),
    "solvent": ("acetone",),
    "dirt in a closed bottle": ("silver", "iron", "dirt"),
    "metal tray": ("aluminium", "aluminum", "zinc", "galvanised", "galvanized"),
    "alkali": (
        "sodium carbonate",
        "sodium carbonate monohydrate",
        "sodium carbonate decahydrate",
        "sodium hydroxide",
    ),
}
"""Kinds of things, and what belongs to each by name."""


SAID: dict[str, str] = {
    "bleach": "a bleach of the line",
    "strong acid": "a strong acid",
    "acid": "acid",
    "developer": "developer",
    "cyanide maker": "ferricyanide or thiocyanate",
    "cleaner": "household bleach (hypochlorite)",
    "cleaner's enemy": "ammonia",
    "fuel": "glycol, glycerol, alcohol or other organic stuff",
    "reducer": "hydrazine or hydroxylamine",
    "solvent": "acetone",
    "metal tray": "an aluminium, zinc or galvanised tray",
}
"""What a kind is called in a sentence, where its name alone would not do."""
_OXIDANTS = {"permanganate", "dichromate", "peroxide"}


@dataclass(frozen=True, slots=True)
class Never:
    """A pair that must not meet.

    Parameters
    ----------
    one, other : str
        Kinds.
    result : str
        What happens, as the end of a sentence.
    status : str
        Where it is known from.
    in_a_recipe : bool
        False where a recipe brings both together on purpose, diluted and in order; then it warns.
    """

    one: str
    other: str
    result: str
    status: Status
    in_a_recipe: bool = True


NEVER = (
    Never("permanganate", "hydrochloric acid", "chlorine gas comes off", "published_seen"),
    Never("dichromate", "hydrochloric acid", "chlorine gas comes off, and the silver turns to "
          "chloride that develops again", "published_memory"),
    Never("salt", "strong acid", "with permanganate or dichromate chlorine gas comes off",
          "published_seen"),
    Never("permanganate", "concentrated sulfuric acid", "crystals and concentrated acid make an "
          "oxide that explodes: dilute the acid first, and dissolve every crystal",
          "published_memory", in_a_recipe=False),
    Never("permanganate", "fuel", "it catches fire", "published_memory"),
    Never("permanganate", "peroxide", "oxygen and heat come off violently", "published_memory"),
    Never("peroxide", "concentrated sulfuric acid", "strong peroxide and concentrated acid react "
          "violently", "published_memory"),
    Never("peroxide", "solvent", "explosive peroxides form", "published_memory"),
    Never("peroxide", "acetic acid", "in stores a strong peracid forms", "published_memory"),
    Never("peroxide", "dirt in a closed bottle", "a closed bottle bursts: a litre of 3 % can give "
          "10.6 litres of oxygen", "computed"),
    Never("dichromate", "reducer", "they react violently", "published_seen"),
    Never("dichromate", "fuel", "they react violently", "published_seen"),
    Never("sulfite", "acid", "sulfur dioxide comes off, which chokes and brings on asthma",
          "published_memory", in_a_recipe=False),
    Never("fixer", "strong acid", "sulfur dioxide comes off and sulfur falls out",
          "published_memory"),
    Never("fixer", "bleach", "sulfur dioxide comes off and both are spoiled", "published_memory"),
    Never("cyanide maker", "strong acid", "poisonous gas, hydrogen cyanide among it, comes off",
          "published_memory"),
    Never("cleaner", "acid", "chlorine gas comes off", "published_memory"),
    Never("cleaner", "bleach", "chlorine gas comes off", "published_memory"),
    Never("cleaner", "fixer", "poisonous gas comes off", "published_memory"),
    Never("cleaner", "cleaner's enemy", "chloramines, which are poisonous, come off",
          "published_memory"),
    Never("metal tray", "acid", "hydrogen comes off and the bath is spoiled: use plastic, glass "
          "or stainless steel", "common_practice"),
    Never("metal tray", "alkali", "hydrogen comes off and the bath is spoiled: use plastic, glass "
          "or stainless steel", "common_practice"),
    Never("bleach", "developer", "both are spoiled and the sheet is stained", "common_practice"),
)  # fmt: skip
"""Pairs that must not meet."""
ALWAYS = (
    "Acid goes into water, slowly and stirring; water into concentrated acid boils and splashes.",
    "Ammoniacal silver is never left standing: what falls out of it explodes.",
)
"""Rules of the same kind that are no pairs."""


def meeting(one: str, other: str) -> Never | None:
    """What happens where two things meet, by their names or kinds; None: nothing known here.

    None is no promise that they may meet.

    Examples
    --------
    >>> meeting("potassium permanganate", "hydrochloric acid").result
    'chlorine gas comes off'
    """
    first, second = _kinds(one), _kinds(other)
    for pair in NEVER:
        if (pair.one in first and pair.other in second) or (
            pair.one in second and pair.other in first
        ):
            return pair
    return None


def sentence_of(pair: Never, one: str = "", other: str = "") -> str:
    """A pair as one sentence.

    Examples
    --------
    >>> sentence_of(NEVER[0])
    'Never permanganate and hydrochloric acid: chlorine gas comes off.'
    """
    first, second = (SAID.get(kind, kind) for kind in (pair.one, pair.other))
    return f"Never {one or first} and {other or second}: {pair.result}."


def check_apart(*things: str) -> None:
    """Refuse things that must never meet.

    Parameters
    ----------
    *things : str
        Substances or kinds that would come together in one vessel.

    Raises
    ------
    NotPossible
        For the first pair, with what would happen. A pair that recipes bring together diluted
        and in order (acid and permanganate) is not refused.

    Examples
    --------
    >>> check_apart("potassium dichromate", "sulfuric acid")
    """
    for i, one in enumerate(things):
        for other in things[i + 1 :]:
            pair = meeting(one, other)
            if pair is not None and pair.in_a_recipe:
                raise NotPossible(sentence_of(pair, one, other))


def told_of(*things: str) -> tuple[str, ...]:
    """Every sentence that has to do with one of the things, in the order of the list.

    A pair about an oxidant that is not among them is left out.
    """
    kinds = {kind for thing in things for kind in _kinds(thing)}
    others = _OXIDANTS - kinds
    return tuple(
        sentence_of(pair)
        for pair in NEVER
        if {pair.one, pair.other} & kinds and not {pair.one, pair.other} & others
    )


def _kinds(name: str) -> set[str]:
    said = " ".join(name.lower().replace("sulph", "sulf").split())
    found = {kind for kind, members in KINDS.items() if said in members}
    return found | ({said} if said in KINDS else set())
