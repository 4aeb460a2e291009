// The shop card: what to buy and when not to cut, as one file that needs no network.
import { $, fill, h } from "./dom.js";
import { figures } from "./project.js";
import { repeatText, title } from "./print.js";
import { T, cloth, language, locale, money, number, size, sizes } from "./words.js";

const STYLE = "body{font:16px/1.45 system-ui,sans-serif;margin:1rem auto;max-width:34rem;padding:0 1rem;color:#1d2530;background:#fff}img{float:right;width:32%;max-width:9rem;margin:0 0 .5rem .8rem;border-radius:.4rem}h2{margin:.2rem 0}h3{margin:.9rem 0 .2rem;clear:both}.buy{font-size:1.5rem;font-weight:700;margin:.1rem 0 .5rem}dl{clear:both}dt{color:#545f6d;font-size:.9rem;margin-top:.5rem}dd{margin:0;font-weight:600}small{font-weight:400}ul{padding-left:1.2rem}";

function unless(swatch) {
  const { m, plan } = swatch;
  const { repeat } = m;
  const list = [];
  if (repeat.across_mm || repeat.along_mm) {
    const said = sizes(...[repeat.across_mm, repeat.along_mm].filter(Boolean)).join(" × ");
    const error = repeat.error_mm ? size(Math.max(2 * repeat.error_mm, 1)) : size(2);
    list.push(T("card.unless.repeat", { sizes: said, error }));
  }
  list.push(T("card.unless.width", { width: size(plan.cloth.width_mm) }));
  if (plan.cloth.shrink_along > 0) list.push(T("card.unless.wash", { percent: number(100 * plan.cloth.shrink_along, (1000 * plan.cloth.shrink_along) % 10 < 0.5 ? 0 : 1) }));
  if (!m.direction.way || m.direction.way === "one-way") list.push(T("card.unless.way"));
  if (plan.matched) list.push(T("card.unless.grain"));
  list.push(T("card.unless.flaw"));
  return list;
}

function content(swatch) {
  const { m, plan } = swatch;
  const f = figures(plan);
  const line = (label, ...text) => [h("dt", {}, label), h("dd", {}, text)];
  const paid = (cost) => money(cost, f.currency);
  return [
    swatch.thumb ? h("img", { src: swatch.thumb, alt: title(m) }) : null,
    h("h2", {}, `${plan.title} – ${title(m)}`),
    h("p", { class: "buy" }, `${T("buy.buy")}: ${cloth(f.advised)}`),
    h("p", {}, repeatText(m)),
    h("dl", {},
      paid(f.advisedCost) ? line(T("card.cost"), paid(f.advisedCost)) : null,
      line(T("card.worst"), cloth(f.worst), h("br"), h("small", {}, T("buy.worst-why"))),
      plan.matched && plan.seams.length ? line(T("buy.unmatched"), [cloth(f.unmatched), paid(f.unmatchedCost)].filter(Boolean).join(" · ")) : null,
      line(T("card.width"), size(plan.cloth.width_mm))),
    h("h3", {}, T("card.not-if")),
    h("ul", {}, unless(swatch).map((text) => h("li", {}, text))),
    h("p", {}, T("card.made", { date: new Date().toLocaleDateString(locale, { dateStyle: "long" }) })),
  ];
}

// One file with its own style and picture; nodes are written out by the browser, so every text is escaped
function file(swatch) {
  const name = `${swatch.plan.title} – printcheck`;
  const page = document.implementation.createHTMLDocument(name);
  page.documentElement.lang = language;
  page.head.prepend(h("meta", { charset: "utf-8" }), h("meta", { name: "viewport", content: "width=device-width" }));
  page.body.append(h("main", {}, content(swatch)));
  const styled = page.documentElement.outerHTML.replace("</head>", `<style>${STYLE}</style></head>`);
  const text = `<!doctype html>\n${styled}`;
  return new File([text], `${T("card.file")}.html`, { type: "text/html" });
}

let address = "";

export function open(swatch) {
  fill($("card-shown"), h("article", { class: "shop-card" }, content(swatch)));
  const made = file(swatch);
  if (address) URL.revokeObjectURL(address);
  address = URL.createObjectURL(made);
  const save = $("card-save");
  save.href = address;
  save.download = made.name;
  save.onclick = () => fill($("card-said"), T("card.saved"));
  fill($("card-said"));
  const share = $("card-share");
  share.hidden = !(navigator.canShare && navigator.canShare({ files: [made] }));
  share.onclick = () => navigator.share({ files: [made], title: made.name }).catch(() => {});
}
