"""A dark test among the sheets of a sitting, on the pages that list them. All is invented."""

from __future__ import annotations

import re

import pytest
from fastapi.testclient import TestClient

from stillroom.services.chair import card_said
from stillroom.services.dark_test import CARD_REFLECTANCE
from stillroom.services.desk import Desk


@pytest.mark.parametrize("page", ["/sitting/{s}", "/read/{s}/{n}", "/sitting/{s}/{n}/ledger"])
def test_the_pages_bear_a_dark_test(client: TestClient, desk: Desk, page: str) -> None:
    sitting = desk.current_sitting_id()
    assert sitting is not None
    number = desk.make_dark_test(sitting, open_s=1.0)
    answer = client.get(page.format(s=sitting, n=number))
    assert answer.status_code == 200, answer.text[:300]
    desk.read_dark_test(sitting, number, verdict="black")
    assert client.get(page.format(s=sitting, n=number)).status_code == 200


def test_what_was_said_of_the_chair_outlives_the_reading_form(
    client: TestClient, desk: Desk
) -> None:
    """The form of a reading comes with the card ticked, so that it is sent back with the rest."""
    sitting = desk.current_sitting_id()
    assert sitting is not None
    number = desk.make_dark_test(sitting, open_s=1.0)
    page = client.get(f"/read/{sitting}/{number}").text
    boxes = re.findall(r'<input[^>]*name="moved"[^>]*>', page)
    ticked = [box for box in boxes if "checked" in box]
    assert len(ticked) == 1
    assert f'value="{card_said(CARD_REFLECTANCE)}"' in ticked[0]
