"""From candidate rectangles to a sighting: which is the object, whether that is sure, and what it says."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.errors import NoAnswerError
from printcheck.core.findings import Finding, finding
from printcheck.core.handover import Picture
from printcheck.core.reference.objects import OBJECTS, KnownObject, known_object
from printcheck.photo.scale.doubts import doubtful, place_of, points_of, reason
from printcheck.photo.scale.pose import Pose, scale_of_pair
from printcheck.photo.scale.rectangle.blobs import within_hint
from printcheck.photo.scale.rectangle.classifier import features, promise, weighed
from printcheck.photo.scale.rectangle.known import Candidate, Scene, posed, rectangle, scene_of, shape_of
from printcheck.photo.scale.rectangle.propose import candidates
from printcheck.photo.scale.rectangle.refine_sides import readings, sharpened
from printcheck.photo.scale.sighting import Sighting, hidden_by, on_cloth

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from printcheck.core.request import Reference

    Look = Callable[[Scene, Sequence[KnownObject]], list[Candidate]]

SURE = 0.95  # evidence at which no second look is taken
NAMED_LEAST, UNNAMED_LEAST = 0.8, 0.9  # evidence asked of an object that the user named, or did not
DOUBTFUL = 0.1  # evidence from which a thing that is not trusted is asked about
MOST_SIGMA = 0.02  # share of scale: what is less sure (half an object, say) is no answer
MODEL_SIGMA = 0.0006  # share of scale: what edges, shadow and lens do beyond the fit's own errors
GOOD_MISFIT = 4.0  # chi2 above which the sides contradict one another and the error grows with it
# Share of the height allowed for without EXIF, and one sigma, which is in the error: two cover the lift of
# a phone's main lens (24 to 28 mm on film, common practice), that of a zoomed one, and none, as in a scan.
UNKNOWN_LIFT = 0.0, 0.65
DISAGREE_SHARE, DISAGREE_SIGMAS = 0.02, 4.0  # two objects of one kind whose scales differ more are refused
# common things that are nearly but not quite cards or sheets (business cards: common practice)
RIVALS = (
    rectangle((85.0, 55.0), "a business card of 85 x 55 mm"),
    rectangle((88.9, 50.8), "a business card of 89 x 51 mm"),
)
RIVAL_MARGIN = 6.0  # chi2 between two kinds that tells them apart
ROUND_RIVALS = 0.05  # share of business cards with rounded corners, at most; from memory
RIVAL_FITS = 12.0  # chi2 at which a rival fits well enough to be named
RIVAL_APART = 0.01  # share of scale below which it does not matter which it is
UNNAMED = [row for row in OBJECTS.values() if row.auto and row.finder == "rectangle.select"]
ANY_SHEET = known_object("A4")  # A4, A5 and A6 have one shape
WEAK = 0.92  # evidence below which the sighting is remarked on
LOOKS: tuple[Look, ...] = (candidates, within_hint)
CUT_SHARE = 0.97  # of a side inside the picture: less and the object is cut by the picture's edge


def find(picture: Picture, request: Reference) -> list[Sighting]:
    """The card, sheet or rectangle asked for; see :mod:`printcheck.photo.scale.sighting` for the terms."""
    scene = scene_of(picture)
    found = looked_for(scene, [kind_of(request)], DOUBTFUL)
    sure = _sure(scene, found, NAMED_LEAST)
    if not sure and found and found[0][0] >= DOUBTFUL:
        raise _unsure(scene, found[0][1])
    return _sightings(scene, sure)


def kind_of(request: Reference) -> KnownObject:
    """The rectangle that is asked for."""
    if request.width_mm and request.height_mm:
        return rectangle((request.width_mm, request.height_mm))
    return known_object(request.kind)


def unnamed(picture: Picture, *, thorough: bool = True) -> list[Sighting]:
    """Cards, and sheets whose shape tells their size, that nobody said are there.

    ``thorough`` takes the second look too; what was read already needs no more than a witness.

    Raises
    ------
    NoAnswerError
        If what lies there is refused, may be a card but is not sure enough, or is a sheet whose size its
        shape leaves open.
    """
    scene = scene_of(picture)
    found = looked_for(scene, [*UNNAMED, ANY_SHEET], NAMED_LEAST, LOOKS if thorough else LOOKS[:1])
    sure = _sure(scene, found, UNNAMED_LEAST)
    cards = [pair for pair in sure if not pair[1].kind.paper]
    if cards or not found:
        return _sightings(scene, cards)
    sheets = [pair for pair in sure if pair[1].kind.ratio != ANY_SHEET.ratio]
    if sheets and _gain(scene, sheets[0][1], ANY_SHEET)[0] < -RIVAL_MARGIN:
        return _sightings(scene, sheets)
    seen = next((candidate for _, candidate in found if candidate.kind.paper), None)
    if seen is not None:
        raise NoAnswerError(
            "sheet-size-unknown",
            f"{picture.facts.file}: a sheet of paper seems to lie near the "
            f"{place_of(seen.corners, picture)} of the photo, but A4, A5 and A6 have the same shape, "
            "so its size cannot be seen.",
            "Name its size with --reference A4, A5, A6 or letter.",
            outline_px=points_of(seen.corners),
        )
    raise _unsure(scene, found[0][1])


def looked_for(
    scene: Scene, kinds: Sequence[KnownObject], least: float, looks: Sequence[Look] = LOOKS
) -> list[tuple[float, Candidate]]:
    """Rectangles of these kinds with their evidence, best first; none of less than ``least``."""
    found: list[tuple[float, Candidate]] = []
    needed = math.log(least / (1 - least))
    for look in looks:  # the next only where the last did not make sure
        rough = [candidate for candidate in look(scene, kinds) if promise(candidate) >= needed]
        near = [c for c in sharpened(scene, rough) if promise(c, fitted=True) >= needed]
        again = weighed(scene, near)
        if again and (not found or again[0][0] > found[0][0]):
            found = again
        if found and found[0][0] >= SURE:
            break
    return [pair for pair in found if pair[0] >= least]


def _sure(scene: Scene, found: list[tuple[float, Candidate]], least: float) -> list[tuple[float, Candidate]]:
    """Those that are taken for the object."""
    return [pair for pair in found if pair[0] >= least and _scale(scene, pair[1])[1] < MOST_SIGMA]


def _sightings(scene: Scene, sure: list[tuple[float, Candidate]]) -> list[Sighting]:
    """What the rectangles say of the scale, the best with what else it could be."""
    if not sure:
        return []
    remarks = _held_against_rivals(scene, sure[0][1])
    _refuse_disagreement(scene, sure)
    best, *more = (_sighting(scene, evidence, candidate) for evidence, candidate in sure)
    return [best.with_findings(*remarks), *more]


def _on_cloth(scene: Scene, candidate: Candidate) -> tuple[tuple[Pose, Pose], float]:
    """Poses of the cloth under the object, and what its distance leaves unknown of the scale."""
    thick_mm = candidate.kind.thick_mm
    (one, sigma), (two, _) = (
        on_cloth(pose, thick_mm, scene.picture, UNKNOWN_LIFT) for pose in candidate.poses
    )
    return (one, two), sigma


def _scale(scene: Scene, candidate: Candidate) -> tuple[float, float]:
    """Scale on the cloth at the picture's centre in mm per photo px, and one sigma as a share."""
    pair, lift_sigma = _on_cloth(scene, candidate)
    scale, sigma = scale_of_pair(pair, scene.camera.centre_px)
    sigma *= max(1.0, math.sqrt(candidate.poses[0].chi2 / GOOD_MISFIT))
    return scale, math.hypot(sigma, candidate.kind.size_sigma, MODEL_SIGMA, lift_sigma)


