// The cutting layout: pieces on the cloth as they lie, and what to do piece by piece.
import { h, svg } from "./dom.js";
import { T, has, language, size, sizes } from "./words.js";

const LETTER = 14; // CSS px of the words on the drawing
const TOUCHES_MM = 0.5; // nearer the edge is at the edge

export function chosen(plan) {
  return plan.matched || plan.one_way;
}

function nameOf(piece) {
  const [name, copy] = piece.split("#");
  const words = has(`pieces.${name}`) ? T(`pieces.${name}`) : name;
  return copy ? `${words} ${copy}` : words;
}

function boxOf(spot, piece) {
  return spot.crosswise ? [piece.length_mm, piece.width_mm] : [piece.width_mm, piece.length_mm];
}

export const ordered = (layout) => [...layout.placements].sort((a, b) => a.y_mm - b.y_mm || a.x_mm - b.x_mm);

function ring(spot, piece) {
  const [width, height] = boxOf(spot, piece);
  const corners = piece.outline && piece.outline.length ? piece.outline : [[0, 0], [width, 0], [width, height], [0, height]];
  return corners.map(([x, y]) => (spot.turned ? [spot.x_mm + width - x, spot.y_mm + height - y] : [spot.x_mm + x, spot.y_mm + y]));
}

export function drawing(plan, shownWidth) {
  const layout = chosen(plan);
  const width = plan.cloth.usable_width_mm;
  const letter = Math.max(width / (shownWidth / LETTER), layout.length_mm / ((0.8 * innerHeight) / LETTER)); // mm
  const pieces = new Map(plan.pieces.map((piece) => [piece.name, piece]));
  const parts = [svg("rect", { class: "cloth", x: 0, y: 0, width, height: layout.length_mm, "stroke-width": letter / 12 })];
  parts.push(...grid(plan, width, layout.length_mm, letter));
  ordered(layout).forEach((spot, i) => {
    const piece = pieces.get(spot.piece);
    if (!piece) return;
    const [w, hgt] = boxOf(spot, piece);
    const middle = [spot.x_mm + w / 2, spot.y_mm + hgt / 2];
    const small = Math.min(letter * 1.3, 0.8 * w, 0.9 * hgt);
    parts.push(svg("path", { class: "piece", d: `M${ring(spot, piece).map((p) => p.join(" ")).join("L")}Z`, "stroke-width": letter / 8 }));
    parts.push(svg("text", { x: middle[0], y: middle[1] + small / 3, "text-anchor": "middle", "font-size": small }, String(i + 1)));
    if (hgt > 4 * letter) parts.push(arrow([middle[0], middle[1] + (spot.turned ? 1 : -1) * letter * 1.2], spot.turned, letter));
  });
  parts.push(svg("text", { x: letter / 2, y: -letter * 0.4, "font-size": letter }, T("layout.cut-end")));
  const alt = T("layout.alt", { width: size(width), length: size(layout.length_mm), count: layout.placements.length });
  return svg("svg", { viewBox: `${-letter} ${-1.6 * letter} ${width + 2 * letter} ${layout.length_mm + 2.6 * letter}`, role: "img", "aria-label": alt }, parts);
}

function arrow([x, y], turned, letter) {
  const way = turned ? 1 : -1; // up is against y
  const head = y + way * letter * 1.4;
  return svg("path", { class: "up", "stroke-width": letter / 6, d: `M${x} ${y}V${head}M${x - letter / 2} ${head - (way * letter) / 2}L${x} ${head}L${x + letter / 2} ${head - (way * letter) / 2}` });
}

// Rows of the print, where matching keeps to them
function grid(plan, width, length, letter) {
  const along = plan.print.basis_mm.map((v) => v[1]).filter((v) => Math.abs(v) > 1);
  const step = plan.matched && along.length ? Math.max(...along.map(Math.abs)) : 0;
  if (step < 2 * letter / 3) return [];
  const lines = [];
  for (let y = step; y < length; y += step) lines.push(svg("path", { class: "grid", d: `M0 ${y}H${width}`, "stroke-width": letter / 16 }));
  return lines;
}

export function steps(plan) {
  const pieces = new Map(plan.pieces.map((piece) => [piece.name, piece]));
  return ordered(chosen(plan)).map((spot) => {
    const piece = pieces.get(spot.piece);
    const known = language === "en" || has(`pieces.${spot.piece.split("#")[0]}`);
    const notes = [spot.turned && T("layout.turned"), spot.mirrored && T("layout.mirrored"), spot.crosswise && T("layout.crosswise"), seamsOf(plan, spot.piece)];
    const away = (mm, key) => (mm < TOUCHES_MM ? T(`layout.at-${key}`) : T(`layout.from-${key}`, { size: size(mm) }));
    const at = `${away(spot.y_mm, "end")}, ${away(spot.x_mm, "edge")}`;
    return h("li", {},
      h("strong", { lang: known ? null : "en" }, nameOf(spot.piece)), piece ? `, ${sizes(piece.width_mm, piece.length_mm).join(" × ")}` : "",
      h("span", { class: "small" }, [at, ...notes.filter(Boolean)].join("; ")));
  });
}

function seamsOf(plan, piece) {
  if (!plan.matched) return "";
  const others = new Set();
  for (const seam of plan.seams) {
    const names = seam.join.map((end) => end.piece);
    if (names.includes(piece)) names.filter((name) => name !== piece).forEach((name) => others.add(nameOf(name)));
  }
  return others.size ? T("layout.matches", { others: [...others].join(", ") }) : "";
}
