"""The page: one form, one answer. No script is needed, nothing is kept, nothing is fetched from elsewhere."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from printcheck import pipeline
from printcheck.core.errors import InputError, PrintcheckError
from printcheck.core.request import one_scale

if TYPE_CHECKING:
    from starlette.requests import Request

Photos = list[tuple[str, bytes]]  # name and content of each

LARGEST_UPLOAD = 40 << 20  # bytes: several of any phone's photos
MOST_PHOTOS = 6  # of one swatch: more take minutes to lay together
LONGEST_NAME = 80  # letters of an upload's name that are kept
EFFORT_S = 5.0  # seconds for each cutting layout while someone waits
STATUS = {1: 422, 2: 400}  # our exit status -> HTTP's
TOO_LARGE = 413
HEADERS = {  # the pages carry their own style and pictures and nothing else
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; "
    "img-src data:; form-action 'self'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}
OBJECTS = {  # spelling -> words on the page
    "auto": "look for it",
    "card": "bank or loyalty card",
    "board": "printed scale card",
    "rule": "tape measure or ruler",
    "A4": "A4 sheet",
    "A5": "A5 sheet",
    "A6": "A6 sheet",
    "letter": "US letter sheet",
}

FORM = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>printcheck</title><style>
:root { color-scheme: light dark; }
body { font: 17px/1.5 system-ui, sans-serif; max-width: 34rem; margin: 1.5rem auto; padding: 0 1rem; }
label { display: block; margin-top: 1rem; font-weight: 600; } small { display: block; font-weight: 400; }
input, select, button { font: inherit; width: 100%; box-sizing: border-box; padding: .5rem; }
button { margin-top: 1.5rem; padding: .8rem; font-weight: 600; }
.wrong { border-left: .3rem solid; padding-left: .8rem; }
</style></head><body><main>
<h1>What is this print like to sew?</h1>
<p>Lay the cloth flat with a bank card, a sheet of paper, a coin or a tape measure on it, the selvedge running
up the picture, and take a photo from straight above. Is the repeat larger than one photo? Take several
that overlap by a third or more and choose them all; only one has to show the object.</p>
{% if message %}<p class="wrong" role="alert"><strong>{{ message }}</strong> {{ remedy }}</p>{% endif %}
<form method="post" action="/measure" enctype="multipart/form-data">
<label>Photo, or several of one swatch
<input type="file" name="photo" accept="image/*" multiple required></label>
<label>What lies on the cloth <select name="reference">
{% for key, words in objects.items() %}<option value="{{ key }}">{{ words }}</option>{% endfor %}
</select></label>
<label>or how much cloth the photo shows from left to right
<small>with a unit, such as 40 cm; leave empty when something lies on the cloth</small>
<input name="photo_width" autocomplete="off"></label>
<label>or a coin <small>its diameter, such as 23.25 mm</small><input name="coin" autocomplete="off"></label>
<label>Units <select name="units"><option value="metric">centimetres</option>
<option value="imperial">inches and yards</option></select></label>
<label>What will you make? <select name="kind"><option value="">I only want to know the print</option>
{% for kind in kinds %}<option>{{ kind }}</option>{% endfor %}</select></label>
<button>Measure</button>
</form>
<p><small>The photo is measured here and not kept. printcheck judges a print, not safety.</small></p>
</main></body></html>
"""


def application() -> Starlette:
    """Return the application: ``/`` the form, ``/measure`` the page, ``/measure.json`` the document."""
    return Starlette(
        routes=[
            Route("/", _home),
            Route("/measure", _page, methods=["POST"]),
            Route("/measure.json", _document, methods=["POST"]),
            Route("/health", lambda _: PlainTextResponse("ok")),
        ],
        exception_handlers={PrintcheckError: _refused, Exception: _fault},
    )


async def _home(_: Request) -> Response:
    return _form()


def _form(message: str = "", remedy: str = "", status: int = 200) -> Response:
    from jinja2 import Environment

    from printcheck.project.kinds import KINDS

    template = Environment(autoescape=True).from_string(FORM)
    text = template.render(message=message, remedy=remedy, objects=OBJECTS, kinds=list(KINDS))
    return HTMLResponse(text, status, HEADERS)


async def _page(request: Request) -> Response:
    asked, photos = await _upload(request)
    text = await run_in_threadpool(_measured_page, asked, photos)
    return HTMLResponse(text, headers=HEADERS)


