"""A thick lens traced ray by ray: groups, spaces and a stop, by refraction and transfer alone.

Paraxial y-nu tracing as any text on optical design has it (from memory): at a thin group of power
``k`` the slope changes by ``-y k``, over a space of ``d`` the height by ``u d``. Nothing here uses
the project's formulas: focal length, principal points, pupils and blur all come from rays.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Traced:
    """Thin groups (power per mm) with the spaces between them [mm], and where the stop stands."""

    powers: tuple[float, ...]
    spaces: tuple[float, ...]
    stop_after: int
    """The stop stands in the space after this group, `stop_gap` behind it."""
    stop_gap: float
    stop_diameter: float

    @property
    def length(self) -> float:
        """From the first group to the last."""
        return sum(self.spaces)

    def through(self, y: float, u: float) -> tuple[float, float]:
        """Height and slope behind the last group of a ray that meets the first one so."""
        for i, power in enumerate(self.powers):
            u -= y * power
            if i < len(self.spaces):
                y += u * self.spaces[i]
        return y, u

    def to_stop(self, y: float, u: float) -> float:
        """Height at the stop of a ray that meets the first group so."""
        for i, power in enumerate(self.powers):
            u -= y * power
            if i == self.stop_after:
                return y + u * self.stop_gap
            y += u * self.spaces[i]
        raise AssertionError

    def from_stop(self, y: float, u: float) -> tuple[float, float]:
        """Height and slope behind the last group of a ray that leaves the stop so."""
        y += u * (self.spaces[self.stop_after] - self.stop_gap)
        for i in range(self.stop_after + 1, len(self.powers)):
            u -= y * self.powers[i]
            if i < len(self.spaces):
                y += u * self.spaces[i]
        return y, u

    @property
    def focal(self) -> float:
        """From a ray that comes in level."""
        _, u = self.through(1.0, 0.0)
        return -1.0 / u

    @property
    def rear_focus(self) -> float:
        """Behind the last group."""
        y, u = self.through(1.0, 0.0)
        return -y / u

    @property
    def front_principal(self) -> float:
        """Behind the first group: where a ray that leaves level seems to bend."""
        _, by_height = self.through(1.0, 0.0)
        _, by_slope = self.through(0.0, 1.0)
        # A ray from the front focus leaves level: by_height y + by_slope u = 0, y = u distance.
        focus_before = -by_slope / by_height
        return self.focal - focus_before

    @property
    def principal_gap(self) -> float:
        """From the front principal point to the rear one, which a level ray seems to bend at."""
        return self.length + self.rear_focus - self.focal - self.front_principal

    @property
    def entrance_pupil(self) -> tuple[float, float]:
        """Where it stands behind the first group, and its diameter."""
        # Rays that meet the middle of the stop: height linear in (y, u).
        a, b = self.to_stop(1.0, 0.0), self.to_stop(0.0, 1.0)
        place = b / a  # y = -place u meets the axis there, behind the first group
        return place, abs(self.stop_diameter / a)

    @property
    def exit_pupil(self) -> tuple[float, float]:
        """Where it stands behind the last group, and its diameter."""
        y0, u0 = self.from_stop(0.0, 1.0)
        back = -y0 / u0
        y1, u1 = self.from_stop(self.stop_diameter / 2, 0.0)
        return back, 2 * abs(y1 + u1 * back)

    def chief(self, slope: float, sheet_behind: float) -> float:
        """How far off the axis a ray through the middle of the stop meets a sheet."""
        place, _ = self.entrance_pupil
        y, u = self.through(-place * slope, slope)
        return y + u * sheet_behind

    def image_behind(self, distance_before: float) -> float:
        """Where a point so far before the first group comes to focus, behind the last."""
        y, u = self.through(distance_before, 1.0)
        return -y / u

    def magnification(self, distance_before: float) -> float:
        """Size of the image over the object, by a ray from off the axis."""
        back = self.image_behind(distance_before)
        y, u = self.through(1.0, 0.0)  # leaves the object's top level
        return abs(y + u * back)

    def blur(self, distance_before: float, sheet_behind: float) -> float:
        """Disc on a sheet of a point on the axis, by the ray past the edge of the stop."""
        at_edge = self.to_stop(distance_before, 1.0)
        slope = self.stop_diameter / 2 / at_edge
        y, u = self.through(slope * distance_before, slope)
        return 2 * abs(y + u * sheet_behind)


PLAIN = Traced((1 / 240, 1 / 240), (18.0,), 0, 9.0, 24.0)
TELEPHOTO = Traced((1 / 130, -1 / 95), (62.0,), 0, 8.0, 30.0)
RETROFOCUS = Traced((-1 / 180, 1 / 150), (70.0,), 0, 70.0, 30.0)
"""One like any other, one of telephoto and one of retrofocus construction; all invented."""
