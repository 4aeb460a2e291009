// The steps on one page: which is shown, what was measured, and what is kept.
import * as card from "./card.js";
import * as compare from "./compare.js";
import { $, fill, say } from "./dom.js";
import * as guide from "./guide.js";
import * as mark from "./mark.js";
import { prepared } from "./photo.js";
import { drawn } from "./picture.js";
import * as print from "./print.js";
import * as project from "./project.js";
import { measure } from "./server.js";
import * as store from "./store.js";
import { T, fieldUnit, imperial, setUnits, trouble, typedMm } from "./words.js";

const VIEWS = ["photo", "guide", "print", "mark", "project", "card", "saved", "compare"];
const STEP = { guide: "photo", mark: "print", card: "project", compare: "saved" }; // the step a view belongs to
const [TALL_PHONE, TALL_DESK] = [0.36, 0.7]; // of the window: the picture at most, as in page.css

let swatch = null; // {id, time, photos, m, thumb, plan}
let photos = []; // of the swatch being measured: {blob, width, height}
let address = ""; // of the first photo, in memory
let running = 0;

// -- views ---------------------------------------------------------------------------------------
function possible(view) {
  if (view === "photo" || view === "saved") return true;
  if (view === "mark") return photos.length > 0 && photos[0].width > 0;
  if (view === "guide") return guide.possible();
  if (view === "print") return Boolean(swatch);
  if (view === "project") return Boolean(swatch && (swatch.m.scale || swatch.m.classes.includes("plain")));
  return view === "card" ? Boolean(swatch && swatch.plan) : true;
}

async function show(view, { push = true, focus = true } = {}) {
  if (!VIEWS.includes(view) || !possible(view)) view = "photo";
  if (view === "guide" && !(await guide.open())) {
    view = "photo";
    say($("progress"), T("guide.closed"));
    $("shown").hidden = false;
  }
  if (view !== "guide") guide.close();
  if (view === "saved") await compare.list(reopen);
  if (view === "compare" && !(await compare.open())) view = "saved";
  for (const name of VIEWS) $(name).hidden = name !== view;
  if (view === "print") showPrint();
  if (view === "project") project.open(swatch, keep);
  if (view === "card") card.open(swatch);
  for (const button of document.querySelectorAll("nav [data-view]")) {
    const here = button.dataset.view === (STEP[view] || view);
    button.disabled = !possible(button.dataset.view);
    if (here) button.setAttribute("aria-current", "step");
    else button.removeAttribute("aria-current");
  }
  const heading = $(view).querySelector("h1");
  document.title = `${heading.textContent} – printcheck`;
  if (push && location.hash !== `#${view}`) history.pushState(null, "", `#${view}`);
  if (focus) {
    heading.focus({ preventScroll: true });
    scrollTo(0, 0);
  }
}

addEventListener("popstate", () => show(location.hash.slice(1) || "photo", { push: false }));

// -- photo ---------------------------------------------------------------------------------------
async function chosen(files) {
  if (!files.length) return;
  $("failed").hidden = true;
  $("shown").hidden = false;
  $("preview").hidden = true;
  progress(T("progress.preparing"));
  try {
    photos = await Promise.all([...files].slice(0, 6).map(prepared));
    see(URL.createObjectURL(photos[0].blob)); // upright, as it is measured
  } catch (error) {
    failed(error);
    return;
  }
  await ask({}, progress);
}

function see(shown) {
  if (address) URL.revokeObjectURL(address);
  address = shown;
  $("preview").hidden = false;
  $("preview").src = address;
}

function progress(text) {
  $("progress").classList.toggle("busy", Boolean(text));
  say($("progress"), text);
}

const LASTING = ["not-a-picture", "cut-short", "upload-too-large", "picture-too-large", "picture-too-small", "no-reference"];

function failed(error) {
  progress("");
  $("again").hidden = LASTING.includes(error.code); // a second try would end the same
  $("failed").hidden = false;
  say($("trouble"), trouble(error));
  $("failed").querySelector("[data-mark]").hidden = !photos.length || error.code !== "no-reference";
}

async function ask(scale, tell, wrong = failed) {
  const own = ++running;
  $("failed").hidden = true;
  try {
    const m = await measure(photos, scale, (text) => own === running && tell(text));
    if (own !== running) return; // another photo was chosen meanwhile
    const again = swatch && swatch.photos === photos;
    swatch = { id: again ? swatch.id : `${Date.now()}`, time: Date.now(), photos, m, thumb: photos[0].thumb, plan: null };
    sessionStorage.setItem("swatch", swatch.id);
    const kept = keep(swatch);
    tell("");
    await show("print");
    await kept;
  } catch (error) {
    if (own === running) wrong(error);
  }
}