async def _document(request: Request) -> Response:
    asked, photos = await _upload(request)
    return JSONResponse(await run_in_threadpool(_measured_document, asked, photos), headers=HEADERS)


async def _upload(request: Request) -> tuple[dict[str, str], Photos]:
    size = request.headers.get("content-length", "")
    if not size.isdigit() or int(size) > LARGEST_UPLOAD:
        raise InputError("upload-too-large", "What was sent is larger than 40 MB.", "Send smaller copies.")
    try:
        async with request.form(max_files=MOST_PHOTOS, max_fields=20) as form:
            sent = [one for one in form.getlist("photo") if isinstance(one, UploadFile) and one.filename]
            if not sent:
                raise InputError("no-photo", "No photo was sent.", "Choose a photo first.")
            texts = {k: v.strip() for k, v in form.items() if isinstance(v, str) and v.strip()}
            return texts, [(_safe_name(one.filename or ""), await one.read()) for one in sent]
    except (MultiPartException, HTTPException) as error:
        reason = error.message if isinstance(error, MultiPartException) else error.detail
        raise InputError("broken-upload", f"The upload is broken: {reason}.", "Send it again.") from None


def _safe_name(name: str) -> str:
    """File name without folders, of a length every file system takes."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1].replace("\0", "")
    return last[-LONGEST_NAME:] if last.strip(". ") else "photo"


def _options(asked: dict[str, str]) -> pipeline.Options:
    scale: dict[str, Any] = {
        k: asked[k] for k in ("mm_per_px", "dpi", "photo_width", "span", "corners") if k in asked
    }
    if asked.get("coin"):
        scale["reference"] = f"coin:{asked['coin']}"
    elif not scale or asked.get("reference", "auto") != "auto":
        scale["reference"] = asked.get("reference", "auto")
    selvedge: Any = "horizontal" if asked.get("selvedge") == "horizontal" else "vertical"
    return pipeline.Options(one_scale(**scale), selvedge)


def _measured(
    asked: dict[str, str], photos: Photos, folder: str
) -> tuple[pipeline.MeasuredPhoto, Path | None]:
    """The measurement, and the photo to draw it on: of several, what they show is drawn laid flat."""
    names = [name for name, _ in photos]
    paths = []
    for n, (name, data) in enumerate(photos, 1):
        alike = names.count(name) > 1  # telephones name every upload the same
        paths.append(Path(folder, str(n), f"{n}-{name}" if alike else name))
        paths[-1].parent.mkdir()
        paths[-1].write_bytes(data)
    return pipeline.measure_photos(paths, _options(asked)), paths[0] if len(paths) == 1 else None


def _measured_document(asked: dict[str, str], photos: Photos) -> dict[str, Any]:
    from printcheck.report import write_json

    with tempfile.TemporaryDirectory() as folder:
        return write_json.measurement(_measured(asked, photos, folder)[0].measurement)


def _measured_page(asked: dict[str, str], photos: Photos) -> str:
    from printcheck.report.page import page_file

    units: Any = "imperial" if asked.get("units") == "imperial" else "metric"
    with tempfile.TemporaryDirectory() as folder:
        measured, path = _measured(asked, photos, folder)
        planned = _planned(asked, measured)
        content, figures = page_file.compose(measured=measured, planned=planned, photo=path, units=units)
        return str(page_file.render(content, figures, ".html"))


def _planned(asked: dict[str, str], measured: pipeline.MeasuredPhoto) -> pipeline.PlannedLength | None:
    from printcheck.project import built_in, print_from_measurement

    if not asked.get("kind"):
        return None
    printed = print_from_measurement(measured.measurement)
    return pipeline.plan_length(
        built_in(asked["kind"]), printed, pipeline.Effort(EFFORT_S), measured=measured
    )


async def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, PrintcheckError)
    status = TOO_LARGE if error.code == "upload-too-large" else STATUS[error.exit_status]
    if request.url.path.endswith(".json"):
        from printcheck.report import write_json

        return JSONResponse(write_json.error(error), status, HEADERS)
    return _form(error.message, error.remedy, status)


async def _fault(request: Request, error: Exception) -> Response:
    fault = PrintcheckError(
        "internal-fault", f"printcheck met a fault of its own: {type(error).__name__}.", "Try another photo."
    )
    if request.url.path.endswith(".json"):
        from printcheck.report import write_json

        return JSONResponse(write_json.error(fault), 500, HEADERS)
    return _form(fault.message, fault.remedy, 500)
