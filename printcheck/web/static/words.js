// The page's words in its language, and its numbers in the reader's units.
const data = JSON.parse(document.getElementById("data").textContent);
export const language = data.lang;
export const locale = navigator.languages.find((one) => one.startsWith(language)) || language; // of dates
export const kinds = data.kinds;

const INCH = 25.4; // mm, exact (international yard and pound agreement, 1959)
const NB = "\u00a0"; // between a number and its unit no line breaks
const EIGHTHS = ["", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"];

let units = localStorage.getItem("units") || data.words.units.usual;
export const imperial = () => units === "imperial";
export function setUnits(chosen) {
  units = chosen;
  localStorage.setItem("units", chosen);
}

function found(key) {
  return key.split(".").reduce((node, part) => (node && typeof node === "object" ? node[part] : undefined), data.words);
}

export const has = (key) => typeof found(key) === "string";

// T("buy.matched", {length: "1.9 m"}): the text of a key with its gaps filled
export function T(key, gaps = {}) {
  const text = found(key);
  if (typeof text !== "string") return key;
  return text.replace(/\{(\w+)\}/g, (_, name) => (name in gaps ? gaps[name] : ""));
}

export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

// A remark of the server: its words of this language, with its values in the reader's units
export function remark(found) {
  const words = data.words.findings[found.code];
  if (!words) return "";
  return capital(words.replace(/\{(\w+)(?::([^}]*))?\}/g, (_, name, how) => said(found.values, name, how || "")));
}

function said(values, name, how) {
  const value = values[name];
  if (value === undefined && name.endsWith("_mm")) return `${number(values[name.replace(/mm$/, "px")], 0)}${NB}px`; // no scale
  if (typeof value === "string") return named(value);
  if (how === "size") return size(value);
  if (how === "buy") return cloth(value);
  if (how === "exact") return `${number(value, 1)}${NB}mm`;
  if (how.startsWith("count ")) {
    const [one, many] = how.slice(6).split("|");
    return `${number(value, 0)} ${value === 1 ? one : many || `${one}s`}`;
  }
  const fixed = /^\.(\d)f$/.exec(how);
  return fixed ? number(value, Number(fixed[1])) : value.toLocaleString(language, { maximumSignificantDigits: how === ".2g" ? 2 : 6 });
}

// Names in the page's language: of pieces and their copies, of seams, of what is in a list
export function named(text) {
  const { values, pieces } = data.words;
  if (values[text]) return values[text];
  return text.split(/(^The seam|^Seam |\(|\)|, | and | to )/).map((part) => {
    const [name, copy] = part.split("#");
    const own = values[part] || pieces[name] || pieces[name.charAt(0).toLowerCase() + name.slice(1)] || name;
    return copy ? `${own}${NB}${copy}` : own;
  }).join("");
}

export const number = (value, digits) =>
  value.toLocaleString(language, { minimumFractionDigits: digits, maximumFractionDigits: digits });

function eighths(inches) {
  const whole = Math.floor(inches + 1 / 16);
  const part = EIGHTHS[Math.max(0, Math.min(7, Math.round((inches - whole) * 8)))];
  return `${whole || !part ? whole : ""}${part}`;
}

// A size: mm below 10 cm and cm above; inches with eighths
export function size(mm) {
  if (imperial()) return `${eighths(mm / INCH)}${NB}${fieldUnit()}`;
  return sizes(mm)[0];
}

// Sizes told together, all in the unit of the largest
export function sizes(...mm) {
  const most = Math.max(...mm);
  if (imperial()) return mm.map(size);
  if (most < 99.95) return mm.map((v) => `${number(v, most < 29.95 ? 1 : 0)}${NB}mm`);
  return mm.map((v) => `${number(v / 10, 1)}${NB}cm`);
}

// A length of cloth to buy: metres, or yards with eighths
export function cloth(mm) {
  if (imperial()) return `${eighths(Math.ceil((mm / (36 * INCH)) * 8 - 1e-6) / 8)}${NB}yd`;
  return `${number(mm / 1000, 2)}${NB}m`;
}

export function money(amount, currency) {
  return amount === null || amount === undefined ? "" : `${number(amount, 2)}${NB}${currency}`.trim();
}

// What fields of length hold: a number of centimetres or inches
export const fieldUnit = () => (imperial() ? T("units.inch") : "cm");
export const fieldMm = () => (imperial() ? INCH : 10);
export const toField = (mm) => plainNumber(Math.round((mm / fieldMm()) * (imperial() ? 8 : 10)) / (imperial() ? 8 : 10));
export const plainNumber = (value) => value.toLocaleString(language, { useGrouping: false, maximumFractionDigits: 3 });

// Millimetres of "45 cm", "2 1/2 in", "3/8\"", "1,5 m"; NaN without a unit
export function millimetres(text) {
  const match = /^\s*(?:(\d+)\s+)?(\d+(?:[.,]\d+)?)(?:\/(\d+))?\s*(mm|cm|m|in|inch|inches|zoll|"|ft|yd|yard|yards)\s*$/i.exec(text);
  if (!match) return NaN;
  const per = { mm: 1, cm: 10, m: 1000, ft: 304.8, yd: 914.4, yard: 914.4, yards: 914.4 };
  const value = Number(match[1] || 0) + Number(match[2].replace(",", ".")) / Number(match[3] || 1);
  return value * (per[match[4].toLowerCase()] || INCH);
}

// Millimetres of what was typed into a field, where a bare number is in the field's unit
export const typedMm = (text) => millimetres(/[a-z"]$/i.test(text) ? text : `${text} ${fieldUnit()}`);

export const sizeWithError = (mm, error) => (error ? `${size(mm)} ± ${size(Math.max(error, 0.1))}` : size(mm));

// An error document of the server, in the page's language where it has the words
export function trouble(error) {
  const known = has(`errors.${error.code}`) ? T(`errors.${error.code}`) : "";
  if (known) return known;
  return language === "en" ? `${error.message} ${error.remedy}` : T("errors.other", { text: error.message });
}
