"""Several photos of one swatch as one flat picture, though only some may show the object of known size.

A shopper lays the card down once and takes overlapping photos round it. The photo whose own scale is surest
is laid flat; the others take their scale and tilt from the cloth that they show in common with it, straight
or by way of one another.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from zlib import crc32

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.core.errors import InputError, NoAnswerError
from printcheck.core.findings import Finding, finding
from printcheck.core.handover import FlatCloth, Mask, Picture, Slip
from printcheck.core.request import (
    ClothWidth,
    Corners,
    MotifIs,
    PhotoWidth,
    Reference,
    RepeatIs,
    ScaleRequest,
    Span,
)
from printcheck.photo.decode import open_picture
from printcheck.photo.flatten import Selvedge, lay_flat, quarter_turned
from printcheck.photo.scale import sight
from printcheck.photo.scale.pose import local_scale
from printcheck.photo.scale.sampling import shrunk
from printcheck.photo.scale.unscaled import sight_if_any
from printcheck.photo.stitch.composite import MOST_PX, Piece, joined
from printcheck.photo.stitch.pairwise import places
from printcheck.photo.stitch.placing import Layout, Pairs, alternatives, laid_together
from printcheck.photo.stitch.view import Matrix, View, common_colours, flat_view, moved, resizing, view

Progress = Callable[[str, float], None]

SIGHTED = 0.3  # share of the work done when every photo was searched
# stated in pixels, for the frame or for the print that is seen: of the first photo alone
OF_ONE_PHOTO = (ClothWidth, Corners, MotifIs, PhotoWidth, RepeatIs, Span)
SCALE_REMARK = 0.01  # share of disagreement in scale worth a remark
BLURRED = 0.55  # of the other photos' sharpness
SAME_CLOTH = 0.3  # of the colours in common: views of one large print have half or more
TURNED_ON = 4  # photos that a stray is tried on upside down, for the message
COPY_PX = (256, 256)  # size of the small copies by which a photo given twice is known
COPY = 0.08  # of their contrast: packed anew or at half the size they differ by less, a pace aside by more
COVERED = 4.0  # times the joined picture's area that its photos have at most, overlaps counted
SURE = 0.9  # probability of a photo's place below which a finding names it


@dataclass(frozen=True)
class _Photo:
    """A photo, and the flat picture of it where it has a scale of its own."""

    picture: Picture
    flat: FlatCloth | None

    @property
    def name(self) -> str:
        return self.picture.facts.file

    @property
    def sigma(self) -> float:
        """Of its own scale; infinite where it has none."""
        return math.inf if self.flat is None else self.flat.scale.relative_error

    @property
    def from_photo(self) -> Matrix:
        """From the photo's pixels to those that are laid."""
        if self.flat is not None:
            return np.asarray(np.linalg.inv(self.flat.to_photo), np.float64)
        return resizing(1 / self.picture.reduction, 1 / self.picture.reduction)

    def view(self) -> View:
        return view(self.name, self.picture.bgr) if self.flat is None else flat_view(self.flat)

    def piece(self, move: Matrix, hidden: Matrix | None) -> Piece:
        """What it adds to the whole, without the part that the object of known size hides."""
        if self.flat is not None:
            return Piece(self.flat.bgr, self.flat.mask, move)
        mask = np.ones(self.picture.bgr.shape[:2], bool)
        if hidden is not None:
            mask &= ~_seen_through(hidden, move, mask.shape)
        return Piece(self.picture.bgr, mask, move)


def flatten_photos(
    photos: Sequence[Path | Picture],
    request: ScaleRequest,
    *,
    selvedge: Selvedge = "vertical",
    progress: Progress = lambda stage, share: None,
) -> FlatCloth:
    """One flat picture of the cloth in several overlapping photos.

    Parameters
    ----------
    photos : sequence of Path or Picture
        Photos of one swatch. The one whose own scale is surest gives it to all.
    request, selvedge
        As for :func:`printcheck.photo.flatten.flatten_photo`. A scale stated as a width, two points or
        corners is the first photo's; the others take theirs from what they share with it.
    progress : callable, optional
        Told the stage in words and the share done.

    Raises
    ------
    InputError
        For a broken photo or a request that it cannot meet.
    NoAnswerError
        ``no-reference`` where a named object is in no photo; ``photos-do-not-belong`` where one shares no
        part with the others.
    """
    if not photos:
        raise InputError("no-photo", "No photo was given.", "Name one photo or more.")
    pictures, again = _once(
        [one if isinstance(one, Picture) else open_picture(one) for one in photos], request
    )
    seen = _sighted(pictures, request, progress)

    whole = seen[0].flat
    assert whole is not None
    if len(seen) > 1:
        whole = _whole(seen, *_laid(seen, progress))
    said = (finding("photos-twice", name=copy, first=original) for copy, original in again)
    whole = replace(whole, findings=(*whole.findings, *said))
    return _quarter_turned(whole) if selvedge == "horizontal" else whole


