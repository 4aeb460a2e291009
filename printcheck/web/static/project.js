// What is sewn from the print: kind, sizes, cloth; planned anew after each change, from the measurement at hand.
import { $, fill, h, say } from "./dom.js";
import { drawing, steps } from "./layout.js";
import { remarks, row } from "./print.js";
import { length } from "./server.js";
import { T, cloth, plainNumber, fieldMm, fieldUnit, imperial, kinds, millimetres, money, named, size, toField, trouble, typedMm } from "./words.js";

const PAUSE = 450; // ms after the last change before it is planned
const WIDTHS = [900, 1100, 1140, 1400, 1500]; // mm: usual widths of cloth, common practice
const INCH = 25.4;
const FIRST_KINDS = 6; // shown at once; the others one tap further
let swatch = null;
let planned = null; // told of each plan
let timer = 0;
let asking = null;

const settings = JSON.parse(localStorage.getItem("project") || "{}");
settings.sizes = settings.sizes || {};
settings.cloth = settings.cloth || {};
const kindOf = () => kinds.find((kind) => kind.name === settings.kind) || kinds[0];
const remember = () => localStorage.setItem("project", JSON.stringify(settings));

export function open(chosen, tell) {
  const fresh = !swatch || swatch.id !== chosen.id || swatch.m !== chosen.m;
  swatch = chosen;
  planned = tell;
  if (!settings.kind || !kinds.some((kind) => kind.name === settings.kind)) settings.kind = kinds[0].name;
  draw();
  if (fresh || !swatch.plan) plan();
  else show(swatch.plan);
}

function draw() {
  const [first, more] = [kinds.slice(0, FIRST_KINDS), kinds.slice(FIRST_KINDS)];
  fill($("kinds"), first.map(kindChip));
  fill($("more-kinds"), more.map(kindChip));
  if (more.some((kind) => kind.name === settings.kind)) $("more-kinds").parentElement.open = true;
  sizes();
  clothFields();
}

function kindChip(kind) {
  const choose = () => { settings.kind = kind.name; sizes(); changed(); };
  const radio = h("input", { type: "radio", name: "kind", value: kind.name, checked: kind.name === settings.kind, onchange: choose });
  return h("label", {}, radio, h("span", { lang: kind.lang }, kind.title));
}

function sizes() {
  const kind = kindOf();
  const own = (settings.sizes[kind.name] = settings.sizes[kind.name] || {});
  fill($("sizes"), kind.sizes.map((one) => sizeField(one, own)));
}

function sizeField(one, own) {
  const id = `size-${one.name}`;
  const label = h("label", { for: id, lang: one.lang }, one.text);
  if (one.kind === "yes-no" || one.kind === "choice") {
    const free = one.kind === "choice"; // sizes of a table have the same letters in every language
    const told = (word) => (free ? word || T("project.no-choice") : T(`project.${word}`));
    const choice = h("select", { id, onchange: () => { own[one.name] = choice.value; changed(); } },
      (free ? ["", ...one.words] : ["no", "yes"]).map((word) => h("option", { value: word, selected: (own[one.name] || one.default) === word }, told(word))));
    return h("div", { class: "size" }, label, choice);
  }
  if (!["length", "count", "number"].includes(one.kind)) {
    const typed = h("input", { id, type: "text", value: own[one.name] || one.default, oninput: () => { own[one.name] = typed.value.trim(); changed(); } });
    return h("div", { class: "size" }, label, typed);
  }
  const isLength = one.kind === "length";
  const usual = isLength ? millimetres(one.default) : Number(one.default);
  const value = own[one.name] !== undefined ? (isLength ? millimetres(own[one.name]) : Number(own[one.name])) : usual;
  const show = (v) => (Number.isFinite(v) ? (isLength ? toField(v) : plainNumber(v)) : "");
  const derived = one.default === ""; // from the other sizes, where it is left out
  const span = Number.isFinite(usual) && usual > 0 ? usual : isLength ? 500 : 1;
  const least = Math.max(one.least, span / 3);
  const most = Math.min(one.most, Math.max(span * 2.5, one.kind === "count" ? 10 : 0));
  const step = isLength ? (imperial() ? INCH / 4 : span < 100 ? 1 : 5) : one.kind === "count" ? 1 : 0.1;
  const field = h("input", { id, type: "text", inputmode: "decimal", value: show(value), autocomplete: "off" });
  const slider = h("input", { type: "range", min: one.kind === "count" ? Math.ceil(least) : least, max: most, step, value: Number.isFinite(value) ? value : span, "aria-label": T("project.slider", { text: one.text }) });
  const set = (v) => { own[one.name] = isLength ? `${v} mm` : String(v); changed(); };
  slider.addEventListener("input", () => {
    const v = one.kind === "count" ? Math.round(slider.value) : Math.round(slider.value * 100) / 100;
    field.value = show(v);
    field.removeAttribute("aria-invalid");
    set(v);
  });
  field.addEventListener("input", () => {
    const typed = field.value.replace(",", ".").trim();
    const v = isLength ? typedMm(typed) : Number(typed);
    if (typed === "" && derived) { delete own[one.name]; field.removeAttribute("aria-invalid"); changed(); return; }
    const sound = typed !== "" && Number.isFinite(v) && v >= one.least - 1e-6 && v <= one.most + 1e-6;
    if (!sound) { field.setAttribute("aria-invalid", "true"); return; }
    field.removeAttribute("aria-invalid");
    slider.value = v;
    set(v);
  });
  return h("div", { class: "size" }, label, derived ? null : slider, h("span", { class: "field" }, field, isLength ? fieldUnit() : ""));
}

