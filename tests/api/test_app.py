"""The HTTP service."""

from __future__ import annotations

import asyncio
import json
import re
import time
from collections.abc import Iterator
from typing import Any

import httpx2
import jsonschema
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from pydantic import TypeAdapter

from api.app import create_app
from api.deps import EXAMPLES
from api.plan_schemas import PlanOut
from api.schemas import Problem, report_schema
from api.settings import ApiSettings
from api.workers import ProcessWorkers
from tests import made_checks
from vision.check import CheckRequest, ScreenRequest, screen, screening_json
from vision.report.record import to_json
from vision.settings import IntakeSettings, Settings


class HereAndNow:
    """Workers without processes: the check runs in the call, so that a test can look at its request."""

    busy = 0

    def __init__(self) -> None:
        self.requests: list[CheckRequest] = []

    async def run(self, request: CheckRequest) -> dict[str, Any]:
        self.requests.append(request)
        return to_json(made_checks.by_name(request, Settings()))

    async def screen(self, request: ScreenRequest) -> dict[str, Any]:
        return screening_json(screen(request))

    def close(self) -> None: ...


@pytest.fixture
def here() -> HereAndNow:
    return HereAndNow()


@pytest.fixture
def client(here: HereAndNow) -> TestClient:
    return TestClient(create_app(ApiSettings(max_photos=2, max_body_bytes=50_000), workers=here), raise_server_exceptions=False)


@pytest.fixture(scope="module")
def app() -> Iterator[FastAPI]:
    """The application with real worker processes and checks that do no photo work."""
    limits = ApiSettings(workers=2, max_waiting=2, check_timeout_s=20)
    workers = ProcessWorkers(limits, Settings(), made_checks.by_name)
    yield create_app(limits, workers=workers)
    workers.close()


def photo(content: bytes | str = "ready") -> tuple[str, tuple[str, bytes, str]]:
    return ("photo", ("../../etc/passwd", content if isinstance(content, bytes) else content.encode(), "image/jpeg"))


def facts(value: object) -> tuple[str, tuple[None, str]]:
    return ("facts", (None, value if isinstance(value, str) else json.dumps(value)))


def assert_problem(response: httpx2.Response, status: int) -> dict[str, Any]:
    """A problem as RFC 9457 describes it, with what was found, what was needed and what to do."""
    assert status == response.status_code
    assert response.headers["content-type"] == "application/problem+json"
    problem: dict[str, Any] = response.json()
    jsonschema.Draft202012Validator(Problem.model_json_schema()).validate(problem)
    assert status == problem["status"]
    assert problem["found"]
    assert problem["needed"]
    assert problem["remedy"]
    return problem


@pytest.mark.parametrize("word", ["ready", "hold", "scale refused", "needs-corners"])
def test_a_photo_that_decodes_is_answered_with_a_report(client: TestClient, word: str) -> None:
    """Ready, hold, shape only and cannot measure are all answers: 200 and the JSON of format 1."""
    response = client.post("/checks", files=[photo(word)])

    assert response.status_code == 200
    jsonschema.Draft202012Validator(report_schema()).validate(response.json())


@pytest.mark.parametrize(("word", "status"), [("not-an-image", 415), ("too-large", 413), ("unreadable", 422)])
def test_what_is_no_image_too_large_or_no_reading_is_a_problem(client: TestClient, word: str, status: int) -> None:
    """What cannot be checked at all is refused with problem details."""
    assert_problem(client.post("/checks", files=[photo(word)]), status)


@pytest.mark.parametrize("example", EXAMPLES, ids=range(len(EXAMPLES)))
def test_the_examples_of_the_description_run(client: TestClient, example: dict[str, object]) -> None:
    """Each example of facts that OpenAPI shows is accepted as it stands."""
    schema = client.get("/openapi.json").json()
    shown = schema["components"]["schemas"]["Body_make_check_checks_post"]["properties"]["facts"]["examples"]

    assert json.dumps(example) in shown
    assert client.post("/checks", files=[photo(), facts(example)]).status_code == 200


def test_facts_may_come_as_a_file_part(client: TestClient, here: HereAndNow) -> None:
    """Facts sent with a file name are read like facts sent as a field."""
    client.post("/checks", files=[photo(), ("facts", ("facts.json", b'{"height": "80 in"}', "application/json"))])

    assert here.requests[0].height == "80 in"


