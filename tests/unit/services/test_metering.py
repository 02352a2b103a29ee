"""What a meter reading says of a sitting, in each way a meter can show it.

C = 250 lx·s is the flat receptor's constant of ISO 2720 (from memory); kits are invented.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from stillroom.documents.book import LightSetting, MeterReading, Settings
from stillroom.documents.shows import Shows
from stillroom.errors import BadValue
from stillroom.quantity import Constants
from stillroom.services.worktable import Worktable
from tests.unit.book_cases import book_of, head_and_shoulders, scanned

STANDS = {"f_number": 5.6, "pops": 1, "open_s": 0.5}


def laid(shows: dict[str, float], lights_on: list[str], **more: Any) -> tuple[float, float]:
    """What was metered, and what the layout says at its means: both log2 lx·s at the key."""
    data = head_and_shoulders(stands=STANDS)
    taken = {"region": "key", "lights_on": lights_on, "meter": "flat", "shows": shows} | more
    data["sittings"][0]["meter_readings"] = [taken]
    found = Worktable(book_of(data), "S1").laid_meters()[0]
    reading, layout = found.reading, found.layout
    c, a = layout.incident_rows(reading.settings, "key", reading.sources)
    means = [t.mean for t in layout.terms]
    total = sum(2.0**e for e in c + a @ means)
    return reading.log2_lxs, math.log2(total)


@pytest.mark.parametrize(
    ("shows", "lux"),
    [
        ({"lx": 60.0}, 60.0),
        ({"ev100": 3.0}, 2.5 * 2**3),  # E = C 2^EV / S: 2.5 lx at EV 0 and ISO 100
        ({"f_number": 4.0, "iso": 100.0, "seconds": 2.0}, 250 * 16 / 100 / 2),
        ({"f_number": 4.0, "iso": 100.0, "seconds": 0.125}, 250 * 16 / 100 / 0.125),
    ],
)
def test_steady_light_is_the_same_lux_however_it_was_shown(
    shows: dict[str, float], lux: float
) -> None:
    """The room is given as 60 lx: what was read against it is the same whatever the time."""
    read, thought = laid(shows, ["room"])
    assert read - thought == pytest.approx(math.log2(lux / 60), abs=1e-9)


def test_a_flash_is_read_by_its_f_number_alone() -> None:
    """f/16 at ISO 100: 640 lx·s, whatever the shutter's time."""
    read, thought = laid({"f_number": 16.0, "iso": 100.0}, ["key"])
    assert read == pytest.approx(math.log2(250 * 256 / 100), abs=1e-9)
    # 1000 W·s x 40 x 4 / 4 pi, 2.5 stops of box, at 0.9 m from a face of 0.9 m
    small = math.log2(1000 * 40 * 4 / (4 * math.pi)) - 2.5 - 2 * math.log2(0.9)
    assert small - 0.6 < thought < small - 0.2
    assert laid({"f_number": 16.0, "iso": 100.0, "seconds": 0.008}, ["key"])[1] == thought


@pytest.mark.parametrize("shows", [{"lx": 300.0}, {"ev100": 7.0}])
def test_lux_says_nothing_of_a_flash(shows: dict[str, float]) -> None:
    """Taken for its exposure, 300 lx would put a head six stops too low."""
    with pytest.raises(BadValue, match=r"lights_on of meter reading no\. 1 .* steady light"):
        laid(shows, ["room", "key"])


def test_a_light_that_is_off_for_the_sheet_can_be_metered() -> None:
    settings = Settings(f_number=5.6, lights={"key": LightSetting(on=False)})
    shows = {"f_number": 16.0, "iso": 100.0}
    said = {"settings": settings.model_dump(mode="json")}
    assert laid(shows, ["key"], **said)[1] == pytest.approx(laid(shows, ["key"])[1], abs=1e-9)
    both = laid(shows, ["key", "fill"], **said)[1]
    assert both > laid(shows, ["fill"])[1] + 1.0


def test_a_meter_that_reads_high_is_taken_back() -> None:
    data = head_and_shoulders()
    data["kit"]["meters"][0]["bias_stops"] = 0.4
    shows = Shows(f_number=16, iso=100)
    reading = MeterReading(region="key", lights_on=("key",), meter="flat", shows=shows)
    data["sittings"][0]["meter_readings"] = [reading.model_dump(mode="json")]
    found = Worktable(book_of(data), "S1").laid_meters()[0].reading
    assert found.log2_lxs == pytest.approx(math.log2(640) - 0.4)


def test_past_sittings_are_read_with_the_same_meter_constant() -> None:
    """With C of 340 instead of 250 an old reading means 0.44 stop more light, now as then."""
    data = head_and_shoulders()
    data["sittings"][0]["meter_readings"] = [
        {"region": "key", "lights_on": ["key"], "meter": "flat",
         "shows": {"f_number": 16, "iso": 100}}
    ]  # fmt: skip
    later = data["sittings"][0] | {"id": "S2", "when": "2026-11-15T10:00:00+00:00"}
    data["sittings"].append(later | {"meter_readings": [], "sheets": [scanned(1, 0.8, 1.4)]})
    kept: dict[str, bytes] = {}

    class Memo:
        def get(self, key: str) -> bytes | None:
            return kept.get(key)

        def put(self, key: str, value: bytes) -> None:
            kept[key] = value

    book = book_of(data)
    level = {}
    for c in (250.0, 340.0):
        before = Worktable(book, "S2", memo=Memo(), constants=Constants(meter_c_lx_s=c)).before()
        at = [before.names.index(n) for n in ("head/A/output", "modifier/box/loss")]
        level[c] = before.mean[at[0]] - before.mean[at[1]]
    more = math.log2(340 / 250)
    assert 0.5 * more < level[340.0] - level[250.0] < more