function clothFields() {
  const own = settings.cloth;
  const mm = (key, usual) => (own[key] !== undefined ? own[key] : usual);
  const kind = kindOf();
  const lengths = [
    ["width", mm("width", kind.width_mm)],
    ["have", own.have],
    ["sold_by", mm("sold_by", imperial() ? INCH * 9 : 100)],
  ];
  const list = h("datalist", { id: "widths" }, WIDTHS.map((w) => h("option", { value: toField(w) })));
  const parts = lengths.map(([key, value]) => clothField(key, value === undefined ? "" : toField(value), (text) => {
    const v = text === "" ? undefined : Number(text.replace(",", ".")) * fieldMm();
    if (v !== undefined && !(v > 0)) return false;
    own[key] = v;
    return true;
  }, fieldUnit(), key === "width" ? "widths" : null));
  parts.push(clothField("shrink", plainNumber(100 * mm("shrink", kind.shrink_along)), (text) => {
    const v = Number(text.replace(",", ".")) / 100;
    if (!(v >= 0 && v <= 0.5)) return false;
    own.shrink = v;
    return true;
  }, "%"));
  parts.push(clothField("price", own.price === undefined ? "" : plainNumber(own.price), (text) => {
    const v = text === "" ? undefined : Number(text.replace(",", "."));
    if (v !== undefined && !(v >= 0)) return false;
    own.price = v;
    return true;
  }, T(imperial() ? "project.per-yard" : "project.per-metre")));
  parts.push(clothField("currency", own.currency || T("project.usual-currency"), (text) => {
    own.currency = text.slice(0, 12);
    return text !== "";
  }));
  fill($("cloth"), parts, list);
}

function clothField(key, value, read, unit = "", list = null) {
  const field = h("input", { id: `cloth-${key}`, type: "text", inputmode: key === "currency" ? "text" : "decimal", value, list, autocomplete: "off" });
  field.addEventListener("input", () => {
    const sound = read(field.value.trim());
    if (sound) { field.removeAttribute("aria-invalid"); changed(); } else field.setAttribute("aria-invalid", "true");
  });
  return h("div", {}, h("label", { for: `cloth-${key}` }, T(`project.fields.${key}`), unit ? ` (${unit})` : ""), field);
}

function changed() {
  remember();
  clearTimeout(timer);
  timer = setTimeout(plan, PAUSE);
}

export const titleOf = (name) => (kinds.find((kind) => kind.name === name) || kinds[0]).title;

