"""A contact sheet: one small picture per listing, with filters that work without a server or a script."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

BARS_MM = (200, 100, 50, 20, 10, 5, 2, 1)  # lengths of the scale bar tried, longest first
LONGEST_BAR = 0.45  # of the small picture's width

FILTERS = {  # cell -> (label, values offered); a cell may hold several words
    "difficulty": ("Difficulty", ("easy", "care", "hard")),
    "classes": ("Kind", ("small", "medium", "large", "busy", "directional", "stripe", "check", "plain")),
    "way": ("Direction", ("one-way", "two-way", "four-way", "tossed")),
    "status": ("Status", ("ok", "no-scale", "failed")),
}

TEMPLATE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>Contact sheet of prints</title>
<style>
:root { color-scheme: light dark; --edge: color-mix(in srgb, currentColor 25%, transparent); }
body { font: 16px/1.4 system-ui, sans-serif; margin: 1rem; }
form { display: flex; flex-wrap: wrap; gap: .5rem 1.5rem; margin-bottom: 1rem; }
fieldset { border: 1px solid var(--edge); border-radius: .4rem; padding: .2rem .6rem; }
label { margin-right: .6rem; white-space: nowrap; }
ul.cards { display: grid; grid-template-columns: repeat(auto-fill, minmax(10.5rem, 1fr)); gap: .8rem;
  padding: 0; list-style: none; }
.card { border: 1px solid var(--edge); border-radius: .4rem; padding: .5rem; overflow-wrap: anywhere; }
.card img { display: block; width: 100%; aspect-ratio: 4 / 3; border-radius: .2rem; }
.bar { margin: .2rem 0 0; font-size: .8rem; line-height: 1.2; }
.bar span { display: block; border: 1px solid; border-top: 0; height: .25rem; }
.card h2 { font-size: .95rem; margin: .3rem 0; } .card p { margin: .1rem 0; font-size: .9rem; }
{% for cell, (label, values) in filters.items() %}{% for v in values -%}
body:has(#{{ cell }}-{{ v }}:checked) .card:not([data-{{ cell }}~="{{ v }}"]) { display: none; }
{% endfor %}{% endfor -%}
@media print { form { display: none; } .card { break-inside: avoid; } }
</style></head><body>
<header><h1>Contact sheet of prints</h1></header>
<main>
<form aria-label="Filters">
{%- for cell, (label, values) in filters.items() %}
<fieldset><legend>{{ label }}</legend>
<label><input type="radio" name="{{ cell }}" id="{{ cell }}-all" checked> all</label>
{%- for v in values %}
<label><input type="radio" name="{{ cell }}" id="{{ cell }}-{{ v }}"> {{ v }}</label>
{%- endfor %}</fieldset>
{%- endfor %}
</form>
<ul class="cards">
{% for c in cards -%}
<li class="card" data-difficulty="{{ c.difficulty }}" data-classes="{{ c.classes }}" data-way="{{ c.way }}"
data-status="{{ c.status }}">
{%- if c.thumbnail %}<img alt="" loading="lazy" src="data:image/jpeg;base64,{{ c.thumbnail }}">
{% if c.shown_mm -%}
<p class="bar"><span style="width: {{ bar(c)[1] }}%"></span>{{ bar(c)[0] }} mm</p>{% endif %}
{%- endif %}
<h2>{{ c.file }}</h2>
{%- if c.status != "failed" %}
<p><strong>{{ c.difficulty }}</strong>, {{ c.way }}; {{ c.print_name or c.classes }}</p>
<p>{{ size(c) }}</p>
<p>{{ c.match_advice }}</p>
{%- else %}
<p><strong>failed</strong>: {{ c.message }}</p>
{%- endif %}
</li>
{% endfor -%}
</ul></main></body></html>
"""


def parts(cards: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """Yield the page in parts.

    A card is a row of the table with ``thumbnail`` (JPEG, base64; may be empty) and ``shown_mm`` (width of
    the cloth in it, mm) besides.
    """
    from jinja2 import Environment

    environment = Environment(autoescape=True)
    template = environment.from_string(TEMPLATE)
    return template.generate(filters=FILTERS, cards=cards, size=_size, bar=_bar)


def _size(card: Mapping[str, Any]) -> str:
    if card["status"] == "no-scale":
        return "no scale, so no sizes"
    across, along = card["repeat_across_mm"], card["repeat_along_mm"]
    if across and along:
        return f"repeat {across} mm across, {along} mm along"
    if across or along:
        return f"repeat {across or along} mm {'across' if across else 'along'}"
    return "no repeat found"


def _bar(card: Mapping[str, Any]) -> tuple[int, float]:
    """Length of the scale bar in mm, and its share of the picture's width in per cent."""
    shown_mm = card["shown_mm"]
    length_mm = next((mm for mm in BARS_MM if mm <= LONGEST_BAR * shown_mm), BARS_MM[-1])
    return length_mm, round(100 * length_mm / shown_mm, 2)