def _choice_sigma(scene: Scene, candidate: Candidate) -> float:
    """One sigma of the scale at the centre, as a share, for which of the lines near a side is the side."""
    here = candidate.poses[0].mm_per_px(scene.camera.centre_px)
    every = readings(scene, candidate)
    odds = np.exp([(candidate.misfit - each.misfit) / 2 for each in every])
    apart = [math.log(each.poses[0].mm_per_px(scene.camera.centre_px) / here) for each in every]
    return math.sqrt(float(np.sum(odds * np.square(apart)) / (1 + np.sum(odds))))


def _refuse_disagreement(scene: Scene, sure: list[tuple[float, Candidate]]) -> None:
    """Refuse two objects of one kind whose scales differ: one of them is not what it seems."""
    if len(sure) < 2 or sure[1][0] < min(SURE, sure[0][0]):
        return
    (_, first), (_, second) = sure[:2]
    (one, one_sigma), (two, two_sigma) = _scale(scene, first), _scale(scene, second)
    apart = abs(math.log(two / one))
    if apart > max(DISAGREE_SHARE, DISAGREE_SIGMAS * math.hypot(one_sigma, two_sigma)):
        raise NoAnswerError(
            "two-objects-disagree",
            f"Two things in the photo look like {_a(first.kind.label)}, and their sizes differ by "
            f"{100 * apart:.0f} %.",
            "Leave only one of them on the cloth; if the one near the "
            f"{place_of(first.corners, scene.picture)} of the photo is meant, say {_corners(first)}.",
            outline_px=points_of(first.corners),
        )


