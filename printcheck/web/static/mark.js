// Points put on the photo by finger, mouse or arrow keys, with a magnifier under the finger.
import { $, fill, h, say, svg } from "./dom.js";
import { T, plainNumber, fieldUnit, imperial, sizes, typedMm } from "./words.js";

const ZOOM = 3; // of the magnifier, on shown pixels
const LENS = 132; // CSS px across
// what people have at hand: ISO/IEC 7810, ISO 216, US letter (from memory), coins by their mints (from memory)
const LENGTHS = { card: 85.6, "card-short": 53.98, A4: 297, "A4-short": 210, letter: 279.4, euro2: 25.75, euro1: 23.25, quarter: 24.26 };
const RECTANGLES = { card: [85.6, 53.98], A6: [148, 105], A5: [210, 148], A4: [297, 210], letter: [279.4, 215.9] };

let view = null; // {photo, points, touched, mode, picture}

export function open(photo, address, mode, done) {
  view = { photo, mode, touched: [], done };
  const { width, height } = photo;
  view.points =
    mode === "span"
      ? [[width * 0.3, height * 0.5], [width * 0.7, height * 0.5]]
      : [[0.3, 0.33], [0.7, 0.33], [0.7, 0.67], [0.3, 0.67]].map(([x, y]) => [width * x, height * y]);
  fill($("mark-title"), T(`mark.${mode}.title`));
  fill($("mark-how"), T(`mark.${mode}.how`));
  view.image = h("img", { src: address, alt: T("mark.photo"), draggable: "false" });
  view.lines = svg("svg", { viewBox: `0 0 ${width} ${height}`, class: "over", "aria-hidden": "true" });
  view.lens = h("canvas", { class: "lens", width: LENS, height: LENS, "aria-hidden": "true", hidden: true });
  view.handles = view.points.map((_, i) => handle(i));
  const stage = h("div", { class: "stage" }, view.image, view.lines, view.handles, view.lens);
  stage.addEventListener("pointerdown", tapped);
  view.stage = stage;
  fill($("mark-stage"), stage);
  fill($("mark-size"), mode === "span" ? lengthFields() : rectangleFields());
  draw();
}

function handle(i) {
  return h("button", {
    type: "button",
    class: "handle",
    "aria-describedby": "mark-keys",
    onpointerdown: (event) => drag(event, i),
    onkeydown: (event) => key(event, i),
  }, String(i + 1));
}

function draw() {
  const { photo, points } = view;
  const d = `M${points.map((p) => p.join(" ")).join("L")}${view.mode === "corners" ? "Z" : ""}`;
  fill(view.lines, svg("path", { d, class: "halo" }), svg("path", { d, class: "cell" }));
  points.forEach(([x, y], i) => {
    view.handles[i].style.left = `${(100 * x) / photo.width}%`;
    view.handles[i].style.top = `${(100 * y) / photo.height}%`;
    view.handles[i].setAttribute("aria-label", T("mark.point", { n: i + 1, x: Math.round(x), y: Math.round(y) }));
  });
}

const kept = (value, most) => Math.min(Math.max(value, 0), most);

function move(i, x, y) {
  view.points[i] = [kept(x, view.photo.width), kept(y, view.photo.height)];
  draw();
}

function place(event) {
  const box = view.image.getBoundingClientRect();
  return [
    ((event.clientX - box.left) / box.width) * view.photo.width,
    ((event.clientY - box.top) / box.height) * view.photo.height,
  ];
}

// A tap beside the points puts the next untouched one there, then the nearest.
function tapped(event) {
  if (event.target.classList.contains("handle")) return;
  const [x, y] = place(event);
  const left = view.points.map((_, i) => i).filter((i) => !view.touched.includes(i));
  const near = (i) => Math.hypot(view.points[i][0] - x, view.points[i][1] - y);
  const i = left.length ? left[0] : view.points.map((_, n) => n).sort((a, b) => near(a) - near(b))[0];
  move(i, x, y);
  drag(event, i);
}

function drag(event, i) {
  event.preventDefault();
  view.touched.push(i);
  const grabbed = view.handles[i];
  const from = place(event);
  const start = view.points[i];
  grabbed.focus({ preventScroll: true });
  const follow = (moved) => {
    const [x, y] = place(moved);
    move(i, start[0] + x - from[0], start[1] + y - from[1]);
    magnify(i);
  };
  const end = () => {
    removeEventListener("pointermove", follow);
    removeEventListener("pointerup", end);
    removeEventListener("pointercancel", end);
    view.lens.hidden = true;
    tell(i);
  };
  addEventListener("pointermove", follow);
  addEventListener("pointerup", end);
  addEventListener("pointercancel", end);
  magnify(i);
}

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

