// The cutting layout: pieces on the cloth as they lie, and what to do step by step.
import { h, svg } from "./dom.js";
import { T, has, language, named, size, sizes } from "./words.js";

const LETTER = 14; // CSS px of the words on the drawing
const TOUCHES_MM = 0.05; // nearer the edge is at the edge
const WAYS = ["left", "right", "up", "down"];
const ON_CLOTH = { both: "both", level: "upright", upright: "level" }; // of a piece that lies crosswise

export function chosen(plan) {
  return plan.layout || plan.matched || plan.one_way;
}

const selvedge = ({ cloth }) => Math.max(0, (cloth.width_mm * (1 - cloth.shrink_across) - cloth.usable_width_mm) / 2);

// Place on the cloth of a point of a piece
function pointOn(spot, piece, [x, y]) {
  if (spot.turned) [x, y] = [piece.width_mm - x, piece.length_mm - y];
  if (spot.crosswise) [x, y] = [y, piece.width_mm - x];
  return [spot.x_mm + x, spot.y_mm + y];
}

function ring(spot, piece) {
  const [w, l] = [piece.width_mm, piece.length_mm];
  const corners = piece.outline && piece.outline.length ? piece.outline : [[0, 0], [w, 0], [w, l], [0, l]];
  return corners.map((corner) => pointOn(spot, piece, corner));
}

export function drawing(plan, shownWidth) {
  const layout = chosen(plan);
  const width = plan.cloth.usable_width_mm;
  const letter = Math.max(width / (shownWidth / LETTER), layout.length_mm / ((0.8 * innerHeight) / LETTER)); // mm
  const pieces = new Map(plan.pieces.map((piece) => [piece.name, piece]));
  const spots = new Map(layout.placements.map((spot) => [spot.piece, spot]));
  const parts = [svg("rect", { class: "cloth", x: 0, y: 0, width, height: layout.length_mm, "stroke-width": letter / 12 })];
  parts.push(...grid(plan, width, layout.length_mm, letter));
  const words = [];
  for (const step of plan.steps) {
    const [w, l] = [step.width_mm, step.length_mm];
    const middle = [step.x_mm + w / 2, step.y_mm + l / 2];
    const small = Math.min(letter * 1.3, 0.8 * w, 0.9 * l);
    const points = ring(spots.get(step.piece), pieces.get(step.piece));
    parts.push(svg("path", { class: "piece", d: `M${points.map((p) => p.join(" ")).join("L")}Z`, "stroke-width": letter / 8 }));
    words.push(svg("text", { x: middle[0], y: middle[1] + small / 3, "text-anchor": "middle", "font-size": small }, step.letter));
    if (l > 4 * letter && !step.crosswise) words.push(arrow([middle[0], middle[1] + (step.turned ? 1 : -1) * letter * 1.2], step.turned, letter));
  }
  const notches = plan.matched ? plan.seams.flatMap((seam, i) => seam.join.map((end) => notch(i + 1, pointOn(spots.get(end.piece), pieces.get(end.piece), end.at), letter))) : [];
  words.push(svg("text", { x: letter / 2, y: -letter * 0.4, "font-size": letter }, T("layout.cut-end")));
  const alt = T("layout.alt", { width: size(width), length: size(layout.length_mm), count: layout.placements.length });
  return svg("svg", { viewBox: `${-letter} ${-1.6 * letter} ${width + 2 * letter} ${layout.length_mm + 2.6 * letter}`, role: "img", "aria-label": alt }, parts, words, notches);
}

// A seam point; both that meet have one number
function notch(number, [x, y], letter) {
  return svg("g", { class: "notch" },
    svg("circle", { cx: x, cy: y, r: 0.62 * letter, "stroke-width": letter / 8 }),
    svg("text", { x, y: y + 0.3 * letter, "text-anchor": "middle", "font-size": 0.85 * letter }, String(number)));
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
  const before = ["wash", "single"];
  if (plan.print.way === "one-way" && !plan.steps.some((step) => step.crosswise)) before.push("up");
  const said = (key) => h("li", {}, T(`layout.before.${key}`));
  const laid = plan.steps.map((step, i) => piece(plan, step, step.free && i > 0 && !plan.steps[i - 1].free));
  return [...before.map(said), ...start(plan), said("square"), ...laid, said("last")];
}

// Where the print lies under the layout
function start(plan) {
  if (!plan.start) return [];
  const [across, along] = plan.start.at_mm;
  const parts = [T(`layout.start.${plan.start.feature}`)];
  if (across !== null) parts.push(T("layout.start.across", { size: size(across + selvedge(plan)) }));
  if (along !== null) parts.push(T("layout.start.along", { size: size(along) }));
  return [h("li", {}, `${parts.join(", ")}.`)];
}

function piece(plan, step, last) {
  const letters = new Map(plan.steps.map((one) => [one.piece, one.letter]));
  const known = language === "en" || has(`pieces.${step.piece.split("#")[0]}`);
  const away = (mm, key) => (mm < TOUCHES_MM ? T(`layout.at-${key}`) : T(`layout.from-${key}`, { size: size(mm) }));
  const notes = [`${away(step.y_mm, "end")}, ${away(step.x_mm + selvedge(plan), "edge")}`];
  if (last) notes.unshift(T("layout.left"));
  for (const how of ["turned", "mirrored", "crosswise"]) if (step[how]) notes.push(T(`layout.${how}`));
  for (const match of step.matches) {
    const kind = step.crosswise ? ON_CLOTH[match.match] : match.match;
    notes.push(T(`layout.meets.${kind}`, { n: match.seam, letter: letters.get(match.piece) }));
  }
  if (step.matches.length) {
    const { seam, at_mm: at } = step.matches[0];
    notes.push(T("layout.check", { n: seam, across: size(at[0] + selvedge(plan)), along: size(at[1]) }));
  }
  const room = WAYS.map((way, i) => (step.repeats_mm[i] > TOUCHES_MM ? T(`layout.go.${way}`, { size: size(step.repeats_mm[i]) }) : "")).filter(Boolean);
  if (room.length && !step.free) notes.push(T("layout.repeats", { room: room.join(", ") }));
  if (step.on_fold) notes.push(T("layout.fold"));
  const cut = step.crosswise ? [step.length_mm, step.width_mm] : [step.width_mm, step.length_mm];
  return h("li", {}, h("strong", { lang: known ? null : "en" }, `${step.letter}, ${named(step.piece)}`), `, ${sizes(...cut).join(" × ")}`,
    h("ul", { class: "small" }, notes.map((note) => h("li", {}, note))));
}
