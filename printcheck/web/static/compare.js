// Kept swatches, and two of them side by side at one true scale.
import { $, fill, h, say } from "./dom.js";
import { figures, request, titleOf } from "./project.js";
import { matchText, repeatText, title, wayText } from "./print.js";
import { length } from "./server.js";
import * as store from "./store.js";
import { T, cloth, locale, money, size } from "./words.js";

const ORDER = ["easy", "care", "hard"];
const SIDE = 480; // px of the drawn squares
let picked = [];

export async function list(show) {
  const found = await store.all();
  picked = picked.filter((id) => found.some((swatch) => swatch.id === id));
  say($("saved-how"), T(found.length ? "saved.how" : "saved.none"));
  fill($("swatches"), found.map((swatch) => item(swatch, show)));
  ready();
}

function item(swatch, show) {
  const name = title(swatch.m);
  const when = new Date(swatch.time).toLocaleString(locale, { dateStyle: "medium", timeStyle: "short" });
  const tick = h("input", { type: "checkbox", value: swatch.id, checked: picked.includes(swatch.id), onchange: () => pick(swatch.id, tick.checked) });
  return h("li", {},
    h("img", { src: swatch.thumb || "/static/icon.svg", alt: "" }),
    h("div", {}, h("strong", {}, name), h("div", { class: "small" }, repeatText(swatch.m)), h("div", { class: "small" }, when)),
    h("div", { class: "row" },
      h("label", {}, tick, ` ${T("saved.pick")}`, h("span", { class: "hidden" }, ` ${name}, ${when}`)),
      h("button", { type: "button", onclick: () => show(swatch) }, T("saved.open")),
      h("button", { type: "button", "aria-label": T("saved.remove-what", { name }), onclick: async () => { await store.remove(swatch.id); await list(show); $("saved").querySelector("h1").focus(); } }, T("saved.remove"))));
}

function pick(id, on) {
  picked = on ? [...picked, id].slice(-2) : picked.filter((other) => other !== id);
  for (const box of $("swatches").querySelectorAll("input")) box.checked = picked.includes(box.value);
  ready();
}

const ready = () => { $("to-compare").disabled = picked.length !== 2; };

export async function open() {
  const pair = (await Promise.all(picked.map(store.read))).filter(Boolean);
  if (pair.length !== 2) return false;
  fill($("compare-pictures"), await pictures(pair));
  table(pair, [null, null]);
  say($("compare-said"), verdict(pair));
  plans(pair);
  return true;
}

// Both cut to squares of the same millimetres, so that a hand's breadth is as wide on either
async function pictures(pair) {
  const scaled = pair.every((swatch) => swatch.m.scale);
  const images = await Promise.all(pair.map((swatch) => createImageBitmap(swatch.photos[0].blob).catch(() => null)));
  const perMm = (i) => images[i].width / pair[i].m.photo.width_px / pair[i].m.scale.mm_per_px;
  const shown = scaled && images.every(Boolean) ? Math.min(...images.map((image, i) => Math.min(image.width, image.height) / perMm(i))) : 0;
  return pair.map((swatch, i) => {
    const canvas = h("canvas", { width: SIDE, height: SIDE, role: "img", "aria-label": title(swatch.m) });
    const image = images[i];
    if (image) {
      const side = shown ? shown * perMm(i) : Math.min(image.width, image.height);
      canvas.getContext("2d").drawImage(image, (image.width - side) / 2, (image.height - side) / 2, side, side, 0, 0, SIDE, SIDE);
    }
    const note = shown ? T("compare.shows", { size: size(shown) }) : T("compare.no-scale");
    return h("figure", {}, canvas, h("figcaption", {}, h("strong", {}, `${"AB"[i]}: ${title(swatch.m)}`), h("br"), note));
  });
}

function verdict(pair) {
  const [a, b] = pair.map((swatch) => ORDER.indexOf(swatch.m.difficulty.level));
  return a === b ? T("compare.alike") : T("compare.easier", { which: a < b ? "A" : "B" });
}

function table(pair, plans) {
  const line = (label, tell) => h("tbody", {}, h("tr", {}, h("th", { colspan: 2, scope: "rowgroup", class: "over-row" }, label)),
    h("tr", {}, pair.map((swatch, i) => h("td", {}, tell(swatch.m, i)))));
  const f = plans.map((plan) => (plan ? figures(plan) : null));
  const rows = [
    line(T("print.hard"), (m) => T(`hard.${m.difficulty.level}`)),
    line(T("print.repeat"), repeatText),
    line(T("print.match"), matchText),
    line(T("print.way"), wayText),
  ];
  if (f.some(Boolean)) {
    rows.push(line(T("compare.buys", { what: plans.find(Boolean).title }), (_, i) => (f[i] ? [cloth(f[i].advised), money(f[i].advisedCost, f[i].currency)].filter(Boolean).join(" · ") : T("compare.not-planned"))));
  }
  fill($("compare-table"), h("table", {},
    h("thead", {}, h("tr", {}, ["A", "B"].map((name) => h("th", { scope: "col" }, name)))), rows));
}

// How much each needs of the project at hand; without a network what was planned before
async function plans(pair) {
  const made = await Promise.all(pair.map(async (swatch) => {
    if (!swatch.m.scale) return null;
    const asked = request(swatch.m);
    try {
      const plan = await length(asked, () => {});
      return { ...plan, title: titleOf(asked.kind) };
    } catch {
      return swatch.plan || null;
    }
  }));
  table(pair, made);
  if (!made.every(Boolean)) return;
  const [a, b] = made.map((plan) => figures(plan).advised);
  const needs = Math.abs(a - b) < 1 ? T("compare.same-length") : T("compare.needs-more", { which: a > b ? "A" : "B", size: size(Math.abs(a - b)) });
  say($("compare-said"), `${verdict(pair)} ${needs}`);
}
