// The answer about the print: one card, every sentence from one verdict of the measurement.
import { h, svg } from "./dom.js";
import { T, capital, has, language, number, remark, size, sizeWithError, sizes } from "./words.js";

const SURE = 0.5; // confidence, 0 to 1: below it the repeat is told as a perhaps

export const row = (label, text, small = "", big = false) =>
  h("div", { class: big ? "big" : null }, h("dt", {}, label), h("dd", {}, text, small ? h("span", { class: "small" }, small) : null));

const spoken = (key, text) => (has(key) ? T(key) : h("span", { lang: "en" }, text || ""));

export function title(m) {
  const name = m.print_name;
  if (name && has(`names.${name.name}`)) return capital(T(`names.${name.name}`));
  if (name && language === "en") return capital(name.text);
  if (m.classes.includes("plain")) return T("print.plain");
  const bars = m.stripe_or_check;
  if (bars) return T(`print.family.${bars.family}`);
  const kind = ["large", "medium", "small"].find((word) => m.classes.includes(word));
  return kind ? T(`print.size.${kind}`) : T("print.print");
}

export function repeatText(m) {
  const { repeat } = m;
  if (m.classes.includes("plain")) return T("repeat.plain");
  if (repeat.kind === "none") return T("repeat.none");
  const one = repeat.across_mm || repeat.along_mm;
  if (repeat.border && one) return T("repeat.border", { size: size(one) });
  if (repeat.kind === "beyond-photo") {
    if (one) return T(`repeat.only-${repeat.across_mm ? "across" : "along"}`, { size: size(one) });
    return repeat.at_least_mm ? T("repeat.beyond", { size: size(repeat.at_least_mm) }) : T("repeat.beyond-unknown");
  }
  if (!m.scale) return T(repeat.layout === "half-drop" ? "repeat.unscaled-drop" : "repeat.unscaled");
  const known = [repeat.across_mm, repeat.along_mm].filter(Boolean);
  const said = sizes(...known);
  const gaps = { across: repeat.across_mm && said[0], along: repeat.along_mm && said[known.length - 1] };
  const which = gaps.across && gaps.along ? "both" : gaps.across ? "across" : gaps.along ? "along" : "slant";
  const text = T(`repeat.${which}`, gaps) + (has(`repeat.layouts.${repeat.layout}`) ? `, ${T(`repeat.layouts.${repeat.layout}`)}` : "");
  return repeat.confidence < SURE ? T("repeat.perhaps", { text }) : `${text}.`;
}

// Made from what the seams need, the verdict from which everything else said of matching follows
export function matchText(m) {
  if (m.classes.includes("plain")) return T("match.plain");
  const { needs } = m.seams;
  if (needs === "none") return T(m.repeat.kind === "none" ? "match.no-repeat" : "match.none");
  if (!m.scale) return T("match.by-size");
  if (m.repeat.border) return T("match.border");
  const text = T(`match.${m.classes.includes("stripe") ? "stripes" : "needs"}.${needs}`);
  return m.repeat.basis_mm.length ? text : `${text} ${T("match.find-repeat")}`;
}

export const wayText = (m) => T(`way.${m.classes.includes("plain") ? "plain" : m.direction.way || "unknown"}`);

function hardText(m) {
  const reason = m.difficulty.reasons[0];
  const why = reason ? spoken(`reasons.${reason.code}`, reason.text) : "";
  return row(T("print.hard"), T(`hard.${m.difficulty.level}`), why);
}

export function answers(m) {
  return [
    row(T("print.repeat"), repeatText(m)),
    hardText(m),
    row(T("print.match"), matchText(m)),
    row(T("print.way"), wayText(m)),
  ];
}

export function more(m) {
  const parts = [];
  if (m.colours && m.colours.length) parts.push(h("h2", {}, T("print.colours")), colours(m.colours));
  const reasons = m.difficulty.reasons.slice(1);
  if (reasons.length) {
    parts.push(h("h2", {}, T("print.why")), h("ul", {}, reasons.map((r) => h("li", {}, spoken(`reasons.${r.code}`, r.text)))));
  }
  parts.push(h("details", {}, h("summary", {}, T("print.sure")), h("dl", { class: "card" }, sure(m))));
  const told = remarks(m.findings);
  if (told) parts.push(told);
  return parts;
}

// Colours from CIELAB (D65) to sRGB, for small squares beside their names
function rgb([L, a, b]) {
  const fy = (L + 16) / 116;
  const back = (t) => (t > 6 / 29 ? t ** 3 : 3 * (6 / 29) ** 2 * (t - 4 / 29));
  const [x, y, z] = [0.95047 * back(fy + a / 500), back(fy), 1.08883 * back(fy - b / 200)];
  const linear = [3.2406 * x - 1.5372 * y - 0.4986 * z, -0.9689 * x + 1.8758 * y + 0.0415 * z, 0.0557 * x - 0.204 * y + 1.057 * z];
  return `rgb(${linear.map((v) => Math.round(255 * Math.min(1, Math.max(0, v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055)))).join(" ")})`;
}

function colours(list) {
  return h("ul", { class: "swatch-colours" }, list.map((colour) =>
    h("li", {},
      svg("svg", { viewBox: "0 0 1 1", "aria-hidden": "true" }, svg("rect", { width: 1, height: 1, fill: rgb(colour.lab) })),
      spoken(`colours.${colour.name}`, colour.name), ` ${number(100 * colour.share, 0)} %`)));
}

function sure(m) {
  const rows = [];
  if (m.scale) {
    const error = number(100 * m.scale.relative_error, 1);
    rows.push(row(T("sure.scale"), T("sure.scale-text", { what: T(`sources.${m.scale.source}`), error })));
    if (m.scale.tilt_deg !== null) rows.push(row(T("sure.tilt"), `${number(m.scale.tilt_deg, 0)}°`));
  }
  const { repeat, motif } = m;
  for (const way of ["across", "along"]) {
    const mm = repeat[`${way}_mm`];
    if (mm !== null && m.scale) rows.push(row(T(`sure.${way}`), sizeWithError(mm, repeat.error_mm)));
  }
  if (motif.width_mm !== null) rows.push(row(T("sure.motif"), sizes(motif.width_mm, motif.height_mm).join(" × ")));
  if (repeat.repeats_seen) rows.push(row(T("sure.seen"), number(repeat.repeats_seen, 1)));
  rows.push(row(T("sure.confidence"), `${number(100 * repeat.confidence, 0)} %`));
  return rows;
}

// What asks for care, and below it what only explains
export function remarks(findings) {
  const list = (wanted) => findings.filter((f) => (f.severity === "note") !== wanted).map(remark).filter(Boolean);
  const bullets = (texts) => h("ul", {}, texts.map((text) => h("li", {}, text)));
  const [grave, notes] = [list(true), list(false)];
  const parts = [];
  if (grave.length) parts.push(h("h2", {}, T("print.remarks")), bullets(grave));
  if (notes.length) parts.push(h("details", {}, h("summary", {}, T("print.notes")), bullets(notes)));
  return parts.length ? h("div", {}, parts) : null;
}