def _laid(
    photos: Sequence[_Photo], progress: Progress
) -> tuple[Layout, list[tuple[dict[int, Matrix], float]]]:
    """How the photos lie, and how they could lie as well; what they were compared by is let go."""

    def placed(count: int) -> None:
        share = SIGHTED + (1 - SIGHTED) * count / len(photos)
        progress(f"laying {count} of {len(photos)} photos together", min(share, 0.99))

    views = [photo.view() for photo in photos]
    order = sorted(range(len(photos)), key=lambda n: _order(photos[n].picture))
    layouts = laid_together(Pairs(views, order), placed)
    strays = [view for n, view in enumerate(views) if n not in layouts[0].moves]
    if strays:
        raise do_not_belong(strays, [views[n] for n in layouts[0].moves])
    return layouts[0], list(alternatives(views, layouts))


def _quarter_turned(cloth: FlatCloth) -> FlatCloth:
    turned = quarter_turned(cloth)
    move = np.linalg.inv(turned.to_photo) @ cloth.to_photo
    slips = tuple(replace(slip, vectors_px=slip.vectors_px @ move[:2, :2].T) for slip in cloth.slips)
    return replace(turned, slips=slips, places=tuple((name, move @ place) for name, place in cloth.places))


def do_not_belong(strays: Sequence[View], laid: Sequence[View]) -> NoAnswerError:
    """The answer when photos share no part with the others: one sentence for each."""
    sharp = float(np.median([view.sharpness for view in laid]))
    reasons = []
    for stray in strays:
        if stray.sharpness < BLURRED * sharp:
            reasons.append(f"{stray.name} is blurred: nothing in it can be laid on the other photos.")
        elif max(common_colours(stray, view) for view in laid) < SAME_CLOTH:
            reasons.append(f"{stray.name} shows other colours than the others: another cloth, it seems.")
        elif any(places(stray.upside_down(), view) for view in laid[:TURNED_ON]):
            reasons.append(f"{stray.name} is upside down: it was taken from the other side of the cloth.")
        else:
            reasons.append(f"{stray.name}: no part of the cloth was found that another photo shows as well.")
    return NoAnswerError(
        "photos-do-not-belong",
        " ".join(reasons),
        "Leave it out, or take it again from the same side as the others, sharp, and overlapping a "
        "neighbour by a third or more.",
    )


def _order(picture: Picture) -> tuple[float, str, int]:
    """Of photos, whatever order they were given in: as they were taken, else by name."""
    return picture.taken, picture.facts.file, crc32(picture.bgr.tobytes())


def _once(pictures: list[Picture], request: ScaleRequest) -> tuple[list[Picture], list[tuple[str, str]]]:
    """The photos in order, each once, and which (copy, original) were left out.

    A copy is known by its picture, however it was written. The first photo stays where the scale is told
    of it.
    """
    told = isinstance(request, OF_ONE_PHOTO)
    kept: list[tuple[Picture, NDArray[np.float32]]] = []
    again = []
    for picture in [*pictures[:told], *sorted(pictures[told:], key=_order)]:
        small = cv2.resize(picture.bgr, COPY_PX, interpolation=cv2.INTER_AREA).astype(np.float32)
        original = next((one for one, thumb in kept if _alike(thumb, small)), None)
        if original is None:
            kept.append((picture, small))
        else:
            again.append((picture.facts.file, original.facts.file))
    return [picture for picture, _ in kept], again


def _alike(one: NDArray[np.float32], other: NDArray[np.float32]) -> bool:
    return float(np.abs(one - other).mean()) <= COPY * float(one.std())


def _no_finer(picture: Picture, number: int) -> Picture:
    """A photo no finer than the joined picture of so many can show it."""
    return shrunk(picture, round(math.sqrt(COVERED * MOST_PX / number)))


