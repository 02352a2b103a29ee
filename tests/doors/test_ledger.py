"""The ledger of stops, as a page."""

from __future__ import annotations

import re
from html import unescape

import pytest
from fastapi.testclient import TestClient

from stillroom.services.desk import Desk

LEDGER = "/sitting/OM/3/ledger"


def rows(page: str) -> list[tuple[str, float, str]]:
    """Term, stops and range of each row of the first table."""
    table = unescape(page.partition('<table class="ledger stops">')[2].partition("</table>")[0])
    found = re.findall(
        r'<th scope="row">(.*?)</th>.*?<td class="n">(.*?)</td><td class="n range">(.*?)</td>',
        table,
    )
    return [
        (re.sub(r"<.*?>", "", term), float(stops.replace("−", "-")), spread)
        for term, stops, spread in found
    ]


def test_the_sum_of_the_rows_is_where_the_chain_lands(client: TestClient) -> None:
    *factors, landing = rows(client.get(LEDGER).text)
    assert landing[0] == "Where the chain lands"
    assert len(factors) > 10
    # each row is rounded to a hundredth
    assert sum(stops for _, stops, _ in factors) == pytest.approx(landing[1], abs=0.1)


def test_the_figures_are_those_of_the_forecast(client: TestClient, desk: Desk) -> None:
    region = desk.advice("OM").forecast.regions["key"]
    page = unescape(client.get(f"{LEDGER}?region=key").text)
    landing = next(one for one in region.landings if one.source == "key")
    assert rows(page)[-1][1] == pytest.approx(landing.stops, abs=0.005)
    placed = region.placement_stops
    assert f"±{(placed.q95 - placed.q05) / 2:.2f}" in page


def test_the_chain_is_surer_than_its_parts_and_says_so(client: TestClient) -> None:
    assert "Surer than its parts" in client.get(LEDGER).text


def test_what_is_certain_has_no_range(client: TestClient) -> None:
    spreads = {term: spread for term, _, spread in rows(client.get(LEDGER).text)}
    assert spreads["Distance"] == ""
    assert spreads["Speed of Sorrel No. 2, batch 7"].startswith("±")


def test_every_region_can_be_opened(client: TestClient, desk: Desk) -> None:
    for region, forecast in desk.advice("OM").forecast.regions.items():
        page = client.get(f"{LEDGER}?region={region}").text
        assert f"<h1>{forecast.name}</h1>" in page


def test_a_sheet_that_was_made_is_told_as_it_was_made(client: TestClient) -> None:
    # OM 2 was made at f/8 and not at the f/5.6 that was planned
    stops = {term: value for term, value, _ in rows(client.get("/sitting/OM/2/ledger").text)}
    assert stops["F-stop"] == pytest.approx(-6.0, abs=0.01)  # 2 log2 of 8
    assert "As believed now" in client.get("/sitting/OM/2/ledger").text


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/sitting/OM/9/ledger", 409),
        ("/sitting/ZZ/1/ledger", 404),
        ("/sitting/OM/3/ledger?region=hat", 404),
    ],
)
def test_what_is_not_there_is_said(client: TestClient, path: str, status: int) -> None:
    assert client.get(path).status_code == status