// The request for a swatch with the settings at hand
export function request(m) {
  const kind = kindOf();
  const { overlay, ...measurement } = m;
  const own = settings.cloth;
  const usual = T("project.usual-currency");
  const asked = { measurement, kind: kind.name, sizes: {}, cloth: {} };
  for (const one of kind.sizes) {
    const value = (settings.sizes[kind.name] || {})[one.name];
    if (value !== undefined && value !== "") asked.sizes[one.name] = value;
  }
  asked.cloth.width = `${own.width || kind.width_mm} mm`;
  asked.cloth.sold_by = `${own.sold_by || (imperial() ? INCH * 9 : 100)} mm`;
  if (own.have) asked.have = `${own.have} mm`;
  if (own.shrink !== undefined) asked.cloth.shrink_along = `${Math.round(own.shrink * 1e4) / 100} %`;
  if (own.price !== undefined) {
    Object.assign(asked.cloth, { price: own.price, price_per: imperial() ? "1 yd" : "1 m", currency: own.currency || usual });
  }
  return asked;
}

async function plan() {
  if (asking) asking.abort();
  asking = new AbortController();
  const { signal } = asking;
  const status = $("planning");
  status.classList.add("busy");
  $("plan-trouble").hidden = true;
  try {
    const made = await length(request(swatch.m), (text) => { if (!signal.aborted) say(status, text); }, signal);
    if (signal.aborted) return;
    swatch.plan = { ...made, kind: kindOf().name, title: kindOf().title };
    show(swatch.plan);
    planned(swatch);
    say(status, T("project.planned"));
  } catch (error) {
    if (error.name === "AbortError") return;
    say(status, "");
    $("plan-trouble").hidden = false;
    say($("plan-trouble"), trouble(error));
    $("plan").hidden = $("cut").hidden = true;
  } finally {
    if (!signal.aborted) status.classList.remove("busy");
  }
}

// What to buy: matched as advised, not matched, and at worst; of a swatch kept by an older page, what it has
export function figures({ buy }) {
  const worst = buy.worst_mm || buy.advised_mm;
  return { advised: buy.advised_mm, unmatched: buy.unmatched_mm, advisedCost: buy.advised_cost, unmatchedCost: buy.unmatched_cost, worst, currency: buy.currency };
}

export function buyRows(plan) {
  const f = figures(plan);
  const matched = plan.matched !== null && plan.seams.length > 0;
  const paid = (mm, cost) => [cloth(mm), money(cost, f.currency)].filter(Boolean).join(" · ");
  const rows = [row(T("buy.buy"), paid(f.advised, f.advisedCost), T(matched ? "buy.matched" : plan.matched === null ? "buy.cannot" : "buy.no-seam"), true)];
  if (matched) rows.push(row(T("buy.unmatched"), paid(f.unmatched, f.unmatchedCost), f.unmatched < f.advised ? T("buy.more", { size: size(f.advised - f.unmatched) }) : T("buy.no-more")));
  if (f.worst > f.advised) rows.push(row(T("buy.worst"), cloth(f.worst), T("buy.worst-why")));
  return rows;
}

// Does what is at hand do, and if not, what could be given up
function haveSaid({ have, buy }) {
  if (!have) return [];
  if (have.does) {
    const missing = buy.worst_mm - have.length_mm;
    return [h("p", {}, missing > 0 ? T("have.just", { size: size(missing) }) : T("have.yes", { left: size(have.left_over_mm) }))];
  }
  const parts = [h("p", {}, T("have.no", { size: size(have.needs_mm - have.length_mm) }))];
  if (have.give_up.length) {
    const told = (way) => {
      const what = T(`give.${way.what}`, { pieces: named(way.pieces), by: way.by_mm === null ? "" : size(way.by_mm) });
      return T(way.does ? "have.does" : "have.does-not", { what, size: size(Math.max(0, way.needs_mm - have.length_mm)) });
    };
    parts.push(h("p", {}, T("have.give")), h("ul", {}, have.give_up.map((way) => h("li", {}, told(way)))));
  }
  return parts;
}

function show(plan) {
  $("plan").hidden = false;
  fill($("buy"), buyRows(plan));
  const have = haveSaid(plan);
  $("have-said").hidden = !have.length;
  fill($("have-said"), have);
  $("cut").hidden = false;
  fill($("layout"), drawing(plan, $("layout").clientWidth || 320));
  fill($("steps"), steps(plan));
  const told = remarks(plan.findings);
  fill($("plan-remarks"), told ? [told] : []);
}
