// The photo with what was found drawn on it, its words at a size that can be read.
import { h, svg } from "./dom.js";
import { T, size } from "./words.js";

const LETTER = 13; // CSS px of the words on the picture
const LEAST_ARM = 24; // CSS px: a shorter repeat is drawn without arrows

const path = (points, closed = true) => `M${points.map((p) => p.join(" ")).join("L")}${closed ? "Z" : ""}`;

function twice(points, kind, closed = true) {
  return ["halo", kind].map((name) => svg("path", { d: path(points, closed), class: name }));
}

function word(at, text, kind, unit, width, anchor = "middle") {
  const letter = LETTER * unit;
  const wide = text.length * letter * 0.58;
  const before = anchor === "middle" ? wide / 2 : 0;
  const x = Math.min(Math.max(at[0], before + letter / 2), width - (wide - before) - letter / 2);
  return svg("text", { x, y: Math.max(at[1], letter * 1.3), class: kind, "text-anchor": anchor, "font-size": letter }, text);
}

export function drawn(address, m, shownWidth) {
  const drawing = m.overlay || {};
  const width = drawing.width_px || m.photo.width_px;
  const height = drawing.height_px || m.photo.height_px;
  const unit = width / shownWidth; // photo pixels to a CSS pixel
  const parts = [];
  const words = [];
  (drawing.nodes || []).forEach(([x, y]) => {
    if (drawing.nodes.length <= 120) parts.push(svg("circle", { cx: x, cy: y, r: 3 * unit, class: "node" }));
  });
  (drawing.motifs || []).slice(0, 2).forEach((ring) => parts.push(...twice(ring, "motif")));
  (drawing.clumps || []).forEach((ring) => parts.push(...twice(ring, "clump")));
  if (drawing.object && drawing.object.length) parts.push(...twice(drawing.object, "object"));
  if (drawing.cell) parts.push(...twice(drawing.cell, "cell"));
  for (const way of ["across", "along"]) {
    const arm = drawing[way];
    if (!arm || m.repeat[`${way}_mm`] === null) continue;
    if (Math.hypot(arm[1][0] - arm[0][0], arm[1][1] - arm[0][1]) < LEAST_ARM * unit) continue;
    parts.push(...twice(arm, "arm", false));
    const shift = way === "across" ? [0, -0.6] : [0.7, 0.4]; // letters beside the line
    const middle = [0, 1].map((axis) => (arm[0][axis] + arm[1][axis]) / 2 + shift[axis] * LETTER * unit);
    words.push(word(middle, T(`picture.${way}`, { size: size(m.repeat[`${way}_mm`]) }), "said", unit, width, way === "across" ? "middle" : "start"));
  }
  return h(
    "div",
    { class: "picture" },
    h("img", { src: address, alt: "" }),
    svg(
      "svg",
      { viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": T("picture.alt"), class: "over" },
      parts,
      words,
    ),
  );
}
