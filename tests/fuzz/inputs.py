# ruff: noqa: E501 - tables of extreme values, one a line
"""Damaged and extreme inputs from a seed: each case is a command, the files it reads and what may come back.

A case is known by its seed and number alone, so that one that fails can be made again.
"""

from __future__ import annotations

import random
import re
import struct
import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

from printcheck.project.kinds import KINDS
from tests.drawn import Camera, photograph, prints

SIDE = (160, 120)  # px: small, so that hundreds are measured in minutes
LOOKED_THROUGH_PX = 30_000  # px: with no scale told, all searches run, and hundreds of cases would take hours
PROJECT = """name = "Bag"
[cloth]
width = "120 cm"
shrink_along = "4 %"
sold_by = "10 cm"
price = 12.50
currency = "EUR"
[print]
across = "64 mm"
along = "64 mm"
layout = "half-drop"
way = "one-way"
[[piece]]
name = "side"
count = 2
width = "40 cm"
length = "45 cm"
[[piece]]
name = "flap"
outline = [["0 cm","0 cm"], ["20 cm","3 cm"], ["24 cm","14 cm"], ["0 cm","14 cm"]]
[[seam]]
join = [{ piece = "side#1", at = ["39 cm", "10 cm"] }, { piece = "side#2", at = ["1 cm", "10 cm"] }]
match = "level"
"""
DRAWN_PIECE = """name = "Drawn"
[cloth]
width = "120 cm"
[[piece]]
name = "one"
{key}
"""
SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="210mm" height="297mm" viewBox="0 0 210 297">
<g transform="translate(10 10) rotate(5)"><path id="p" d="M10 10 h30 v40 C 30 60 20 60 10 50 z"/></g>
</svg>
"""
LIST = 'file,mm_per_px,cloth_width,span,sku\na.png,0.5,,,7\na.png,,140cm,,8\nb.jpg,,,"1,1,90,90=40mm",9\n'
NUMBERS = (
    "0",
    "-1",
    "1e-9",
    "1e308",
    "-1e308",
    "nan",
    "inf",
    "",
    "99999999999999999999",
    "0.5",
    "1/0",
    "１２",
)
WORDS = (
    "\u202e",
    "\0",
    "'",
    '"',
    "\n",
    "=1+1",
    "../../x",
    "x" * 5000,
    "\U0001f9f5",
    "<b>",
    "%s{}",
    "[",
    "]]",
)


@dataclass(frozen=True)
class Case:
    """A command line, in a folder of its own, with the exit statuses that are right for it."""

    kind: str
    argv: tuple[str, ...]
    statuses: frozenset[int]
    files: dict[str, bytes] = field(default_factory=dict)
    env: dict[str, str] = field(default_factory=dict)


def pictures() -> dict[str, bytes]:
    """One small photo of a gingham in every kind of file that is opened."""
    shot = photograph(prints.gingham(np.random.default_rng(3), 12.0), Camera(view_mm=80, size_px=SIDE))
    found = {e: cv2.imencode(f".{e}", shot.bgr)[1].tobytes() for e in ("jpg", "png", "webp", "tiff", "bmp")}
    found["16.png"] = cv2.imencode(".png", shot.bgr.astype(np.uint16) * 257)[1].tobytes()
    import io

    rgb = Image.fromarray(np.ascontiguousarray(shot.bgr[..., ::-1]))
    for name, mode in (("gif", "P"), ("avif", "RGB"), ("cmyk.jpg", "CMYK"), ("alpha.png", "RGBA")):
        buffer = io.BytesIO()
        rgb.convert(mode).save(
            buffer, {"gif": "GIF", "avif": "AVIF", "jpg": "JPEG", "png": "PNG"}[name.split(".")[-1]]
        )
        found[name] = buffer.getvalue()
    import pillow_heif

    buffer = io.BytesIO()
    pillow_heif.from_pillow(rgb).save(buffer)
    found["heic"] = buffer.getvalue()
    return found


def damaged(rng: random.Random, data: bytes) -> bytes:
    """The bytes with one to three faults of the kinds that cards, cables and editors make."""
    for _ in range(rng.choice((1, 1, 2, 3))):
        at = rng.randrange(max(1, len(data)))
        run = rng.choice((1, 2, 8, 200))
        fault = rng.randrange(6)
        if fault == 0:
            data = data[:at]
        elif fault == 1:
            data = data[:at] + bytes(rng.randrange(256) for _ in range(run)) + data[at + run :]
        elif fault == 2:
            data = data[:at] + b"\0" * run + data[at + run :]
        elif fault == 3:
            data = data[: at + run] + data[at:]
        elif fault == 4:
            data = data[:at] + data[at + run :]
        else:  # an extreme number near the front, where sizes and offsets stand
            at = rng.randrange(max(1, min(len(data), 120)))
            number = rng.choice((0, 1, 0xFFFFFFFF, 0x7FFFFFFF, 0x80000000, 65535))
            data = data[:at] + struct.pack(rng.choice("<>") + "I", number) + data[at + 4 :]
    return data


def reworded(rng: random.Random, text: str) -> bytes:
    """The text with a few numbers, words or lines changed for extreme ones."""
    for _ in range(rng.choice((1, 1, 2, 4))):
        numbers = list(re.finditer(r"\d+(\.\d+)?", text))
        words = list(re.finditer(r"[A-Za-z_]{2,}", text))
        lines = text.splitlines(keepends=True)
        change = rng.randrange(6)
        if change < 2 and numbers:
            text = _put(text, rng.choice(numbers), rng.choice(NUMBERS))
        elif change == 2 and words:
            text = _put(text, rng.choice(words), rng.choice(WORDS))
        elif change == 3 and words:
            text = _put(text, rng.choice(words), rng.choice(words)[0])
        elif change == 4 and lines:
            del lines[rng.randrange(len(lines))]
            text = "".join(lines)
        elif lines:
            lines.insert(rng.randrange(len(lines) + 1), rng.choice(lines))
            text = "".join(lines)
    data = text.encode("utf-8", "surrogatepass")
    return damaged(rng, data) if rng.random() < 0.15 else data


def _put(text: str, place: re.Match[str], new: str) -> str:
    return text[: place.start()] + new + text[place.end() :]


def blank_png(width: int, height: int, *, depth: int = 8, colour: int = 2) -> bytes:
    """A sound PNG of one colour whose data are short however large it is."""
    channels = {0: 1, 2: 3, 6: 4}[colour]
    packer = zlib.compressobj(9)
    line = b"\0" * (1 + width * channels * depth // 8)
    body = b"".join(packer.compress(line) for _ in range(height)) + packer.flush()
    parts = (
        (b"IHDR", struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)),
        (b"IDAT", body),
        (b"IEND", b""),
    )
    chunks = (struct.pack(">I", len(b)) + n + b + struct.pack(">I", zlib.crc32(n + b)) for n, b in parts)
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)


class Maker:
    """Makes the cases of one seed."""

    def __init__(self, seed: int) -> None:
        self.seed = seed
        self.pictures = pictures()
        self.measurement = (Path(__file__).parent / "measurement.json").read_text(encoding="utf-8")
        self.dxf = dxf_pattern()

    def case(self, number: int) -> Case:
        """The case of this number."""
        rng = random.Random(f"{self.seed}-{number}")
        kinds: Sequence[Callable[[random.Random], Case]] = (
            *(5 * [self.damaged_picture]), *(2 * [self.odd_picture]), *(3 * [self.scale]), self.options,
            *(4 * [self.project]), *(2 * [self.drawing]), self.built_in, self.words, *(2 * [self.document]),
            self.tagged, self.listed, self.defaults, self.compared, self.card, self.wrong_use,
        )  # fmt: skip
        return kinds[number % len(kinds)](rng)

    def damaged_picture(self, rng: random.Random) -> Case:
        name = rng.choice(list(self.pictures))
        files = {f"a.{name}": damaged(rng, self.pictures[name])}
        return Case(
            "damaged picture", ("measure", f"a.{name}", "--mm-per-px", "0.5", "--json"), _set(0, 2), files
        )

    def odd_picture(self, rng: random.Random) -> Case:
        width, height = rng.choice(
            ((1, 1), (64, 64), (63, 500), (64, 3000), (2000, 64), (300, 200), (97, 131))
        )
        noise = np.random.default_rng(rng.randrange(1 << 30))
        picture = rng.choice((
            np.zeros((height, width, 3)), np.full((height, width, 3), 255.0),
            noise.integers(0, 256, (height, width, 3)), 255 * (np.indices((height, width)).sum(0) % 2),
            np.linspace(0, 255, width) * np.ones((height, 1)), 255 * (noise.random((height, width, 4)) > 0.99),
        ))  # fmt: skip
        files = {
            "odd.png": cv2.imencode(".png", picture.astype(rng.choice((np.uint8, np.uint16))))[1].tobytes()
        }
        scales = [("--mm-per-px", "0.5"), ("--reference", "card"), ("--photo-width", "10cm")]
        if width * height < LOOKED_THROUGH_PX:  # every search for every object
            scales.append(())
        scale = rng.choice(scales)
        fits = _set(0, 1) if min(width, height) >= 64 else _set(2)
        return Case("odd picture", ("measure", "odd.png", *scale, "--json"), fits, files)

    def scale(self, rng: random.Random) -> Case:
        """Scales inside and outside the limits, in every spelling."""
        options: dict[str, tuple[Sequence[str], Sequence[str]]] = {
            "--mm-per-px": (("0.001", "0.5", "50"), ("0.0009", "1e-9", "1e308", "51", "0", "-1", "nan", "inf", "x", "")),
            "--dpi": (("25400", "300", "0.6"), ("25500", "1e9", "0.5", "0", "-3", "nan", "many")),
            "--photo-width": (("10cm", "4 in", "1 m"), ("0mm", "-4cm", "40", "1e9 mm", "100000 m", "0.001mm", "")),
            "--repeat-is": (("10mm", "3/8 in"), ("0mm", "10", "0.000001 mm", "nan mm")),
            "--motif-is": (("10mm",), ("0mm", "-1 cm", "x")),
            "--cloth-width": ((), ("0mm", "140", "1 km", "")),
            "--span": (("1,1,100,100=50mm",), ("1,1,1,1=50mm", "1,1,100,100=0mm", "1,1=5mm", "nan,1,2,3=4mm",
                       "0,0,100,0=1mm" + "0" * 400, "1,1,1e308,1=5mm", "0,0,150,0=0.0001mm")),
            "--corners": (("1,1,100,1,100,100,1,100=50x50mm",), ("1,1,1,1,1,1,1,1=5x5mm",
                          "0,0,50,50,100,100,9,9=5x5mm", "0,0,90,0,30,10,0,90=5x5mm", "0,0,9,0,9,9,0,9=0x0mm")),
            "--reference": (("auto",), ("banana", "coin:", "rect:105x148", "coin:0mm", "rect:0x0mm", "coin:1e9mm", "")),
            "--bar": ((), ("98.5", "0mm", "-1mm")),
        }  # fmt: skip
        option = rng.choice(list(options))
        good, bad = options[option]
        right = bool(good) and rng.random() < 0.4
        text = rng.choice(good if right else bad)
        argv = ("measure", "a.png", f"{option}={text}", "--json")
        # a told width of something outside every limit is refused; a size of the print may not be there at all
        statuses = _set(0, 1) if right else _set(1, 2) if text == "coin:1e9mm" else _set(2)
        return Case("scale", argv, statuses, {"a.png": self.pictures["png"]})

    def options(self, rng: random.Random) -> Case:
        more = rng.choice((
            ("--viewing-distance", rng.choice(("0m", "1e9 m", "5", "nan m"))), ("--units", "furlongs"),
            ("--selvedge", ""), ("--picture", rng.choice(("a.png", "x.bmp", "no/x.png", "\0.png", "x" * 300 + ".png"))),
            ("--report", rng.choice(("x", "x.doc", "", ".html/"))), ("--dpi", "300", "--mm-per-px", "1"),
        ))  # fmt: skip
        return Case("option", ("measure", "a.png", *more, "--json"), _set(2), {"a.png": self.pictures["png"]})

    def project(self, rng: random.Random) -> Case:
        files = {"p.toml": reworded(rng, PROJECT)}
        return Case("project", ("length", "p.toml", "--seconds", "0.5", "--json"), _set(0, 1, 2), files)

    def drawing(self, rng: random.Random) -> Case:
        if rng.random() < 0.5:
            key, files = 'outline_svg = { file = "a.svg", id = "p" }', {"a.svg": reworded(rng, SVG)}
        else:
            data = reworded(rng, self.dxf) if rng.random() < 0.7 else damaged(rng, self.dxf.encode())
            key, files = 'outline_dxf = { file = "a.dxf", piece = "FRONT" }', {"a.dxf": data}
        files["p.toml"] = DRAWN_PIECE.format(key=key).encode()
        argv = ("length", "p.toml", "--repeat", "plain", "--seconds", "0.5", "--json")
        return Case("drawing", argv, _set(0, 1, 2), files)

    def built_in(self, rng: random.Random) -> Case:
        kind = rng.choice(list(KINDS))
        name = rng.choice((*KINDS[kind].sizes, *KINDS[kind].sizes, "cloth.width", "nothing", ""))
        value = rng.choice(
            (*NUMBERS, "0 mm", "-5 cm", "1e6 m", "9999 km", "1 mm", "60 cm", "200 cm", "3", "40")
        )
        argv = (
            "length",
            "--kind",
            kind,
            f"--set={name}={value}",
            "--repeat",
            "64mm",
            "--seconds",
            "0.5",
            "--json",
        )
        return Case("built-in project", argv, _set(0, 1, 2))

    def words(self, rng: random.Random) -> Case:
        text = reworded(
            rng, rng.choice(("64mm x 64mm half-drop", "60mm x 80mm drop 1/3", "12mm stripe", "plain"))
        )
        said = text.decode("utf-8", "replace").replace("\0", "")
        argv = ("length", "--kind", "cushion", f"--repeat={said}", "--seconds", "0.5", "--json")
        return Case("print in words", argv, _set(0, 1, 2))

    def document(self, rng: random.Random) -> Case:
        files = {"m.json": reworded(rng, self.measurement)}
        argv = ("length", "--kind", "cushion", "--measurement", "m.json", "--seconds", "0.5", "--json")
        return Case("measurement", argv, _set(0, 1, 2), files)

    def tagged(self, rng: random.Random) -> Case:
        names = rng.sample(list(self.pictures), 3)
        files = {f"shop/{i}.{n}": damaged(rng, self.pictures[n]) for i, n in enumerate(names)}
        return Case("folder", ("tag", "shop", "--out", "t.csv", "--workers", "1"), _set(0, 3), files)

    def listed(self, rng: random.Random) -> Case:
        files = {"a.png": self.pictures["png"], "b.jpg": self.pictures["jpg"], "l.csv": reworded(rng, LIST)}
        return Case("list", ("tag", "l.csv", "--out", "t.csv", "--workers", "1"), _set(0, 2, 3), files)

    def defaults(self, rng: random.Random) -> Case:
        text = 'units = "imperial"\n[cloth]\nwidth = "150 cm"\ncurrency = "GBP"\n[length]\nseconds = 1\n'
        argv = ("length", "--kind", "napkin", "--repeat", "64mm", "--seconds", "0.5", "--json")
        files = {"d.toml": reworded(rng, text)}
        return Case("defaults", argv, _set(0, 1, 2), files, {"PRINTCHECK_DEFAULTS": "d.toml"})

    def compared(self, rng: random.Random) -> Case:
        files = {"a.json": self.measurement.encode(), "b.json": reworded(rng, self.measurement)}
        argv = ("compare", "a.json", "b.json", "--kind", "cushion", "--seconds", "0.5", "--json")
        return Case("compared", argv, _set(0, 1, 2), files)

    def card(self, rng: random.Random) -> Case:
        name = rng.choice(("c.pdf", "c.svg", "c.png", "c.PDF"))
        wrong = rng.choice(("c", "c.doc", "no/c.pdf", "\0", "x" * 300 + ".pdf", "", "."))
        right = rng.random() < 0.3
        return Case("card", ("scalecard", name if right else wrong), _set(0) if right else _set(2))

    def wrong_use(self, rng: random.Random) -> Case:
        argv = rng.choice((
            ("serve", "--port", rng.choice(("-1", "99999", "x"))), ("serve", "--host", "no such host"),
            ("demo", "--folder", "taken"), ("demo", "--seconds", "-1"), ("no-such-command",), ("measure",),
            ("measure", "."), ("measure", "nowhere.jpg"), ("tag", "nowhere"), ("tag", ""), ("compare", "a"),
            ("length",), ("length", "nowhere.toml"), ("tag", "s3x://a"), ("measure", "taken", "taken"),
            ("length", "taken"), ("measure", "\udcff.jpg"), ("tag", ".", "--workers", "0"),
        ))  # fmt: skip
        return Case("wrong use", argv, _set(2), {"taken": b"in the way"})


def _set(*statuses: int) -> frozenset[int]:
    return frozenset(statuses)


def dxf_pattern() -> str:
    """A pattern of one piece as garment CAD writes it."""
    import io

    import ezdxf

    document = ezdxf.new("R12")
    document.modelspace().add_text("Units: METRIC", dxfattribs={"layer": "1"})
    block = document.blocks.new("FRONT")
    corners = [(0, 0), (200, 0), (200, 200), (150, 220), (140, 300), (0, 300)]
    block.add_polyline2d(corners, close=True, dxfattribs={"layer": "1"})
    block.add_text("Piece Name: front", dxfattribs={"layer": "15"})
    block.add_line((50, 50), (50, 250), dxfattribs={"layer": "7"})
    document.modelspace().add_blockref("FRONT", (0, 0))
    buffer = io.StringIO()
    document.write(buffer)
    return buffer.getvalue()
