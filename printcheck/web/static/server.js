// The two questions to the server, with their progress told in words.
import { T } from "./words.js";

const EVERY = 700; // ms between two looks at the queue

function ticket() {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

async function watch(word, tell, signal) {
  while (!signal.aborted) {
    await new Promise((resolve) => setTimeout(resolve, EVERY));
    if (signal.aborted) return;
    try {
      const found = await (await fetch(`/progress/${word}`)).json();
      if (signal.aborted) return;
      if (found.state === "waiting") tell(T("progress.waiting", { place: found.place }));
      if (found.state === "working") tell(T(`progress.${found.stage || "scale"}`));
    } catch {
      return; // the answer itself will tell
    }
  }
}

async function answered(address, options, word, tell) {
  const watching = new AbortController();
  tell(T("progress.sending"));
  watch(word, tell, watching.signal);
  let response;
  try {
    response = await fetch(address, { method: "POST", ...options });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw { code: navigator.onLine ? "no-answer" : "offline" };
  } finally {
    watching.abort();
  }
  const document = await response.json().catch(() => ({ error: { code: "no-answer" } }));
  if (document.error) throw document.error;
  return document;
}

export function measure(photos, scale, tell) {
  const word = ticket();
  const form = new FormData();
  photos.forEach((photo, i) => form.append("photo", photo.blob, `photo-${i + 1}.jpg`));
  for (const [name, value] of Object.entries({ ...scale, overlay: "1", ticket: word })) form.append(name, value);
  return answered("/measure", { body: form }, word, tell);
}

export function length(asked, tell, signal) {
  const word = ticket();
  const body = JSON.stringify({ ...asked, shapes: true, ticket: word });
  return answered("/length", { body, signal, headers: { "content-type": "application/json" } }, word, tell);
}