def _sighted(
    pictures: list[Picture],
    request: ScaleRequest,
    progress: Progress,
) -> list[_Photo]:
    """The photos, the one with the surest scale first."""
    photos: list[_Photo] = []
    number = len(pictures)
    for n in range(number):
        picture = pictures.pop(0)  # what was decoded is let go once it was searched
        progress(f"looking at {picture.facts.file}", SIGHTED * n / number)
        flat, small = None, _no_finer(picture, number)
        if not (photos and isinstance(request, OF_ONE_PHOTO)):
            try:
                seen = sight if isinstance(request, Reference) else sight_if_any
                flat = lay_flat(small, seen(picture, request))
            except NoAnswerError as error:
                if error.code != "no-reference":
                    raise
        photos.append(_Photo(small, flat))
    photos.sort(key=lambda photo: photo.sigma)
    first = photos[0]
    if first.flat is None:  # where any object would do, one photo lends the others its pixels
        seen_at = sight_if_any(first.picture, request)
        photos[0] = replace(first, flat=lay_flat(first.picture, seen_at))
    return photos


def _whole(
    photos: Sequence[_Photo],
    layout: Layout,
    others: Iterable[tuple[dict[int, Matrix], float]],
) -> FlatCloth:
    first = photos[0].flat
    assert first is not None
    used = sorted(layout.moves)
    covered = _object_in(first)
    cloth = joined(first, [photos[n].piece(layout.moves[n], covered) for n in used])
    to_flat = np.linalg.inv(cloth.to_photo) @ first.to_photo  # from the first photo's flat pixels
    apart = _scale_apart(photos, layout)
    error = math.hypot(
        first.scale.relative_error, apart / 2, max(layout.sigma_px.values()) / max(first.mask.shape)
    )
    remarks: list[Finding] = [finding("photos-combined", count=len(used))]
    if apart > SCALE_REMARK:
        remarks.append(finding("photos-scales-differ", percent=100 * apart))
    without = ", ".join(photo.name for photo in photos if photo.flat is None)
    if without:
        remarks.append(finding("photos-scale-shared", names=without, first=first.photo.file))
    for n in used[1:]:
        error_mm = layout.sigma_px[n] * first.mm_per_px
        remarks.append(finding("photos-place-error", name=photos[n].name, error_mm=error_mm))
    belongs = {n: 1 / (1 + math.exp(misfit)) for n, misfit in layout.misfits.items()}
    doubtful = [n for n in used[1:] if belongs[n] < SURE]
    if doubtful:
        names, least = ", ".join(photos[n].name for n in doubtful), min(belongs[n] for n in doubtful)
        remarks.append(finding("photos-join-doubtful", names=names, percent=100 * least))
    return replace(
        cloth,
        scale=replace(first.scale, relative_error=error),
        findings=(*first.findings, *remarks),
        trust=math.prod(belongs.values()),
        slips=tuple(
            Slip(
                ", ".join(photos[n].name for n in sorted(shifts)),
                np.array([to_flat[:2, :2] @ shift for shift in shifts.values()]).reshape(-1, 2),
                probability,
            )
            for shifts, probability in others
        ),
        places=tuple((photos[n].name, to_flat @ layout.moves[n] @ photos[n].from_photo) for n in used),
    )


def _scale_apart(photos: Sequence[_Photo], layout: Layout) -> float:
    """Largest share by which a photo's own scale differs from the one that its place gives it."""
    apart = [0.0]
    for n, photo in enumerate(photos[1:], 1):
        if photo.flat is not None and n in layout.moves:
            height, width = photo.flat.mask.shape
            first = photos[0].flat
            assert first is not None
            there = local_scale(layout.moves[n], (width / 2, height / 2)) * first.mm_per_px
            apart.append(abs(there / photo.flat.mm_per_px - 1))
    return max(apart)


def _object_in(cloth: FlatCloth) -> Matrix | None:
    """Outline (n, 2), in flat pixels, of an object that lies on the cloth; None where none does."""
    if cloth.outline_px is None or len(cloth.outline_px) < 3:
        return None
    outline = moved(np.asarray(cloth.outline_px, np.float64), np.linalg.inv(cloth.to_photo))
    x, y = np.clip(np.rint(outline.mean(0)).astype(int), 0, np.array(cloth.mask.shape[::-1]) - 1)
    return None if cloth.mask[y, x] else outline


def _seen_through(outline: Matrix, move: Matrix, shape: tuple[int, ...]) -> Mask:
    """Where a photo shows the object: (H, W) bool."""
    covered = np.zeros(shape, np.uint8)
    there = np.rint(moved(outline, np.linalg.inv(move))).astype(np.int32)
    cv2.fillPoly(covered, [there], 1)
    return np.asarray(cv2.dilate(covered, np.ones((9, 9), np.uint8)) > 0)
