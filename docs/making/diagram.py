"""The reliability diagram: how often answers of each confidence are right, as a small SVG."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

BINS = (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 0.95, 1.0001)
SIDE, EDGE = 300, 44
INK, RULE, FILL = "#22313a", "#c9d1d6", "#3f7d86"


def bins_of(rows: list[dict[str, Any]]) -> list[tuple[float, float, int, int]]:
    """(low, high, answers, right ones) for each bin of confidence; only answers with a repeat count."""
    answers = [r for r in rows if r.get("basis_got")]
    out = []
    for low, high in pairwise(BINS):
        inside = [r for r in answers if low <= r["confidence"] < high]
        out.append((low, min(high, 1.0), len(inside), sum(r["verdict"] == "right" for r in inside)))
    return out


def svg(rows: list[dict[str, Any]]) -> str:
    """The diagram; bars span one standard error of a share."""
    size = SIDE + 2 * EDGE
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {size}" width="{size}" height="{size}" '
        f'font-family="sans-serif" font-size="11" fill="{INK}">',
        f'<rect width="{size}" height="{size}" fill="#ffffff"/>',
    ]
    for i in range(6):
        at = EDGE + SIDE * i / 5
        parts.append(f'<path d="M{EDGE} {at}H{EDGE + SIDE}M{at} {EDGE}V{EDGE + SIDE}" stroke="{RULE}"/>')
        parts.append(f'<text x="{EDGE - 6}" y="{at + 4}" text-anchor="end">{1 - i / 5:.1f}</text>')
        parts.append(f'<text x="{at}" y="{EDGE + SIDE + 16}" text-anchor="middle">{i / 5:.1f}</text>')
    parts.append(
        f'<path d="M{EDGE} {EDGE + SIDE}L{EDGE + SIDE} {EDGE}" stroke="{INK}" stroke-dasharray="4 4"/>'
    )
    for low, high, n, right in bins_of(rows):
        if n:
            x, p = EDGE + SIDE * (low + high) / 2, right / n
            y, bar = EDGE + SIDE * (1 - p), SIDE * math.sqrt(max(p * (1 - p), 0.25 / n) / n)
            top, foot = max(EDGE, y - bar), min(EDGE + SIDE, y + bar)
            parts.append(f'<path d="M{x:.1f} {top:.1f}V{foot:.1f}" stroke="{FILL}" stroke-width="2"/>')
            parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4.5" fill="{FILL}"/>')
            parts.append(f'<text x="{x + 7:.1f}" y="{y + 15:.1f}">{n}</text>')
    middle = EDGE + SIDE / 2
    parts.append(f'<text x="{middle}" y="{size - 8}" text-anchor="middle">confidence stated</text>')
    turned = f'transform="rotate(-90 12 {middle})"'
    parts.append(f'<text x="12" y="{middle}" text-anchor="middle" {turned}>share right</text>')
    return "\n".join([*parts, "</svg>"]) + "\n"
