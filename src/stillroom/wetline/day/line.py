"""A line of baths as the day's plan sees it: stages, stations and hands, in whole seconds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from stillroom.errors import BadValue, UnknownName

MOST_SECONDS = 86_400
"""No stage takes longer than a day."""
MOST_HELD = 200
"""No station holds, and no studio has, more than this."""
MOST_STAGES = 40


def whole(name: str, value: object, low: int, high: int) -> int:
    """Return a whole number within its limits, or refuse it.

    Raises
    ------
    BadValue
        If it is no whole number from `low` to `high`.

    Examples
    --------
    >>> whole("hands", 2, 1, 20)
    2
    """
    if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
        raise BadValue(name, value, f"give a whole number from {low} to {high}")
    return value


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of a sheet's way.

    Parameters
    ----------
    name : str
        What it is called.
    seconds : int
        How long it takes [s].
    waits_s : int or None
        How much longer a sheet may stay [s]; 0: not at all, as in a developer; None: as long as
        is wanted, as in water.
    hands_s : int
        How long a pair of hands is busy with it, from its beginning [s].

    Raises
    ------
    BadValue
        If a number is none that can be planned with.
    """

    name: str
    seconds: int
    waits_s: int | None = 0
    hands_s: int = 0

    def __post_init__(self) -> None:
        whole(f"{self.name} seconds", self.seconds, 1, MOST_SECONDS)
        if self.waits_s is not None:
            whole(f"{self.name} waits_s", self.waits_s, 0, MOST_SECONDS)
        whole(f"{self.name} hands_s", self.hands_s, 0, self.seconds)


@dataclass(frozen=True, slots=True)
class Station:
    """A tray, a tank, a holder, a chair: what holds so many sheets at once, and for which stages.

    Parameters
    ----------
    name : str
        What it is called.
    holds : int
        Sheets at once [1].
    spans : tuple of (int, int)
        First and last stage of each visit: a sheet is there from the beginning of the one to the
        end of the other. A developer used twice has two.

    Raises
    ------
    BadValue
        If it holds nothing.
    """

    name: str
    holds: int
    spans: tuple[tuple[int, int], ...]

    def __post_init__(self) -> None:
        whole(self.name, self.holds, 1, MOST_HELD)


@dataclass(frozen=True, slots=True)
class Line:
    """The way of a sheet, what it passes through, and who moves it.

    Parameters
    ----------
    stages : tuple of Stage
        In their order.
    stations : tuple of Station
        What holds the sheets; a stage that none of them names holds any number.
    hands : int
        Pairs of hands [1].

    Raises
    ------
    BadValue
        If there is no stage, or a station's visits do not follow each other.
    """

    stages: tuple[Stage, ...]
    stations: tuple[Station, ...]
    hands: int = 1

    def __post_init__(self) -> None:
        whole("stages", len(self.stages), 1, MOST_STAGES)
        whole("hands", self.hands, 1, 20)
        for station in self.stations:
            ends = [-1, *(at for span in station.spans for at in span)]
            apart = all(a < b for (_, a), (b, _) in pairwise(station.spans))
            rising = all(first <= last for first, last in station.spans)
            if not (station.spans and apart and rising and max(ends) < len(self.stages)):
                raise BadValue(station.name, station.spans, "its visits do not follow each other")

    @property
    def flow_s(self) -> int:
        """How long one sheet takes from end to end, never waiting [s]."""
        return sum(stage.seconds for stage in self.stages)

    @property
    def hands_s(self) -> int:
        """How long hands are busy with one sheet [s]."""
        return sum(stage.hands_s for stage in self.stages)

    def busy_s(self, station: Station) -> int:
        """How long one sheet holds a station, all its visits together, never waiting [s]."""
        return sum(
            stage.seconds
            for first, last in station.spans
            for stage in self.stages[first : last + 1]
        )

    def station(self, name: str) -> Station:
        """Return the station of a name.

        Raises
        ------
        UnknownName
            If the line has none.
        """
        for one in self.stations:
            if one.name == name:
                return one
        raise UnknownName("station", name, [one.name for one in self.stations])

    def with_holds(self, name: str, holds: int) -> Line:
        """Return the line with another number of sheets at one station."""
        found = self.station(name)
        changed = replace(found, holds=holds)
        return replace(
            self, stations=tuple(changed if one is found else one for one in self.stations)
        )

    def with_hands(self, hands: int) -> Line:
        """Return the line with other hands."""
        return replace(self, hands=hands)

    def without_hands(self) -> Line:
        """Return the line as if sheets moved by themselves."""
        return replace(self, stages=tuple(replace(stage, hands_s=0) for stage in self.stages))


def line_of(
    stages: Sequence[tuple[str, Stage]], holds: Mapping[str, int] | None = None, hands: int = 1
) -> Line:
    """Return a line from stages and the station each is in.

    Stages in a row at one station are one visit: nothing else goes in between. A stage in the
    station ``""`` is held by nothing.

    Parameters
    ----------
    stages : sequence of (str, Stage)
        Station and stage, in order.
    holds : mapping of str to int, optional
        How many sheets a station holds; 1 where it is not named.
    hands : int
        Pairs of hands [1].

    Raises
    ------
    UnknownName
        If `holds` names a station that no stage is in.

    Examples
    --------
    >>> dev, wash = Stage("first", 120), Stage("wash", 60, None)
    >>> line = line_of([("tray", dev), ("water", wash), ("tray", Stage("second", 90))])
    >>> [(station.name, station.spans) for station in line.stations]
    [('tray', ((0, 0), (2, 2))), ('water', ((1, 1),))]
    """
    visits: dict[str, list[tuple[int, int]]] = {}
    for at, (name, _) in enumerate(stages):
        spans = visits.setdefault(name, [])
        if spans and spans[-1][1] == at - 1:
            spans[-1] = (spans[-1][0], at)
        else:
            spans.append((at, at))
    visits.pop("", None)
    given = holds or {}
    for name in given:
        if name not in visits:
            raise UnknownName("station", name, visits)
    stations = tuple(Station(n, given.get(n, 1), tuple(spans)) for n, spans in visits.items())
    return Line(tuple(stage for _, stage in stages), stations, hands)


def shuffled(line: Line, sheets: int, longer_s: int, slowed: Iterable[str]) -> Line:
    """Return the line when so many sheets go through it together, shuffled in each bath.

    Parameters
    ----------
    line : Line
        The line of one sheet.
    sheets : int
        Sheets in a pile [1], 1 to 8.
    longer_s : int
        How much longer each bath takes for every further sheet [s].
    slowed : iterable of str
        Names of the stages that take longer.

    Returns
    -------
    Line
        A pile counts as one there.

    Raises
    ------
    BadValue
        If a number is out of its limits.

    Examples
    --------
    >>> line = line_of([("dev", Stage("dev", 120, hands_s=15)), ("wash", Stage("wash", 60, None))])
    >>> shuffled(line, 3, 10, ["dev"]).flow_s
    200
    """
    more = (whole("sheets in a pile", sheets, 1, 8) - 1) * whole("longer_s", longer_s, 0, 600)
    named = set(slowed)
    stages = tuple(
        replace(
            stage,
            seconds=stage.seconds + more,
            hands_s=stage.hands_s + (more if stage.hands_s else 0),
        )
        if stage.name in named
        else stage
        for stage in line.stages
    )
    return replace(line, stages=stages)
