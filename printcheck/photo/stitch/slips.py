"""Where photos laid together could lie as well: shifts of some of them that every overlap bears.

Two equally good places of a photo differ by a shift under which the print that both show comes again. If
that is the repeat, either place is right. But a field of like flowers comes again flower by flower, and the
odd one that tells the places apart may lie in no overlap: whoever reads the repeat must know of it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from printcheck.photo.stitch.pairwise import same_place
from printcheck.photo.stitch.placing import Layout, Pairs
from printcheck.photo.stitch.view import Matrix, moved

AS_ODD = 0.003  # share of the print that may look otherwise besides: one motif is a few times that


def slips_of(pairs: Pairs, layout: Layout) -> Iterator[tuple[frozenset[int], Matrix]]:
    """Views that could lie elsewhere together, and the shift (2,) in pixels of the first view.

    One for each place that two views of the layout have besides the one in it; the views that must come
    along are found by asking every overlap that the shift implies.
    """
    odd = max((join.place.odd for join in layout.joins), default=0.0) + AS_ODD
    known: list[tuple[frozenset[int], Matrix]] = []
    for join in layout.found:
        here, there = layout.moves[join.new], layout.moves[join.old] @ join.place.move
        if join.place.odd > odd or same_place(there, here, pairs.views[join.new], pairs.views[0]):
            continue
        middle = np.array([pairs.views[join.new].whole]) / 2
        shift = (moved(middle, there) - moved(middle, here))[0]
        views = _together(pairs, layout, join.new, join.old, shift, odd)
        if views and not any(views == v and np.allclose(shift, s, atol=20.0) for v, s in known):
            known.append((views, shift))
            yield views, shift


def _together(
    pairs: Pairs, layout: Layout, new: int, old: int, shift: Matrix, odd: float
) -> frozenset[int] | None:
    """The views that move along with one when it is shifted; None where the other one must as well."""
    step = np.array([[1, 0, shift[0]], [0, 1, shift[1]], [0, 0, 1.0]])
    views, asked = {new}, [new]
    while asked:
        one = asked.pop()
        for other in layout.moves.keys() - views:
            place = pairs.at(one, other, np.linalg.inv(layout.moves[other]) @ step @ layout.moves[one])
            if place is not None and not (pairs.bears(place) and place.odd <= odd):
                if other == old:
                    return None
                views.add(other)
                asked.append(other)
    return frozenset(views)