def test_facts_reach_the_door_as_the_command_line_would_send_them(client: TestClient, here: HereAndNow) -> None:
    """Every key of the facts arrives in the request."""
    corners = [[0, 9], [9, 9], [9, 0], [0, 0]]
    sent = {
        "unit": "in", "decimal_comma": True, "tape": "class-2", "control_tape": "other", "cards": ["a4@3"], "card_offset": -1.5,
        "readings": {"width_top": {"text": "56 1/4", "at": "72 in"}, "width_middle": "56"}, "level_cards": [2], "head": False,
        "card_corners": [{"photo": 2, "kind": "id-1", "corners": corners}], "corners": [None, corners],
        "plumb_lines": [{"photo": 2, "line": [[5, 0], [5, 9]]}], "height": "80 in",
        "levels": [{"photo": 2, "line": [[5, 9], [5, 0]], "length": 1800, "length_sd": 0.5, "offset": -20, "offset_sd": 3}],
        "grout_lines": [{"line": [[1, 9], [1, 0]]}], "level_curb": True, "door_line": 60, "door_line_sd": 2.5,
        "side_joints": [{"photo": 2, "side": "left", "line": [[1, 9], [3, 8]]}],
        "door": "hinged-door", "hardware": {"gap_strike": {"value": "5 mm", "source": "page 2"}}, "corners_within_px": 3.5,
    }  # fmt: skip
    assert client.post("/checks", files=[photo(), photo(), facts(sent)]).status_code == 200
    request = here.requests[0]

    assert (
        request.tape.unit, request.tape.decimal_comma, request.tape.tape, request.tape.control_tape,
    ) == ("in", True, "class-2", "other")  # fmt: skip
    assert {("width_top", "72 in"), ("width_middle", None)} == {(entry.name, entry.at) for entry in request.tape.entries}
    assert (
        request.cards, request.card_offset_mm, request.level_cards, request.head, request.height,
    ) == (("a4@3",), -1.5, (2,), False, "80 in")  # fmt: skip
    assert (request.door, request.hardware) == ("hinged-door", {"gap_strike": {"value": "5 mm", "source": "page 2"}})
    assert request.corners == (None, ((0.0, 9.0), (9.0, 9.0), (9.0, 0.0), (0.0, 0.0)))
    assert (request.card_corners[0].photo, request.card_corners[0].kind) == (2, "id-1")
    assert (request.plumb_lines[0].photo, request.plumb_lines[0].line) == (2, ((5.0, 0.0), (5.0, 9.0)))
    level, joint, back = request.lines
    assert (back.photo, back.kind, back.side, back.line) == (2, "back", "left", ((1.0, 9.0), (3.0, 8.0)))
    assert (level.photo, level.kind, level.line) == (2, "level", ((5.0, 9.0), (5.0, 0.0)))
    assert (level.length_mm, level.length_sd_mm, level.offset_mm, level.offset_sd_mm) == (1800.0, 0.5, -20.0, 3.0)
    assert (joint.photo, joint.kind, joint.line, joint.length_mm) == (1, "grout", ((1.0, 9.0), (1.0, 0.0)), None)
    assert (request.level_curb, request.door_line_mm, request.corners_within_px) == (True, (60.0, 2.5), 3.5)


def test_file_names_of_clients_are_not_used(client: TestClient, here: HereAndNow) -> None:
    """Photos are numbered; the name that came with them goes nowhere."""
    client.post("/checks", files=[photo(), photo()])

    assert [name for name, _ in here.requests[0].photos] == ["photo 1", "photo 2"]


@pytest.mark.parametrize(
    "value",
    [
        "{", "[]", '"text"', {"unix": "in"}, {"head": "perhaps"}, {"card_offset": "x"}, {"corners": [[[1, 2]]]}, "NaN",
        '{"card_offset": NaN}', '{"card_offset": 1e999}', {"corners": [None, None]}, {"unit": "furlong"},
        {"readings": {"width_top": 5}}, {"readings": {"width_attic": "56 in"}}, {"tape": "class-9"}, {"control_tape": "both"},
        {"plumb_lines": [{"photo": 2, "line": [[1, 2], [3, 4]]}]}, {"plumb_lines": [{"photo": 1, "line": [[1, 2]]}]},
        {"hardware": {"gap_strike": 5}}, {"corners_within_px": 0}, {"corners_within_px": 41}, {"corners_within_px": "few"},
        {"level_cards": [0]}, {"level_cards": [-1]}, {"levels": [{"line": [[1, 2], [3, 4]], "offset": -501}]},
        {"head": "false"}, {"card_offset": "5"}, {"level_cards": ["1"]}, {"corners": [[[True, False]] * 4]}, {"tape": ""},
        {"plumb_lines": [{"photo": "1", "line": [[1, 2], [3, 4]]}]},
        {"corners": [[[1, 2], [3, 2], [3, 1], [1e300, 1]]]}, {"plumb_lines": [{"line": [[1, 2], [1, 1e9]]}]},
    ],
    ids=str,
)  # fmt: skip
def test_facts_that_cannot_be_used_are_a_problem(client: TestClient, value: object) -> None:
    """Whatever is wrong with the facts is answered with 422 and problem details."""
    assert_problem(client.post("/checks", files=[photo(), facts(value)]), 422)


