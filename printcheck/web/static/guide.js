// The camera with a guide: where card and selvedge go, and what is wrong with the frame at hand.
import { $, say } from "./dom.js";
import { T } from "./words.js";

const WANTED = { width: { ideal: 2560 }, height: { ideal: 1920 } }; // px: more than the photo is shrunk to
const EVERY = 400; // ms between two looks at the frame
const SMALL = [64, 48]; // px of the frame looked at
const SLANTED = 12; // degrees from level: beyond, near and far differ by a fifth
const BLOWN = [252, 0.03]; // of 255, and the share of pixels all of whose channels are there: glare
const DARK = 45; // of 255, on average

let stream = null;
let slant = 0;
let timer = 0;

export const possible = () => Boolean(isSecureContext && navigator.mediaDevices && navigator.mediaDevices.getUserMedia);

const turned = ({ beta, gamma }) => { slant = beta === null ? 0 : Math.max(Math.abs(beta), Math.abs(gamma)); };

// True once the camera shows its picture
export async function open() {
  close();
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment", ...WANTED } });
  } catch {
    return false;
  }
  $("guide-video").srcObject = stream;
  await $("guide-video").play();
  addEventListener("deviceorientation", turned);
  timer = setInterval(look, EVERY);
  return true;
}

export function close() {
  clearInterval(timer);
  removeEventListener("deviceorientation", turned);
  if (stream) for (const track of stream.getTracks()) track.stop();
  stream = null;
}

function frame(width, height) {
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [width, height];
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  pen.drawImage($("guide-video"), 0, 0, width, height);
  return { canvas, pen };
}

function look() {
  const { data } = frame(...SMALL).pen.getImageData(0, 0, ...SMALL);
  let [sum, blown] = [0, 0];
  for (let i = 0; i < data.length; i += 4) {
    sum += data[i + 1];
    blown += Math.min(data[i], data[i + 1], data[i + 2]) >= BLOWN[0];
  }
  const pixels = data.length / 4;
  const wrong = slant > SLANTED ? "slanted" : blown / pixels > BLOWN[1] ? "glare" : sum / pixels < DARK ? "dark" : "good";
  say($("guide-said"), T(`guide.${wrong}`));
}

// The frame at hand as a photo
export async function taken() {
  const { videoWidth, videoHeight } = $("guide-video");
  const { canvas } = frame(videoWidth, videoHeight);
  const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.95));
  return new File([blob], "photo.jpg", { type: "image/jpeg" });
}
