"""Uploads read within limits of size and time, in memory alone, and refused before anything is decoded."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncGenerator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from starlette.datastructures import UploadFile
from starlette.formparsers import MultiPartException, MultiPartParser

from printcheck.core.system.limits import MOST_SERVED_PIXELS
from printcheck.photo.header import read_header
from printcheck.web.asked import LengthRequest, MeasureForm, checked
from printcheck.web.problems import RefusedError

if TYPE_CHECKING:
    from starlette.requests import Request

MOST_BYTES = 25_000_000  # bytes of one request; a phone's photo has 2 to 8 million
MOST_PHOTOS = 6  # of one swatch: more take minutes to lay together
MOST_JSON_BYTES = 4_000_000  # bytes: as for a project file
UPLOAD_S = 60.0  # seconds for a whole upload
PAUSE_S = 10.0  # seconds between two parts of it
LONGEST_NAME = 60  # characters of a file's name that are kept


@dataclass(frozen=True)
class Photo:
    """One photo of an upload."""

    name: str
    data: bytes


class _InMemory(MultiPartParser):
    spool_max_size = 2 * MOST_BYTES  # never reached, so that no part of an upload is put on a disk


async def read_measure(request: Request) -> tuple[MeasureForm, list[Photo]]:
    """Fields and photos of a ``/measure`` request.

    Raises
    ------
    RefusedError
        If it is too large, too slow, broken, without a photo, or a photo is none or too large.
    InputError
        If a field is unknown or not of its type.
    """
    fields, photos = await _form(request)
    if not photos:
        raise RefusedError("no-photo", 400, "No photo was sent.", "Choose a photo first.")
    for photo in photos:
        _check_header(photo)
    return checked(fields, MeasureForm, what="measure"), photos


async def read_length(request: Request) -> LengthRequest:
    """Body of a ``/length`` request."""
    import msgspec

    if request.headers.get("content-type", "").partition(";")[0].strip() != "application/json":
        raise RefusedError("not-json", 415, "The request is not JSON.", "Send it as application/json.")
    body = b"".join([part async for part in _parts(request, MOST_JSON_BYTES)])
    try:
        raw = msgspec.json.decode(body)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        raise RefusedError(
            "not-json", 400, "The request is not sound JSON.", "Send one JSON object."
        ) from None
    return checked(raw, LengthRequest, what="length")


async def _form(request: Request) -> tuple[dict[str, str], list[Photo]]:
    if request.headers.get("content-type", "").partition(";")[0].strip() != "multipart/form-data":
        raise RefusedError(
            "not-a-form", 415, "The request is no form with a photo.", "Send multipart/form-data."
        )
    parts = _parts(request, MOST_BYTES)
    parser = _InMemory(request.headers, parts, max_files=MOST_PHOTOS, max_fields=20, max_part_size=4000)
    try:
        form = await parser.parse()
    except (MultiPartException, UnicodeError, KeyError, ValueError) as error:
        if isinstance(error, MultiPartException) and error.message.startswith("Too many files"):
            text = f"At most {MOST_PHOTOS} photos of one cloth are laid together."
            raise RefusedError("too-many-photos", 400, text, "Send fewer.") from None
        raise RefusedError("broken-upload", 400, "The upload is broken.", "Send it again.") from None
    fields: dict[str, str] = {}
    photos: list[Photo] = []
    try:
        for key, value in form.multi_items():
            if isinstance(value, UploadFile) and key == "photo":
                photos.append(Photo(safe_name(value.filename or ""), await value.read()))
            elif isinstance(value, UploadFile) or key in fields:
                raise RefusedError(
                    "wrong-key", 400, "A field was sent twice or as a file.", "Send each once."
                )
            elif value.strip():
                fields[key] = value.strip()
    finally:
        await form.close()
    return fields, [photo for photo in photos if photo.data]


async def _parts(request: Request, most: int) -> AsyncGenerator[bytes, None]:
    """The body as it comes, refused once it is too large or too slow."""
    stated = request.headers.get("content-length", "")
    if stated.isdigit() and int(stated[:20]) > most:
        raise _too_large(most)
    stream = aiter(request.stream())
    end, size = asyncio.get_running_loop().time() + UPLOAD_S, 0
    while True:
        left = end - asyncio.get_running_loop().time()
        try:
            part = await asyncio.wait_for(anext(stream), max(0.0, min(PAUSE_S, left)))
        except StopAsyncIteration:
            return
        except asyncio.TimeoutError:
            raise RefusedError("upload-slow", 408, "The upload came too slowly.", "Try it again.") from None
        size += len(part)
        if size > most:
            raise _too_large(most)
        yield part


def _too_large(most: int) -> RefusedError:
    text = f"What was sent is larger than {most // 1_000_000} MB."
    return RefusedError("upload-too-large", 413, text, "Send a smaller copy.")


def _check_header(photo: Photo) -> None:
    header = read_header(photo.data)
    if header is None or min(header.width, header.height) <= 0:
        raise RefusedError(
            "not-a-picture", 400, "What was sent is not a picture that can be opened.", "Choose a photo."
        )
    if header.width * header.height > MOST_SERVED_PIXELS:
        text = f"The photo has more than {MOST_SERVED_PIXELS // 1_000_000} million pixels."
        raise RefusedError("picture-too-large", 413, text, "Send it smaller: 4000 pixels across is plenty.")


def safe_name(name: str) -> str:
    r"""File name without folders and controls, of a length that can be shown.

    Examples
    --------
    >>> safe_name("..\\..\\a/b\0.jpg"), safe_name("..")
    ('b.jpg', 'photo')
    """
    last = name.replace("\\", "/").rpartition("/")[2]
    kept = "".join(c for c in last if c.isprintable()).strip()
    return kept[-LONGEST_NAME:] if kept.strip(". ") else "photo"