LIBRARY_WORDS = ("Maximum number", "UploadFile", "instance of", "class '", "Input should", "Extra inputs", "as described", "KB")


@pytest.mark.parametrize(
    ("files", "found", "needed"),
    [
        ([photo()] * 4, "more than 3 files", "at most 2 photos"),
        ([("photo", (None, "text"))], "a text where a file", "file"),
        ([photo(), facts("[1]")], "facts: [1]", "a JSON object"),
        ([photo(), facts("{")], "facts: no JSON, see line 1 column 1", "a JSON object"),
        ([photo(), facts({"unix": "in"})], "facts.unix", "keys"),
        ([photo(), facts({"unit": 3})], "facts.unit: 3", "text in double quotes"),
        ([photo(), facts({"readings": {"width_top": 5}})], "facts.readings.width_top: 5", "text in double quotes"),
        ([photo(), facts({"readings": {"width_top": {"text": "55", "at": 39}}})], "readings.width_top.at: 39", "double quotes"),
        ([photo(), facts({"readings": {"width_top": {"text": "55", "hight": "3"}}})], "readings.width_top.hight, which", "keys"),
        ([photo(), facts({"readings": {"width_top": {"at": "39"}}})], "no facts.readings.width_top.text", "text"),
        ([photo(), facts({"second": [{"readings": {"width_top": {"text": 5}}}]})], "0.readings.width_top.text: 5", "double"),
        ([photo(), facts({"hardware": {"grid": {"value": 5}}})], "facts.hardware.grid.value: 5", "double quotes"),
        ([photo(), facts({"corners": [[[1, 2]]]})], "facts.corners.0: [[1, 2]]", "at least 4 entries"),
        ([photo(), facts({"side_joints": [{"side": "up", "line": [[1, 2], [2, 3]]}]})], 'side: "up"', "'left' or 'right'"),
        ([photo(), facts({"plumb_lines": [{"photo": 0, "line": [[1, 2], [2, 3]]}]})], "photo: 0", "1 or more"),
        ([photo(), facts({"card_corners": [{"kind": "a4"}]})], "no facts.card_corners.0.corners", "corners"),
        ([photo(), facts(" " * 1_000_100)], "kB of text", "a page"),
    ],
)
def test_what_is_sent_wrong_is_answered_in_plain_words(here: HereAndNow, files: Any, found: str, needed: str) -> None:
    """What was found and what was needed are of the request, not of the libraries that read it."""
    client = TestClient(create_app(ApiSettings(max_photos=2), workers=here), raise_server_exceptions=False)
    response = client.post("/checks", files=files)
    problem = assert_problem(response, response.status_code)

    assert response.status_code in (400, 422)
    assert found in problem["found"]
    assert needed in problem["needed"]
    assert not [word for word in LIBRARY_WORDS if word in response.text]


@pytest.mark.parametrize("where", ["/checks", "/screenings"])
def test_a_form_field_that_nothing_reads_is_refused(client: TestClient, here: HereAndNow, where: str) -> None:
    """A photo under another name, readings beside the facts, or facts twice are never dropped without a word."""
    for wrong in (("image", ("a.jpg", b"x", "image/jpeg")), ("readings", (None, "{}"))):
        problem = assert_problem(client.post(where, files=[photo(), wrong]), 422)
        assert wrong[0] in problem["found"]
        assert "`photo`" in problem["needed"]
    assert "more than once" in assert_problem(client.post(where, files=[photo(), facts({}), facts({})]), 422)["found"]
    assert not here.requests


@pytest.mark.parametrize("where", ["/checks", "/screenings"])
def test_json_in_place_of_a_form_is_told_what_is_needed(client: TestClient, where: str) -> None:
    """A JSON body where a form is read, and the other way round, say which it must be."""
    problem = assert_problem(client.post(where, json={"unit": "in"}), 422)

    assert "application/json" in problem["found"]
    assert "multipart" in problem["needed"]
    assert "JSON" in assert_problem(client.post("/plans", data={"width": "56 in"}), 422)["needed"]


