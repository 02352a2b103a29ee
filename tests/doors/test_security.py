"""Each promise of the guard, kept."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Iterator

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from starlette.requests import Request
from starlette.responses import Response

from stillroom.errors import BookError, NotPossible, OutOfRange, StillroomError, UnknownName
from stillroom.services.desk import Desk
from stillroom.web.addresses import local_path
from stillroom.web.app import create_app
from stillroom.web.page import render
from stillroom.web.security import FORM_LIMIT_BYTES, JSON_LIMIT_BYTES

FormId = Callable[[str], str]
Writes = Callable[[], int]
METER = {"kind": "spot"}
WORD = "open-sesame"
LIGHT_PAGE = "/kit/heads/add"  # asks the engine nothing


def raising(desk: Desk, error: Exception) -> FastAPI:
    """An app with one page that fails, and one that takes JSON."""
    app = create_app(desk)

    @app.get("/fails")
    def fails() -> Response:
        raise error

    @app.post("/document")
    async def document(request: Request) -> Response:
        return Response(str(len(await request.body())))

    return app


@pytest.fixture
def bare(desk: Desk) -> Iterator[TestClient]:
    """A client that sends no Origin of its own."""
    with TestClient(
        create_app(desk), base_url="http://127.0.0.1:8077", follow_redirects=False
    ) as made:
        yield made


# ── Host ────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "LOCALHOST:8077", "127.0.0.1:9999"])
def test_own_names_are_answered(bare: TestClient, host: str) -> None:
    assert bare.get(LIGHT_PAGE, headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    [
        "rebound.example",
        "127.0.0.1.example",
        "localhost@evil.example",
        "",
        "localhost/x",
        "[::1",
        "a@localhost",
        "localhost:x",
    ],
)
def test_a_foreign_name_gets_nothing(bare: TestClient, host: str) -> None:
    answer = bare.get(LIGHT_PAGE, headers={"host": host})
    assert answer.status_code == 400
    assert "<h1>Not understood</h1>" in answer.text
    assert "What does its dial show?" not in answer.text


def test_a_foreign_name_gets_no_file_either(bare: TestClient) -> None:
    answer = bare.get("/static/stillroom.css", headers={"host": "rebound.example"})
    assert answer.status_code == 400


def test_the_port_must_be_ours_when_it_is_named(desk: Desk) -> None:
    app = create_app(desk, port=8077)
    with TestClient(app, base_url="http://127.0.0.1:8077") as client:
        assert client.get(LIGHT_PAGE).status_code == 200
        assert client.get(LIGHT_PAGE, headers={"host": "127.0.0.1:9000"}).status_code == 400


# ── Where a write comes from ────────────────────────────────────────────────────────────────────

HERE = "http://127.0.0.1:8077"
OWN: list[dict[str, str]] = [
    {"origin": HERE},
    {"sec-fetch-site": "same-origin"},
    {"referer": f"{HERE}/kit/meters/add"},
]
FOREIGN: list[dict[str, str]] = [
    {},
    {"origin": "null"},
    {"origin": "http://evil.example"},
    {"origin": "http://127.0.0.1:8078"},
    {"origin": "http://127.0.0.1:8077.evil.example"},
    {"origin": "http://evil.example", "referer": f"{HERE}/kit"},
    {"sec-fetch-site": "cross-site", "referer": f"{HERE}/kit"},
    {"sec-fetch-site": "same-site"},
    {"sec-fetch-site": "none"},
    {"referer": "http://evil.example/127.0.0.1:8077"},
    {"origin": "http://["},
    {"origin": "file:" + "//127.0.0.1:8077"},
]


@pytest.mark.parametrize("headers", OWN, ids=str)
def test_our_own_forms_write(bare: TestClient, headers: dict[str, str], writes: Writes) -> None:
    data = {"form_id": "a" * 22, **METER}
    assert bare.post("/kit/meters/add", data=data, headers=headers).status_code == 303
    assert writes() == 1


@pytest.mark.parametrize("headers", FOREIGN, ids=str)
def test_a_form_from_elsewhere_writes_nothing(
    bare: TestClient, headers: dict[str, str], writes: Writes
) -> None:
    data = {"form_id": "a" * 22, **METER}
    answer = bare.post("/kit/meters/add", data=data, headers=headers)
    assert answer.status_code == 403
    assert "nothing was written" in answer.text
    assert writes() == 0


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE"])
def test_every_kind_of_write_is_asked(bare: TestClient, method: str) -> None:
    assert bare.request(method, "/kit").status_code == 403


@pytest.mark.parametrize("path", ["/mode", "/dim", "/lengths", "/start", "/kit/heads/A"])
def test_every_form_is_asked(bare: TestClient, path: str) -> None:
    assert bare.post(path, data={}).status_code == 403


# ── One form, one write ─────────────────────────────────────────────────────────────────────────


def test_the_second_answer_is_the_first_one_again(
    client: TestClient, form_id: FormId, writes: Writes
) -> None:
    data = {"form_id": form_id("/kit/meters/add"), **METER}
    first, second = (client.post("/kit/meters/add", data=data) for _ in range(2))
    assert (first.status_code, second.status_code) == (303, 303)
    assert first.headers["location"] == second.headers["location"]
    assert writes() == 1


def test_a_form_that_came_back_may_be_sent_again(
    client: TestClient, form_id: FormId, writes: Writes
) -> None:
    shared = {"form_id": form_id("/kit/heads/add"), "dial": "tenths"}
    wrong = client.post("/kit/heads/add", data={**shared, "energy_ws": "none"})
    right = client.post("/kit/heads/add", data={**shared, "energy_ws": "400"})
    assert (wrong.status_code, right.status_code) == (422, 303)
    assert writes() == 1


@pytest.mark.parametrize("form_id", ["", "short", "a" * 65, "a b c d e f g h i j"])
def test_a_form_without_its_number_writes_nothing(
    client: TestClient, form_id: str, writes: Writes
) -> None:
    answer = client.post("/kit/meters/add", data={"form_id": form_id, **METER})
    assert answer.status_code == 409
    assert writes() == 0


def test_every_form_on_a_page_has_its_own_number(client: TestClient) -> None:
    ids: list[str] = []
    for path in ("/kit/heads/A", "/kit/heads/A", "/papers/sorrel-2~7"):
        ids += re.findall(r'name="form_id" value="([^"]+)"', client.get(path).text)
    assert len(ids) > 6  # each page several, and the first one is asked twice
    assert len(ids) == len(set(ids))


# ── How much may be sent ────────────────────────────────────────────────────────────────────────


def test_a_form_may_not_be_a_book(client: TestClient, writes: Writes) -> None:
    answer = client.post(
        "/kit/meters/add", data={"form_id": "a" * 22, "note": "x" * FORM_LIMIT_BYTES, **METER}
    )
    assert answer.status_code == 413
    assert "More was sent than this page takes, which is 64 kB" in answer.text
    assert writes() == 0


def test_a_length_that_lies_is_found_out(client: TestClient, writes: Writes) -> None:
    def pieces() -> Iterator[bytes]:
        for _ in range(80):
            yield b"x" * 1024

    answer = client.post(
        "/kit/meters/add",
        content=pieces(),  # sent in pieces, without a length
        headers={"content-type": "application/x-www-form-urlencoded"},
    )
    assert answer.status_code == 413
    assert writes() == 0


@pytest.mark.parametrize("length", ["-1", "ten", "1e3", "٣"])
def test_a_length_that_is_no_number_is_refused(client: TestClient, length: str) -> None:
    headers = {"content-length": length.encode()}
    answer = client.post("/kit/meters/add", content=b"", headers=headers)  # type: ignore[arg-type]
    assert answer.status_code == 400


def test_documents_may_be_long_and_not_longer(desk: Desk) -> None:
    headers = {"origin": HERE, "content-type": "application/json"}
    with TestClient(raising(desk, ValueError()), base_url=HERE) as client:
        full = client.post("/document", content=b" " * JSON_LIMIT_BYTES, headers=headers)
        over = client.post("/document", content=b" " * (JSON_LIMIT_BYTES + 1), headers=headers)
    assert (full.status_code, full.text) == (200, str(JSON_LIMIT_BYTES))
    assert over.status_code == 413


def test_a_form_with_a_thousand_questions_is_refused(client: TestClient) -> None:
    data = {f"q{n}": "1" for n in range(1000)}
    assert client.post("/kit/meters/add", data=data).status_code == 400


# ── What goes out ───────────────────────────────────────────────────────────────────────────────

PAGES = ["/kit", "/papers/sorrel-2~7", "/start", "/nothing-here", "/static/parts.css"]


@pytest.mark.parametrize("path", PAGES)
def test_every_answer_carries_its_headers(client: TestClient, path: str) -> None:
    headers = client.get(path).headers
    policy = dict(rule.split(" ", 1) for rule in headers["content-security-policy"].split("; "))
    assert policy["default-src"] == "'none'"
    assert re.fullmatch(r"'self' 'nonce-[\w-]{22}'", policy["script-src"])
    assert re.fullmatch(r"'self' 'nonce-[\w-]{22}'", policy["style-src"])
    assert policy["img-src"] == "'self' data:"
    assert policy["form-action"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    expected = "no-cache" if path.startswith("/static/") else "no-store"
    assert headers["cache-control"] == expected


@pytest.mark.parametrize("path", [p for p in PAGES if not p.startswith("/static")])
def test_every_element_of_script_and_style_carries_the_nonce(
    client: TestClient, path: str
) -> None:
    answer = client.get(path)
    nonce = re.search(r"'nonce-([^']+)'", answer.headers["content-security-policy"])
    assert nonce
    for element in re.findall(r"<(?:script|style)[^>]*>", answer.text):
        assert f'nonce="{nonce[1]}"' in element
    assert not re.search(r"\son\w+=", answer.text)  # no handler in an attribute
    assert "javascript:" not in answer.text


def test_the_nonce_is_new_each_time(client: TestClient) -> None:
    seen = {client.get(LIGHT_PAGE).headers["content-security-policy"] for _ in range(3)}
    assert len(seen) == 3


@pytest.mark.parametrize("path", PAGES[:-1])
def test_nothing_is_fetched_from_elsewhere(client: TestClient, path: str) -> None:
    addresses = re.findall(r'(?:src|href|action)="([^"]*)"', client.get(path).text)
    assert addresses
    assert all(a.startswith(("/", "#")) and not a.startswith("//") for a in addresses)


def test_no_description_of_the_app_is_served(client: TestClient) -> None:
    for path in ("/docs", "/redoc", "/openapi.json"):
        assert client.get(path).status_code == 404


# ── The studio network ──────────────────────────────────────────────────────────────────────────


def test_without_the_token_nothing_is_shown(desk: Desk) -> None:
    app = create_app(desk, allowed_hosts=("192.168.1.7",), token=WORD)
    with TestClient(app, base_url="http://192.168.1.7", follow_redirects=False) as client:
        for path in ("", "?token=wrong", "?token="):
            answer = client.get(f"{LIGHT_PAGE}{path}")
            assert answer.status_code == 403
            assert "What does its dial show?" not in answer.text
        entered = client.get(f"{LIGHT_PAGE}?token=open-sesame&x=1")
        assert (entered.status_code, entered.headers["location"]) == (303, f"{LIGHT_PAGE}?x=1")
        assert "open-sesame" not in entered.headers["set-cookie"]
        assert client.get(LIGHT_PAGE).status_code == 200


def test_the_token_does_not_open_a_write(desk: Desk, writes: Writes) -> None:
    app = create_app(desk, token=WORD)
    with TestClient(app, base_url="http://127.0.0.1") as client:
        answer = client.post("/kit/meters/add?token=open-sesame", data=METER)
    assert answer.status_code == 403
    assert writes() == 0


# ── Errors ──────────────────────────────────────────────────────────────────────────────────────

ERRORS: list[tuple[StillroomError, int]] = [
    (UnknownName("sitting", "ZZ", ["OM"]), 404),
    (NotPossible("OM 2 has no reading to take back."), 409),
    (OutOfRange("distance", 0.0, 0.05, 100, "m"), 422),
    (BookError("The book cannot be written: the disk is full."), 500),
]


@pytest.mark.parametrize("mode", ["studio", "safelight"])
@pytest.mark.parametrize(("error", "status"), ERRORS)
def test_an_error_on_purpose_is_its_sentence_on_a_page(
    desk: Desk, error: StillroomError, status: int, mode: str
) -> None:
    with TestClient(raising(desk, error), base_url=HERE, cookies={"mode": mode}) as client:
        answer = client.get("/fails")
    assert answer.status_code == status
    assert str(error).replace("'", "&#39;") in answer.text
    assert f'data-mode="{mode}"' in answer.text


@pytest.mark.parametrize("mode", ["studio", "safelight"])
def test_an_error_nobody_expected_shows_a_number_and_no_traceback(
    desk: Desk, mode: str, caplog: pytest.LogCaptureFixture
) -> None:
    error = ZeroDivisionError("secret of the inside")
    with (
        caplog.at_level(logging.ERROR, logger="stillroom.web"),
        TestClient(raising(desk, error), base_url=HERE, cookies={"mode": mode}) as client,
    ):
        answer = client.get("/fails")
    assert answer.status_code == 500
    assert f'data-mode="{mode}"' in answer.text
    assert "content-security-policy" in answer.headers
    for inside in ("secret of the inside", "Traceback", "ZeroDivision", ".py"):
        assert inside not in answer.text
    number = re.search(r"Number in the log: <b>([0-9a-f]{8})</b>", answer.text)
    assert number
    assert number[1] in caplog.text
    assert "secret of the inside" in caplog.text


def test_a_log_that_takes_nothing_is_no_second_accident(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Full(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            raise OSError(28, "No space left on device", record.name)

    monkeypatch.setattr(logging.getLogger("stillroom.web"), "handlers", [Full()])
    error = ZeroDivisionError("secret of the inside")
    with TestClient(raising(desk, error), base_url=HERE) as client:
        answer = client.get("/fails")
    assert answer.status_code == 500
    assert "the details could not be written down." in answer.text
    assert "Number in the log" not in answer.text


def test_an_error_page_that_cannot_be_drawn_is_a_sentence(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(_: Desk) -> None:
        raise BookError("The book is gone.")

    monkeypatch.setattr(Desk, "saved", gone)
    with TestClient(create_app(desk), base_url=HERE) as client:
        answer = client.get("/kit")
    assert answer.status_code == 500
    assert answer.headers["content-type"].startswith("text/plain")
    assert "The book is gone." in answer.text
    assert "Traceback" not in answer.text


def test_an_address_of_the_wrong_shape_is_an_error_page(client: TestClient) -> None:
    answer = client.get("/sitting/OM/four/ledger")
    assert answer.status_code == 422
    assert "<h1>" in answer.text


def test_what_a_page_is_not_for_is_said(client: TestClient) -> None:
    answer = client.post("/papers", data={})
    assert answer.status_code == 405
    assert "does not take what was sent" in answer.text


# ── Where a form may lead ───────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    "back",
    [
        "//evil.example",
        "http://[",
        "https://evil.example",
        "/\\evil.example",
        "javascript:x",
        "x",
        "/a\nb",
    ],
)
def test_no_form_leads_away(client: TestClient, back: str) -> None:
    assert local_path(back) == "/"
    answer = client.post("/mode", data={"mode": "safelight", "back": back})
    assert answer.headers["location"] == "/"


def test_a_form_that_came_back_knows_where_it_came_from(client: TestClient) -> None:
    where = "/papers/sorrel-2~7?x=1"
    answer = client.post(
        "/papers/sorrel-2~7/batch", data={}, headers={"referer": f"http://127.0.0.1{where}"}
    )
    assert answer.status_code == 422
    assert f'name="back" value="{where}"' in answer.text


def test_words_kept_for_the_next_page_cannot_become_markup(client: TestClient) -> None:
    client.cookies.set("said", "%3Cscript%3Ealert(1)%3C/script%3E")
    page = client.get(LIGHT_PAGE).text
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_a_page_is_dark_until_it_says_that_it_was_made_for_it(desk: Desk) -> None:
    app = create_app(desk)

    @app.get("/bright")
    def bright(request: Request) -> Response:
        return render(request, "kit.html", sections=())

    with TestClient(app, base_url=HERE, cookies={"mode": "safelight"}) as client:
        page = client.get("/bright").text
    assert "This needs the lights on." in page
    assert "Each thing says" not in page
