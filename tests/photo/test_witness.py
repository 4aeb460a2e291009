"""Whether the picture shows the same corner again, up to its own edge."""

from __future__ import annotations

import numpy as np

from printcheck.photo.scale.rectangle.appearance import corner_unlikeness, look_picture


def test_corners_of_a_check_are_alike_at_the_pictures_edge_too() -> None:
    x, y = np.meshgrid(np.arange(256), np.arange(192))
    check = np.where(((x // 16 + y // 16) % 2)[..., None] > 0, (90, 160, 90), (230, 235, 235)).astype(
        np.uint8
    )
    across_it_all = np.array([(0, 0), (240, 0), (240, 176), (0, 176)], float)
    assert corner_unlikeness(look_picture(check), across_it_all) < 0.1
    check[:8, :8] = (40, 30, 200)  # what no other place shows
    assert corner_unlikeness(look_picture(check), across_it_all) > 0.1
