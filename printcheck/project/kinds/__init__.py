"""Built-in projects that expand to ordinary pieces and seams."""

from __future__ import annotations

from printcheck.project.kinds import curtain, dress, dungarees, home, shirt, skirt, trousers
from printcheck.project.kinds.draft import Kind

KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        curtain.KIND,
        skirt.KIND,
        trousers.KIND,
        shirt.KIND,
        dress.KIND,
        home.CUSHION,
        home.BAG,
        dungarees.KIND,
        home.NAPKIN,
    )
}
# other words people use for them
ALSO = {
    "curtain-pair": "curtain",
    "gathered-skirt": "skirt",
    "pyjama-trouser": "trousers",
    "pyjama": "trousers",
    "trouser": "trousers",
    "simple-dress": "dress",
    "cushion-cover": "cushion",
    "tote-bag": "bag",
    "tote": "bag",
    "dungaree": "dungarees",
    "child's-dungaree": "dungarees",
    "children's-dungaree": "dungarees",
}
