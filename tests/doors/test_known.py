"""What is known of a term, on its pages and as a command; hold, forget, learn again."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from stillroom.documents.known import Known
from stillroom.documents.read import read_book
from stillroom.services.demo import demo_book, demo_document
from stillroom.services.desk import Desk
from stillroom.services.histories import known
from stillroom.store import open_book

sys.path.insert(0, str(Path(__file__).parent))
from cli_case import Cli  # type: ignore[import-not-found]
from quarry_lane import NOON  # type: ignore[import-not-found]

FormId = Callable[[str], str]
Writes = Callable[[], int]
HEAD_PAGE, PAPER_PAGE = "/kit/heads/A", "/papers/sorrel-2~7"
HEAD, SAY = "head/A/output", "/known/head~A~output"
SPEED = "paper/sorrel-2/7/speed"


# ── Pages ────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(("page", "term"), [(HEAD_PAGE, HEAD), (PAPER_PAGE, SPEED)])
def test_a_thing_shows_its_term_over_time(
    client: TestClient, desk: Desk, page: str, term: str
) -> None:
    text = unescape(client.get(page).text)
    found = desk.known_term(term)
    section = text.partition("What sheets taught")[2]
    assert found.sentence[1:] in section
    assert section.count('<path class="entered"') >= 1
    article = section.partition("<article")[2].partition("</article>")[0]
    assert article.count('<path class="spn"') == len(found.history)
    assert found.moved_by
    for mover in found.moved_by:
        assert (mover.mark if mover.sheet else "Meter, ") in article
    assert "Hold this figure" in article
    assert "Forget what sheets taught here" in article


def test_the_drawing_is_told_in_words_and_as_a_table(client: TestClient, desk: Desk) -> None:
    text = unescape(client.get(PAPER_PAGE).text)
    drawn = re.search(r'<figure class="over-time" role="img" aria-label="(.*?)"', text)
    assert drawn is not None
    assert re.search(r"From .* either way as entered to .* either way after \d+ sitting", drawn[1])
    table = text.partition('<table class="ledger over">')[2].partition("</table>")[0]
    assert len(re.findall(r'<th scope="row">', table)) == 1 + len(desk.known_term(SPEED).history)


def test_chains_stand_below_with_their_range(client: TestClient, desk: Desk) -> None:
    text = unescape(client.get(PAPER_PAGE).text)
    chains = [c for c in desk.known().chains if c.paper == "sorrel-2/7"]
    assert chains
    assert chains[0].title in text
    assert chains[0].sentence[1:] in text


def test_a_thing_nothing_was_read_of_says_so(client: TestClient) -> None:
    assert "Nothing yet: no sheet" in client.get("/kit/heads/D").text


def test_held_then_learning_again(
    client: TestClient, desk: Desk, form_id: FormId, writes: Writes
) -> None:
    before = desk.known_term(HEAD)
    form = {"form_id": form_id(HEAD_PAGE), "say": "hold", "back": HEAD_PAGE}
    was = writes()
    answer = client.post(SAY, data=form)
    assert (answer.status_code, answer.headers["location"]) == (303, HEAD_PAGE)
    assert writes() == was + 1
    assert client.post(SAY, data=form).status_code == 303
    assert writes() == was + 1  # a second tap writes nothing
    held = desk.known_term(HEAD)
    assert (held.standing, held.sd) == ("held", 0.0)
    assert held.shift == pytest.approx(before.shift, abs=1e-6)
    page = unescape(client.get(HEAD_PAGE).text)
    assert "is held: sheets no longer move it." in page
    assert "Learn again" in page
    (line,) = re.findall(r'href="/kit/heads/A".*?</li>', client.get("/kit").text, re.DOTALL)
    assert "held by you" in line
    assert "±0" not in line
    assert "Hold this figure" not in page.partition("<article")[2].partition("</article>")[0]
    client.post(SAY, data={"form_id": form_id(HEAD_PAGE), "say": "learn"})
    after = desk.known_term(HEAD)
    assert after.standing == before.standing
    assert (after.shift, after.sd) == pytest.approx((before.shift, before.sd))
    assert [c.choice for c in desk.book().choices] == ["hold", "learn"]


def test_forgotten_is_as_entered(client: TestClient, desk: Desk, form_id: FormId) -> None:
    other = desk.known_term("modifier/octa/loss")
    client.post(SAY, data={"form_id": form_id(HEAD_PAGE), "say": "forget"})
    gone = desk.known_term(HEAD)
    assert (gone.standing, gone.shift, gone.sd) == ("forgotten", 0.0, gone.entered_sd)
    kept = desk.known_term("modifier/octa/loss")
    assert (kept.shift, kept.sd) == pytest.approx((other.shift, other.sd))
    assert "forgotten: as entered" in unescape(client.get("/kit").text)


def test_a_held_term_changes_the_forecast(client: TestClient, desk: Desk, form_id: FormId) -> None:
    was = desk.forecast("OM").regions["key"].ledger
    client.post(
        "/known/lens~tele300~transmission",
        data={
            "form_id": form_id("/kit/lenses/tele300"),
            "say": "hold",
        },
    )
    now = desk.forecast("OM").regions["key"].ledger
    name = "lens/tele300/transmission"
    assert next(x for x in was if x.name == name).sd_stops > 0.05
    assert next(x for x in now if x.name == name).sd_stops == pytest.approx(0.0, abs=1e-6)


def test_what_cannot_be_said_is_refused_and_nothing_is_written(
    client: TestClient, form_id: FormId, writes: Writes
) -> None:
    was = writes()
    wrong = client.post(SAY, data={"form_id": form_id(HEAD_PAGE), "say": "love"})
    assert wrong.status_code == 422
    assert "tap Hold, Forget or Learn again" in unescape(wrong.text)
    unknown = client.post(
        "/known/head~Z~output", data={"form_id": form_id(HEAD_PAGE), "say": "hold"}
    )
    assert unknown.status_code == 404
    assert writes() == was


def test_where_to_go_back_to_is_inside(client: TestClient, form_id: FormId) -> None:
    away = {"form_id": form_id(HEAD_PAGE), "say": "hold", "back": "https://elsewhere.example"}
    assert client.post(SAY, data=away).headers["location"] == "/"


def test_a_row_of_the_ledger_opens(client: TestClient, desk: Desk) -> None:
    page = unescape(client.get("/sitting/OM/3/ledger?region=key").text)
    assert 'id="opened"' not in page
    link = re.search(r'<a class="opens" href="([^"#]*term=head%2FA%2Foutput[^"#]*)', page)
    assert link is not None
    opened = unescape(client.get(link[1]).text)
    assert opened.count('id="opened"') == 1
    row = opened.partition('id="opened"')[2].partition("</article>")[0]
    assert desk.known_term(HEAD).sentence[1:] in row
    assert "Hold this figure" in row
    back = re.search(r'name="back" value="([^"]*)"', row)
    assert back is not None
    assert client.get(back[1]).text.count('id="opened"') == 1


def test_what_belongs_to_no_thing_has_a_page(client: TestClient, desk: Desk) -> None:
    assert '<a class="btn soft" href="/known">' in client.get("/kit").text
    page = unescape(client.get("/known").text)
    shown = [t for t in desk.known().terms if t.term.startswith(("eye/", "actinic/", "shared/"))]
    assert len(shown) > 2
    for term in shown:
        assert f'<h3 class="h3">{term.label[:1].upper()}{term.label[1:]}</h3>' in page
    for chain in desk.known().chains:
        assert chain.title in page
    assert "Speed of Sorrel" not in page


@pytest.mark.parametrize("page", [HEAD_PAGE, PAPER_PAGE, "/sitting/OM/3/ledger", "/known"])
def test_these_pages_need_the_lights_on(client: TestClient, page: str) -> None:
    client.cookies.set("mode", "safelight")
    text = client.get(page).text
    assert "This needs the lights on." in text
    assert "Hold this figure" not in text


# ── The command ──────────────────────────────────────────────────────────────────────────────


@pytest.fixture
def cli(capfdbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch) -> Cli:
    return Cli(capfdbinary, monkeypatch)


@pytest.fixture
def document(tmp_path: Path) -> Path:
    path = tmp_path / "example.json"
    path.write_text(demo_document())
    return path


def test_the_command_says_what_the_service_says(cli: Cli, document: Path) -> None:
    found = known(demo_book())
    assert Known.model_validate(cli("known", document, "--json").json) == found
    lines = cli("known", document).out
    assert all(len(line) <= 80 for line in lines.splitlines())
    unbroken = "".join(lines.split())  # a line may end at a hyphen of a name
    for term in found.terms:
        assert "".join(term.term.split()) in unbroken
    for chain in found.chains:
        assert chain.title in lines


def test_one_term_with_its_history(cli: Cli, document: Path) -> None:
    told = cli("known", document, "--term", SPEED, "--json").json
    (term,) = told["terms"]
    assert (term["term"], told["chains"]) == (SPEED, [])
    assert [p["sitting"] for p in term["history"]] == ["JB", "OM"]
    lines = cli("known", document, "--term", SPEED).out
    assert "What moved it most" in lines
    for mover in term["moved_by"]:
        assert mover["mark"] in lines


def test_holding_writes_into_a_book_and_not_into_a_document(
    cli: Cli, document: Path, tmp_path: Path
) -> None:
    before = document.read_bytes()
    said = cli("known", document, "--term", HEAD, "--hold", "--json")
    assert document.read_bytes() == before
    (choice,) = said.json["choices"]
    assert (choice["term"], choice["choice"]) == (HEAD, "hold")
    told = cli("known", document, "--term", HEAD, "--hold").out
    assert "Your document is as it was" in told
    piped = cli("known", "-", "--term", HEAD, given=said.out)
    assert "Held by you" in piped.out
    path = tmp_path / "book.db"
    with open_book(path, clock=lambda: NOON) as store:
        store.import_document(read_book(demo_document()))
    assert "forgotten: as entered" in cli("known", path, "--term", HEAD, "--forget").out
    assert cli("known", path, "--term", HEAD, "--learn").code == 0
    with open_book(path, clock=lambda: NOON) as store:
        assert [c.choice for c in store.load().choices] == ["forget", "learn"]


def test_what_cannot_be_said_is_one_sentence(cli: Cli, document: Path) -> None:
    assert "no term called 'head/Z/output'" in cli.refused(
        "known", document, "--term", "head/Z/output"
    )
    assert "name it with --term" in cli.refused("known", document, "--hold")
    assert "give one of them" in cli.refused(
        "known", document, "--term", HEAD, "--hold", "--forget"
    )


def test_the_document_has_a_schema(cli: Cli) -> None:
    schema = cli("schema", "known/1").json
    assert schema["$id"] == "stillroom:known/1"
    assert json.dumps(schema).count("KnownTerm") > 1
