// Swatches and cards, kept in this browser alone.
const MOST = 12; // swatches: a phone's photo shrunk has about 500 kB

const opened = new Promise((resolve) => {
  let asking;
  try {
    asking = indexedDB.open("printcheck", 1);
  } catch {
    resolve(null); // some browsers keep nothing in private windows; the page works all the same
    return;
  }
  asking.onupgradeneeded = () => asking.result.createObjectStore("swatches", { keyPath: "id" });
  asking.onsuccess = () => resolve(asking.result);
  asking.onerror = () => resolve(null);
});

async function ask(mode, act) {
  const base = await opened;
  if (!base) return undefined;
  return new Promise((resolve) => {
    const request = act(base.transaction("swatches", mode).objectStore("swatches"));
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => resolve(undefined);
  });
}

export async function all() {
  const found = (await ask("readonly", (store) => store.getAll())) || [];
  return found.sort((a, b) => b.time - a.time);
}

export const read = (id) => ask("readonly", (store) => store.get(id));
export const remove = (id) => ask("readwrite", (store) => store.delete(id));

export async function keep(swatch) {
  await ask("readwrite", (store) => store.put(swatch));
  for (const old of (await all()).slice(MOST)) await remove(old.id);
}