def test_a_request_with_neither_photo_nor_readings_is_a_problem(client: TestClient) -> None:
    """One of the two witnesses must be there."""
    assert "photo" in assert_problem(client.post("/checks", files=[facts({})]), 422)["found"]


def test_too_many_photos_are_a_problem(client: TestClient) -> None:
    """More photos than one check takes are refused, by number."""
    assert "3 photos" in assert_problem(client.post("/checks", files=[photo()] * 3), 413)["found"]
    assert_problem(client.post("/checks", files=[photo()] * 9), 400)


def test_a_declared_size_over_the_limit_is_a_problem(client: TestClient) -> None:
    """A body whose declared size is over the limit is refused before it is read, as problem details too."""
    assert "0.05 MB" in assert_problem(client.post("/checks", files=[photo(b"x" * 60_000)]), 413)["needed"]


def test_an_undeclared_size_over_the_limit_is_a_problem(client: TestClient) -> None:
    """A body that only turns out too large while it arrives is refused the same way."""
    headers = {"content-type": "multipart/form-data; boundary=b"}
    body = iter([b'--b\r\nContent-Disposition: form-data; name="photo"; filename="a"\r\n\r\n', *[b"x" * 10_000] * 9])

    assert_problem(client.post("/checks", content=body, headers=headers), 413)


def test_at_most_one_byte_over_the_limit_is_kept_of_a_photo(here: HereAndNow) -> None:
    """A photo over the byte limit reaches the check just long enough to be called too large."""
    vision = Settings(intake=IntakeSettings(max_bytes=3))
    client = TestClient(create_app(ApiSettings(), vision=vision, workers=here))
    client.post("/checks", files=[photo("ready")])

    assert [data for _, data in here.requests[0].photos] == [b"read"]


def test_unknown_places_and_methods_are_problems(client: TestClient) -> None:
    """404 and 405 have the same shape as every other problem."""
    assert_problem(client.get("/nothing"), 404)
    assert_problem(client.get("/checks"), 405)


def test_a_defect_says_nothing_of_the_inside(client: TestClient) -> None:
    """An internal error is a problem without paths or exception texts."""
    response = client.post("/checks", files=[photo("broken")])

    assert_problem(response, 500)
    assert "secret" not in response.text


def test_the_description_names_every_problem_as_it_is_sent(client: TestClient) -> None:
    """OpenAPI describes 4xx and 5xx as problem details and the report in full, and refers to nothing that is not there."""
    text = client.get("/openapi.json").text
    schema = json.loads(text)
    responses = schema["paths"]["/checks"]["post"]["responses"]

    assert {"200", "413", "415", "422", "500", "503"} == set(responses)
    for status in set(responses) - {"200"}:
        assert list(responses[status]["content"]) == ["application/problem+json"]
    assert "HTTPValidationError" not in text
    for reference in {part.split('"')[0] for part in text.split('"$ref":"#/components/schemas/')[1:]}:
        assert reference in schema["components"]["schemas"]


def test_the_pages_need_nothing_from_elsewhere(client: TestClient) -> None:
    """No script, no address of another server: they show without the Internet."""
    for path in ("/", "/docs"):
        page = client.get(path, headers={"accept": "text/html"})
        assert page.status_code == 200
        assert page.headers["content-type"].startswith("text/html")
        assert "<script" not in page.text
        assert not re.search(r"(src|href)=.(https?:)?//", page.text)
        assert "@import" not in page.text


def test_the_description_page_has_every_path_object_and_key(client: TestClient) -> None:
    """All that the OpenAPI text names, and no link within the page that leads nowhere."""
    schema, page = client.get("/openapi.json").json(), client.get("/docs").text
    for path, methods in schema["paths"].items():
        for method in methods:
            assert f"<code>{method.upper()} {path}</code>" in page
    for name, one in schema["components"]["schemas"].items():
        assert f'id="{name}"' in page
        for key in one.get("properties", {}):
            assert f"<code>{key}</code>" in page
    assert set(re.findall(r'href="#(\w+)"', page)) <= set(re.findall(r'id="(\w+)"', page))


def test_the_first_page_says_what_this_is_and_where_to_look(client: TestClient) -> None:
    """As text for a client that does not ask for a page; every address that it names answers."""
    text = client.get("/").text
    assert "Tapewitness" in text
    assert "POST /checks" in text
    places = re.findall(r"^GET (\S+):", text, re.MULTILINE)
    assert "/docs" in places
    assert all(client.get(place).status_code == 200 for place in places)


