"""Whether what is set of filter and pre-flash can be: names, papers, roles."""

from __future__ import annotations

from collections.abc import Collection

from stillroom.documents.book import Made, Paper, Settings
from stillroom.documents.filters import Filter
from stillroom.documents.kit import Kit
from stillroom.errors import BadValue, UnknownName, shown
from stillroom.exposure import PRE_FLASH


def check_on_lens(
    kit: Kit, paper: Paper, roles: Collection[str], settings: Settings | Made, of: str
) -> None:
    """Check that a filter can go with a paper, and that nothing else is called a pre-flash.

    Parameters
    ----------
    kit, paper : Kit, Paper
        Whose filters they are, and what lies in the camera.
    roles : collection of str
        The lights of the sitting.
    settings : Settings or Made
        What is to be set, or was.
    of : str
        What they are called in a message.

    Raises
    ------
    UnknownName
        If the kit has no such filter.
    BadValue
        If a contrast filter meets graded paper, or a light has the role of the pre-flash.
    """
    if settings.filter is not None:
        known = {one.id: one for one in kit.filters}
        if settings.filter not in known:
            raise UnknownName(f"filter (for {of})", settings.filter, known)
        check_goes_with(known[settings.filter], paper, of)
    if settings.pre_flash_stops is not None and PRE_FLASH in roles:
        raise BadValue(
            f"pre_flash_stops of {of}",
            settings.pre_flash_stops,
            f"a light of the sitting is called {shown(PRE_FLASH)}; give that light another role",
        )


def goes_with(found: Filter, paper: Paper) -> bool:
    """Whether a paper's contrast can follow a filter, or the filter leaves it alone."""
    return not (found.changes_contrast and paper.response == "graded")


def check_goes_with(found: Filter, paper: Paper, of: str) -> None:
    """Check that a paper's contrast can follow a filter.

    Raises
    ------
    BadValue
        If a contrast filter meets graded paper.
    """
    if not goes_with(found, paper):
        raise BadValue(
            f"filter of {of}",
            found.id,
            f"graded paper such as {shown(paper.id)} does not change contrast, it would only lose "
            "light; leave it off",
        )


def on_other_paper(kit: Kit, paper: Paper, settings: Settings) -> Settings:
    """The same settings for another paper than they were made for.

    A pre-flash was found by test on the one before; a contrast filter has no use on graded paper.
    """
    on = next((one for one in kit.filters if one.id == settings.filter), None)
    goes = on is not None and goes_with(on, paper)
    changes = {"pre_flash_stops": None, "filter": settings.filter if goes else None}
    return settings.model_copy(update=changes)
