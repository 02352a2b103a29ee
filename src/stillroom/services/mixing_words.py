"""Amounts and mixing steps in words."""

from __future__ import annotations

from stillroom.documents.mixing import MixLine, MixPart


def amount_text(amount: float, unit: str) -> str:
    """An amount as it is weighed or measured: three figures, no more.

    Examples
    --------
    >>> amount_text(45.72, "ml"), amount_text(0.2, "g"), amount_text(1234, "ml")
    ('45.7 ml', '0.2 g', '1234 ml')
    """
    text = f"{amount:.0f}" if amount >= 1000 else f"{amount:.3g}"
    return f"{text} {unit}"


def count_text(count: float) -> str:
    """A number of sheets, two figures and never more than it is worth.

    Examples
    --------
    >>> count_text(20), count_text(7.24), count_text(123)
    ('20', '7.2', '120')
    """
    return f"{float(f'{count:.2g}'):g}"


def line_text(line: MixLine) -> str:
    """One thing to weigh or measure, without its note.

    Examples
    --------
    >>> line_text(
    ...     MixLine(
    ...         substance="citric acid",
    ...         name="citric acid, anhydrous",
    ...         amount=45,
    ...         unit="g",
    ...         low=30,
    ...         high=60,
    ...         status="common_practice",
    ...         source="",
    ...     )
    ... )
    '45 g citric acid, anhydrous (30 to 60 g)'
    """
    text = f"{amount_text(line.amount, line.unit)} {line.name}"
    if line.said:
        text += f", {line.said}"
    if line.low is not None and line.high is not None:
        low = amount_text(line.low, line.unit).removesuffix(f" {line.unit}")
        text += f" ({low} to {amount_text(line.high, line.unit)})"
    return text


def part_steps(part: MixPart, mixing_c: str, *, is_acid: frozenset[str]) -> list[str]:
    """What to do for one bottle, in order.

    Parameters
    ----------
    part : MixPart
        What goes into it.
    mixing_c : str
        Temperature of its water [degrees C].
    is_acid : frozenset of str
        Substances that are poured in slowly, stirring.
    """
    of = f"Part {part.name}: put" if part.name else "Put"
    water = amount_text(part.water_first_ml, "ml")
    steps = [f"{of} {water} of water at {mixing_c} °C into plastic or glass."]
    for line in part.lines:
        amount = f"{amount_text(line.amount, line.unit)} of {line.name}"
        if line.alternatives:
            amount = f"as much of your bottle as holds {amount}"
        if line.substance in is_acid:
            into = (
                "into the water, never the other way"
                if len(part.lines) == 1
                else ("into the solution, never the other way")
            )
            steps.append(f"Pour {amount} slowly, stirring, {into}.")
        elif line.unit == "ml":
            steps.append(f"Add {amount}.")
        else:
            steps.append(" ".join(text for text in (f"Dissolve {amount}.", line.note) if text))
    steps.append(part.water_text)
    return steps