def test_health_answers_while_checks_run(app: FastAPI) -> None:
    """While worker processes are busy the service answers at once; one check too many is asked to come back later."""

    async def scene() -> tuple[list[float], int, list[httpx2.Response], httpx2.Response]:
        transport = httpx2.ASGITransport(app=app)
        async with httpx2.AsyncClient(transport=transport, base_url="http://test", timeout=60) as client:
            await client.post("/checks", files=[photo()])  # the worker processes are up after this one
            checks = [asyncio.create_task(client.post("/checks", files=[photo("slow")])) for _ in range(2)]
            await asyncio.sleep(0.3)
            times, busy = [], 0
            for _ in range(10):
                start = time.perf_counter()
                busy = max(busy, (await client.get("/health")).json()["checks"])
                times.append(time.perf_counter() - start)
            refused = await client.post("/checks", files=[photo()])
            return times, busy, list(await asyncio.gather(*checks)), refused

    times, busy, responses, refused = asyncio.run(scene())

    assert max(times) < made_checks.SLOW_S / 2
    assert busy == 2
    assert [response.status_code for response in responses] == [200, 200]
    assert_problem(refused, 503)
    assert "retry-after" in refused.headers


def test_a_worker_that_dies_takes_only_its_own_check_along(app: FastAPI) -> None:
    """After a worker process ends in the middle of a check, that check is a problem and the next one works."""
    client = TestClient(app, raise_server_exceptions=False)

    assert_problem(client.post("/checks", files=[photo("dying")]), 500)
    assert client.post("/checks", files=[photo()]).status_code == 200


def test_errors_come_back_whole_from_a_worker_process(app: FastAPI) -> None:
    """What the user got wrong and what the program got wrong are told apart across processes."""
    client = TestClient(app, raise_server_exceptions=False)

    assert "reading width_top" in assert_problem(client.post("/checks", files=[photo("unreadable")]), 422)["found"]
    assert "secret" not in str(assert_problem(client.post("/checks", files=[photo("broken")]), 500))


def test_a_check_that_is_stuck_is_ended() -> None:
    """A check over the time limit is a problem, and its process is ended rather than waited for."""
    limits = ApiSettings(workers=1, check_timeout_s=1)
    workers = ProcessWorkers(limits, Settings(), made_checks.by_name)
    client = TestClient(create_app(limits, workers=workers))
    try:
        assert_problem(client.post("/checks", files=[photo("stuck")]), 503)
        assert client.post("/checks", files=[photo()]).status_code == 200
    finally:
        workers.close()


def test_a_plan_is_answered_as_described(client: TestClient) -> None:
    """POST /plans gives a plan of format 1 that its own description holds."""
    asked = {"width": "56 in", "height": "78 in", "references": ["id-1 left-top right-bottom"], "plumb_line": True}
    response = client.post("/plans", json=asked)

    assert response.status_code == 200
    jsonschema.Draft202012Validator(TypeAdapter(PlanOut).json_schema()).validate(response.json())
    assert response.json()["sizes"]["width_top"]["u_mm"] > 0
    assert PlanOut.__name__ in client.get("/openapi.json").text


@pytest.mark.parametrize(
    "changes",
    [{"references": []}, {"references": ["id-1"]}, {"width": "wide"}, {"distance": "1 m"}, {"focal": 26}, {"references": None}],
)
def test_a_plan_that_cannot_be_is_a_problem(client: TestClient, changes: dict[str, Any]) -> None:
    """422 with what was found, for text that cannot be read, places that are none, and keys that are not known."""
    asked = {"width": "56 in", "height": "78 in", "references": ["id-1 left-middle"]} | changes
    assert_problem(client.post("/plans", json=asked), 422)


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("/checks", '{"unit": "in", "readings": {"width_top": "55", "width_top": "56"}}'),
        ("/checks", '{"unit": "in", "unit": "mm", "readings": {"width_top": "55"}}'),
        ("/screenings", '{"cards": ["a4"], "cards": ["letter"]}'),
        ("/plans", '{"width": "56 in", "width": "50 in", "height": "78 in", "references": ["id-1 left-middle"]}'),
    ],
)
def test_a_key_twice_in_one_object_is_a_problem(client: TestClient, here: HereAndNow, path: str, body: str) -> None:
    """JSON readers keep the last without a word; here it is named and nothing is checked."""
    if path == "/plans":
        answer = client.post(path, content=body, headers={"content-type": "application/json"})
    else:
        answer = client.post(path, data={"facts": body}, files=[photo()])
    assert "2 times" in assert_problem(answer, 422)["found"]
    assert here.requests == []