def _held_against_rivals(scene: Scene, candidate: Candidate) -> tuple[Finding, ...]:
    """Refuse what fits a common thing of another shape clearly better; remark on what fits it as well."""
    kind, remarks = candidate.kind, []
    if candidate.guessed:
        return ()
    by_corners = -2 * math.log(ROUND_RIVALS) if kind.corner_mm and candidate.round > 0 else 0.0  # in chi2
    for rival in (r for r in RIVALS if r.ratio != kind.ratio):
        gain, pair = _gain(scene, candidate, rival)
        if gain > RIVAL_MARGIN and pair[0].chi2 / candidate.bend_factor < RIVAL_FITS:
            raise NoAnswerError(
                "looks-like-another",
                f"{scene.picture.facts.file}: what looks like {_a(kind.label)} has the shape of "
                f"{rival.label}.",
                f"If it is one, say --reference rect:{_size(rival)}; otherwise lay the object flat and "
                "photograph it larger.",
                outline_px=points_of(candidate.corners),
            )
        apart = abs(
            math.log(pair[0].mm_per_px(pair[0].centre_px) / candidate.poses[0].mm_per_px(pair[0].centre_px))
        )
        if by_corners - RIVAL_MARGIN < gain <= RIVAL_MARGIN and apart > RIVAL_APART:
            remarks.append(
                finding("reference-could-be", what=kind.label, other=rival.label, percent=100 * apart)
            )
    return tuple(remarks)


def _gain(scene: Scene, candidate: Candidate, rival: KnownObject) -> tuple[float, tuple[Pose, Pose]]:
    """How much better (chi2) a thing of another size fits the candidate's sides, and its poses."""
    pair = posed(scene, rival, candidate.sides, candidate.corners[None])[0]
    return (candidate.poses[0].chi2 - pair[0].chi2) / candidate.bend_factor, pair


def _sighting(scene: Scene, evidence: float, candidate: Candidate) -> Sighting:
    (pose, _), _ = _on_cloth(scene, candidate)
    sigma = math.hypot(_scale(scene, candidate)[1], _choice_sigma(scene, candidate))
    return Sighting(
        candidate.kind.source or "rect",
        candidate.kind.label,
        np.asarray(np.linalg.inv(pose.to_photo), float),
        sigma,
        tilt_deg=pose.tilt_deg,
        outline_px=candidate.corners,
        hidden_px=hidden_by(candidate.corners),
        evidence=evidence,
        findings=_findings(evidence, candidate),
        pose=pose,
    )


def _unsure(scene: Scene, seen: Candidate) -> NoAnswerError:
    """The refusal of a thing that may be the object, with the corners to say that it is."""
    kind = seen.kind
    why = reason(shape_of(kind), features(seen))
    return doubtful(scene.picture, _a(kind.label), seen.corners, why, _corners(seen))


def _corners(seen: Candidate) -> str:
    """The option that says that this is the object."""
    corners = ",".join(f"{value:.0f}" for value in seen.corners.ravel())
    return f"--corners {corners}={_size(seen.kind)}"


def _size(kind: KnownObject) -> str:
    return f"{kind.size_mm[0]:g}x{kind.size_mm[1]:g}mm"


def _a(name: str) -> str:
    """The name with its article: a bank card, an A6 sheet, a 127 x 76 mm rectangle."""
    return f"{'an' if name[0] in 'A8' else 'a'} {name}"


def _findings(evidence: float, candidate: Candidate) -> tuple[Finding, ...]:
    found = []
    if evidence < WEAK:
        found.append(finding("reference-weak", what=candidate.kind.label))
    if float(candidate.seen.min()) < CUT_SHARE:
        found.append(finding("reference-cut", what=candidate.kind.label))
    return tuple(found)
