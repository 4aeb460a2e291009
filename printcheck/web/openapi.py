"""The description at ``/openapi.json``, written from the types that check the requests."""

from __future__ import annotations

from typing import Any

import msgspec

from printcheck import __version__
from printcheck.web.asked import ANSWERS, REQUESTS
from printcheck.web.upload import MOST_PHOTOS

JSON = "application/json"
TROUBLE = {  # status -> when
    "400": "The request or the photo is broken.",
    "403": "The request comes from another site, or without the code of a shared page.",
    "408": "The upload came too slowly.",
    "413": "The upload is larger than 25 MB, or a photo than 60 million pixels.",
    "415": "The body is of another kind.",
    "421": "The page is not served under this host name.",
    "422": "A sound question that could not be answered, or not within the limits.",
    "429": "Too many requests are waiting.",
    "503": "The page is being closed.",
}


def description() -> dict[str, Any]:
    """The whole document, OpenAPI 3.1."""
    _, schemas = msgspec.json.schema_components(
        [*REQUESTS, *ANSWERS], ref_template="#/components/schemas/{name}"
    )
    form = schemas["MeasureForm"]
    photos = {"type": "array", "items": {"type": "string", "format": "binary"}, "minItems": 1}
    form["properties"] = {"photo": photos | {"maxItems": MOST_PHOTOS}, **form["properties"]}
    form["required"] = ["photo"]
    runs = {"description": "It runs.", "content": {"text/plain": {"schema": {"type": "string"}}}}
    ticket = {"name": "ticket", "in": "path", "required": True, "schema": {"type": "string"}}
    how_far = {"description": "How far it has come.", "content": _ref("ProgressDocument")}
    progress = {"operationId": "progress", "parameters": [ticket], "responses": {"200": how_far}}
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "printcheck",
            "version": __version__,
            "description": "A printed cloth measured from a photo, and the length to buy.",
        },
        "paths": {
            "/measure": {"post": _post("measure", "multipart/form-data", "MeasureForm", "Measurement")},
            "/length": {"post": _post("length", JSON, "LengthRequest", "LengthPlan")},
            "/health": {"get": {"operationId": "health", "responses": {"200": runs}}},
            "/progress/{ticket}": {"get": progress},
        },
        "components": {"schemas": schemas},
    }


def _ref(name: str, kind: str = JSON) -> dict[str, Any]:
    return {kind: {"schema": {"$ref": f"#/components/schemas/{name}"}}}


def _post(name: str, kind: str, asked: str, answer: str) -> dict[str, Any]:
    return {
        "operationId": name,
        "requestBody": {"required": True, "content": _ref(asked, kind)},
        "responses": {
            "200": {"description": "The answer.", "content": _ref(answer)},
            **{
                status: {"description": text, "content": _ref("ErrorDocument")}
                for status, text in TROUBLE.items()
            },
        },
    }