const keep = (kept) => store.keep(kept);

// -- print ---------------------------------------------------------------------------------------
function showPrint() {
  const { m } = swatch;
  fill($("print-title"), print.title(m));
  const room = $("print-picture");
  const tall = (innerWidth < 768 ? TALL_PHONE : TALL_DESK) * innerHeight * (m.photo.width_px / m.photo.height_px);
  fill(room, drawn(address, m, Math.min(room.clientWidth, tall)));
  fill($("answers"), print.answers(m));
  fill($("print-more"), print.more(m));
  say($("known-label"), T("mark.length", { unit: fieldUnit() }));
  $("no-scale").hidden = Boolean(m.scale) || m.classes.includes("plain");
  $("print-next").hidden = !possible("project");
  $("rescale").hidden = !m.scale;
}

async function reopen(kept, view = "print") {
  swatch = kept;
  photos = kept.photos;
  sessionStorage.setItem("swatch", kept.id);
  see(URL.createObjectURL(photos[0].blob));
  $("shown").hidden = false;
  await show(view);
}

// -- marking -------------------------------------------------------------------------------------
function openMark(mode) {
  mark.open(photos[0], address, mode);
  $("mark-wrong").hidden = true;
  say($("mark-progress"), "");
  show("mark");
}

function marked() {
  const scale = mark.scale();
  const wrong = (text) => {
    $("mark-progress").classList.remove("busy");
    say($("mark-progress"), "");
    $("mark-wrong").hidden = false;
    say($("mark-wrong"), text);
  };
  if (scale.wrong) return wrong(T(scale.wrong));
  $("mark-wrong").hidden = true;
  $("mark-progress").classList.add("busy");
  return ask(scale, (text) => say($("mark-progress"), text), (error) => wrong(trouble(error)))
    .finally(() => $("mark-progress").classList.remove("busy"));
}

// A size the shopper knows of the photo or the print, in place of points
function known() {
  const mm = typedMm($("known-length").value.trim());
  const said = $("known-said");
  if (!(mm > 0)) return say(said, T("mark.no-length"));
  const done = (text) => say(said, text);
  return ask({ [$("known-what").value]: `${mm} mm` }, done, (error) => done(trouble(error)));
}

// -- everything that can be touched ----------------------------------------------------------------
$("preview").addEventListener("error", () => { $("preview").hidden = true; }); // a kind it cannot show
for (const id of ["take", "files"]) {
  $(id).addEventListener("change", (event) => {
    const files = [...event.target.files];
    event.target.value = ""; // so that the same photo can be chosen again
    chosen(files);
  });
}
document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-view], [data-mark]");
  if (!button) return;
  if (button.dataset.mark) openMark(button.dataset.mark);
  else show(button.dataset.view);
});
$("guided").hidden = !guide.possible();
$("guide-take").addEventListener("click", async () => {
  const photo = await guide.taken();
  await show("photo");
  await chosen([photo]);
});
$("again").addEventListener("click", () => ask({}, progress));
$("how-much").addEventListener("click", () => show("project"));
$("without").addEventListener("click", () => {
  $("no-scale").hidden = true;
  $("rescale").hidden = false;
  $("print-title").focus();
});
$("mark-go").addEventListener("click", marked);
$("known-go").addEventListener("click", known);
$("mark-back").addEventListener("click", () => history.back());
$("to-card").addEventListener("click", () => show("card"));
$("to-compare").addEventListener("click", () => show("compare"));
$("wishes").addEventListener("submit", (event) => event.preventDefault());
for (const radio of document.querySelectorAll("[name=units]")) {
  radio.checked = radio.value === (imperial() ? "imperial" : "metric");
  radio.addEventListener("change", () => {
    setUnits(radio.value);
    show(location.hash.slice(1) || "photo", { push: false, focus: false });
  });
}
for (const link of document.querySelectorAll("#settings a")) {
  link.addEventListener("click", () => { link.hash = location.hash; });
}
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") $("settings").open = false;
});

// -- start: what was measured last in this window comes back ---------------------------------------
if ("serviceWorker" in navigator) navigator.serviceWorker.register("/sw.js").catch(() => {});
const last = sessionStorage.getItem("swatch");
const wanted = location.hash.slice(1);
const kept = last && wanted && wanted !== "photo" ? await store.read(last) : null;
if (kept) await reopen(kept, ["guide", "mark", "compare"].includes(wanted) ? "print" : wanted);
else if (wanted === "saved") await show("saved", { push: false });
else await show("photo", { push: false, focus: false });
document.documentElement.dataset.ready = "1";