function key(event, i) {
  const arrow = ARROWS[event.key];
  if (!arrow) return;
  event.preventDefault();
  const step = event.shiftKey ? 10 : 1; // photo pixels
  view.touched.push(i);
  move(i, view.points[i][0] + step * arrow[0], view.points[i][1] + step * arrow[1]);
  magnify(i);
  tell(i);
  clearTimeout(view.hide);
  view.hide = setTimeout(() => (view.lens.hidden = true), 1500);
}

function tell(i) {
  const [x, y] = view.points[i];
  say($("mark-said"), T("mark.point", { n: i + 1, x: Math.round(x), y: Math.round(y) }));
}

// The lens stands above the finger, or below it near the top of the photo.
function magnify(i) {
  const [x, y] = view.points[i];
  const { lens, image, photo } = view;
  const shown = image.clientWidth / photo.width;
  const side = LENS / (shown * ZOOM);
  const pen = lens.getContext("2d");
  pen.fillStyle = "#888";
  pen.fillRect(0, 0, LENS, LENS);
  const real = image.naturalWidth / photo.width;
  pen.drawImage(image, (x - side / 2) * real, (y - side / 2) * real, side * real, side * real, 0, 0, LENS, LENS);
  for (const [colour, width] of [["#000", 3], ["#fff", 1]]) {
    pen.strokeStyle = colour;
    pen.lineWidth = width;
    pen.beginPath();
    pen.moveTo(LENS / 2, 0);
    pen.lineTo(LENS / 2, LENS);
    pen.moveTo(0, LENS / 2);
    pen.lineTo(LENS, LENS / 2);
    pen.stroke();
  }
  const above = y * shown > LENS + 40 ? -LENS - 36 : 36;
  lens.style.left = `${kept(x * shown - LENS / 2, image.clientWidth - LENS)}px`;
  lens.style.top = `${y * shown + above}px`;
  lens.hidden = false;
}

function lengthFields() {
  const field = h("input", { id: "mark-length", type: "text", inputmode: "text", autocomplete: "off", value: text(LENGTHS.card) });
  const choice = h(
    "select",
    {
      id: "mark-what",
      onchange: () => {
        if (choice.value === "hand") field.value = localStorage.getItem("hand") || "";
        else if (choice.value !== "own") field.value = text(LENGTHS[choice.value]);
        if (choice.value === "hand" || choice.value === "own") field.focus();
      },
    },
    [...Object.keys(LENGTHS), "hand", "own"].map((name) => h("option", { value: name }, T(`mark.lengths.${name}`))),
  );
  field.addEventListener("input", () => {
    if (choice.value !== "hand") choice.value = "own";
  });
  return [
    h("label", { for: "mark-what" }, T("mark.what")), choice,
    h("label", { for: "mark-length" }, T("mark.length", { unit: fieldUnit() })), field,
  ];
}

const text = (mm) => (imperial() ? `${plainNumber(mm / 25.4)} ${fieldUnit()}` : `${plainNumber(mm)} mm`);

function rectangleFields() {
  return [
    h("label", { for: "mark-what" }, T("mark.what")),
    h("select", { id: "mark-what" }, Object.entries(RECTANGLES).map(([name, [a, b]]) =>
      h("option", { value: name }, `${T(`mark.rectangles.${name}`)} (${sizes(a, b).join(" × ")})`))),
  ];
}

// The scale as a field of the request, or a word for what is missing
export function scale() {
  const at = ([x, y]) => `${(x - 0.5).toFixed(1)},${(y - 0.5).toFixed(1)}`;
  if (view.mode === "span") {
    const typed = $("mark-length").value.trim();
    const mm = typedMm(typed);
    const [a, b] = view.points;
    if (!(mm > 0)) return { wrong: "mark.no-length" };
    if (Math.hypot(a[0] - b[0], a[1] - b[1]) < 20) return { wrong: "mark.too-near" };
    if ($("mark-what").value === "hand") localStorage.setItem("hand", typed);
    return { span: `${at(a)},${at(b)}=${mm}mm` };
  }
  const middle = [0, 1].map((axis) => view.points.reduce((sum, p) => sum + p[axis], 0) / 4);
  const turn = (p) => Math.atan2(p[1] - middle[1], p[0] - middle[0]);
  const ring = [...view.points].sort((a, b) => turn(a) - turn(b)); // tapped in any order
  const side = (i, j) => Math.hypot(ring[i][0] - ring[j][0], ring[i][1] - ring[j][1]);
  const [long, short] = RECTANGLES[$("mark-what").value];
  const lies = side(0, 1) + side(2, 3) >= side(1, 2) + side(3, 0);
  return { corners: `${ring.map(at).join(",")}=${lies ? long : short}x${lies ? short : long}mm` };
}
