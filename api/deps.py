"""What the routes need, each from its one place."""

from __future__ import annotations

import json
from contextlib import suppress
from typing import Annotated, cast

from fastapi import Depends, File, Form, Request, UploadFile
from pydantic import BeforeValidator, Json
from starlette.datastructures import UploadFile as FormFile

from api.problems import ProblemError
from api.request import Photos
from api.schemas_facts import Facts
from api.settings import ApiSettings
from api.workers import Workers
from vision.errors import BadInput
from vision.settings import Settings

MAX_FACTS_BYTES = 1_000_000
"""bytes; facts are a page of text"""
FORMS = ("multipart/form-data", "application/x-www-form-urlencoded")
FIELDS = ("photo", "facts")

EXAMPLES: tuple[dict[str, object], ...] = (
    {
        "unit": "in",
        "readings": {
            "width_top": "55 13/16", "width_middle": "56 7/8", "width_bottom": "55 15/16",
            "height_left": "78 3/16", "height_right": "78 3/16",
        },
        "cards": ["letter=217.5x277.8mm+-0.3"],
        "corners": [[[733, 3178], [2360, 3211], [2349, 880], [710, 898]]],
    },
    {
        "readings": {"width_middle": {"text": "1428 mm", "at": "1000 mm"}},
        "tape": "class-2",
        "control_tape": "other",
        "cards": ["id-1"],
        "plumb_lines": [{"photo": 1, "line": [[1085, 836], [1072, 3011]]}],
        "head": False,
        "height": "80 in",
    },
    {},
)  # fmt: skip
"""Facts as one would send them, the first with the photo sample_images/room3_sheet_beside.jpg; a test posts each."""


def text_of(value: object) -> object:
    """The text of `facts`, also where a client sends it as a file part; BadInput where a key stands in it twice."""
    text = value.file.read(MAX_FACTS_BYTES) if isinstance(value, FormFile) else value
    if isinstance(text, str | bytes):
        hold_each_key_once(text, "facts")
    return text


def hold_each_key_once(text: str | bytes, where: str) -> None:
    """BadInput for JSON with a key twice in one object, of which readers keep the last; text that is no JSON is left to them."""

    def once(pairs: list[tuple[str, object]]) -> dict[str, object]:
        names = [name for name, _ in pairs]
        again = next((name for name in names if names.count(name) > 1), None)
        if again is not None:
            found = f"the key {again[:40]!r} {names.count(again)} times in one object"
            raise BadInput(where, found, "each key once", "leave one out; a length read again goes into `second`")
        return dict(pairs)

    with suppress(ValueError, RecursionError):
        json.loads(text, object_pairs_hook=once)


async def each_key_once(request: Request) -> None:
    """The same for a body of JSON."""
    hold_each_key_once(await request.body(), "body")


def get_workers(request: Request) -> Workers:
    """The workers of this application."""
    return cast(Workers, request.app.state.workers)


def get_settings(request: Request) -> ApiSettings:
    """The limits of this application."""
    return cast(ApiSettings, request.app.state.settings)


def get_vision(request: Request) -> Settings:
    """The settings of the measuring."""
    return cast(Settings, request.app.state.vision)


async def only_known_fields(request: Request) -> None:
    """Refuse a form with a field that nobody reads, so that no photo and no fact is dropped without a word."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in FORMS and await request.body():
        raise ProblemError(
            422, "Not a form", found=f"a body of type {kind[:40] or 'nothing stated'}",
            needed="a multipart form with the fields `photo` (a file, repeatable) and `facts` (JSON)",
            remedy="with curl: -F photo=@FILE -F 'facts={...}'",
        )  # fmt: skip
    sent = [name for name, _ in (await request.form()).multi_items()]
    unknown = [name for name in dict.fromkeys(sent) if name not in FIELDS]
    if unknown or sent.count("facts") > 1:
        found = f"the form field {unknown[0][:40]!r}, which nothing reads" if unknown else "the form field `facts` more than once"
        raise ProblemError(
            422, "Form fields that are not known", found=found, needed="`photo` (a file, repeatable) and `facts` (JSON, once)",
            remedy="name the field `photo` if it is a photo; all else belongs in `facts`",
        )  # fmt: skip


async def get_photos(
    limits: Annotated[ApiSettings, Depends(get_settings)],
    vision: Annotated[Settings, Depends(get_vision)],
    photo: Annotated[
        list[UploadFile] | None,
        File(description="photo of the opening; repeat the field for several of one opening; leave it out for the tape alone"),
    ] = None,
) -> Photos:
    """Numbered photos; the file names that clients send are not used. One byte over the limit is read, so that it shows."""
    photo = photo or []
    if len(photo) > limits.max_photos:
        raise ProblemError(
            413, "Too large", found=f"{len(photo)} photos", needed=f"at most {limits.max_photos}", remedy="send fewer photos"
        )
    return tuple([(f"photo {i}", await one.read(vision.intake.max_bytes + 1)) for i, one in enumerate(photo, 1)])


def get_facts(
    facts: Annotated[
        Json[Facts] | None,
        BeforeValidator(text_of),
        Form(description="the facts of the check, as JSON", examples=[json.dumps(example) for example in EXAMPLES]),
    ] = None,
) -> Facts:
    """The facts, or none of them."""
    return facts or Facts()


TheWorkers = Annotated[Workers, Depends(get_workers)]
ThePhotos = Annotated[Photos, Depends(get_photos)]
TheFacts = Annotated[Facts, Depends(get_facts)]
KnownFields = Depends(only_known_fields)
EachKeyOnce = Depends(each_key_once)
