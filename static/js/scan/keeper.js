// Keeps the bay's pages on the device for the hours without signal, a few at a time.
import { changeThing, setThing, thing } from "./store.js";
import { deviceHere, get } from "./who.js";

const OPENED_FOR = 12 * 3600_000;
const FRESH_FOR = 5 * 60_000;
const EVERY = 10 * 60_000;
const AT_ONCE = 3;
const MOST = 60;

// A signed-out phone drops what it kept; a shared tablet keeps it for whoever comes next.
const named = async () => ((await deviceHere()).tablet ? "kept-shared" : "kept-own");
const pages = async () => ("caches" in window ? caches.open(await named()) : null);

export const read = (html) => new DOMParser().parseFromString(html, "text/html");
const boardIn = (page) => JSON.parse(page.getElementById("board")?.textContent ?? "null");

/** Fetches the page without anyone's name in it and keeps it. Null without signal. */
export async function keepPage(path) {
  try {
    const answer = await get(`${path}?keep=1`, { cache: "no-store" });
    if (!answer.ok || answer.redirected) return null;
    await (await pages())?.put(path, answer.clone());
    const page = read(await answer.text());
    const board = boardIn(page);
    const at = Date.now();
    await changeThing("pages", (all = {}) => ({ ...all, [path]: { ...all[path], at, board } }));
    return page;
  } catch {
    return null;
  }
}

/** The page as it was kept last. Null where it never was. */
export async function keptPage(path) {
  const answer = await (await pages())?.match(path, { ignoreVary: true }).catch(() => null);
  return answer ? read(await answer.text()) : null;
}

/** What was last known of every board kept here. */
export async function boardsHere() {
  const all = Object.values((await thing("pages")) ?? {});
  return all.map((one) => one.board).filter(Boolean);
}

export const opened = (path) =>
  changeThing("pages", (all = {}) => ({ ...all, [path]: { ...all[path], opened: Date.now() } }));

/** Fetches what the server says this device should have, and drops the rest. */
async function sync() {
  if (!navigator.onLine || document.visibilityState === "hidden") return;
  let listed;
  try {
    const answer = await get("/scan/keep/", { cache: "no-store" });
    if (!answer.ok || answer.redirected) return;
    listed = (await answer.json()).pages;
  } catch {
    return;
  }
  const known = (await thing("pages")) ?? {};
  const since = Date.now() - OPENED_FOR;
  const own = Object.keys(known).filter((path) => known[path].opened > since);
  const wanted = new Set([...own, ...listed].slice(0, MOST));
  await drop(Object.keys(known).filter((path) => !wanted.has(path)));
  const stale = [...wanted].filter((path) => !(known[path]?.at > Date.now() - FRESH_FOR));
  while (stale.length && navigator.onLine) {
    await Promise.all(stale.splice(0, AT_ONCE).map(keepPage));
  }
}

async function drop(paths) {
  const kept = await pages();
  for (const path of paths) await kept?.delete(path);
  await changeThing("pages", (all = {}) =>
    Object.fromEntries(Object.entries(all).filter(([path]) => !paths.includes(path))),
  );
}

const whenIdle = (work) =>
  "requestIdleCallback" in window
    ? requestIdleCallback(() => work(), { timeout: 5000 })
    : setTimeout(work, 1500);

/** Plain http has no worker: then pages are kept for this visit's own use only. */
export function start() {
  navigator.storage?.persist?.().catch(() => {});
  if ("serviceWorker" in navigator) {
    navigator.serviceWorker.register("/sw.js", { scope: "/" }).catch(() => {});
    navigator.serviceWorker.ready.then((kept) =>
      whenIdle(() => kept.active.postMessage("leisure")),
    );
  }
  // Heard from the document: the header comes anew with the server's page.
  document.addEventListener("submit", ({ target }) => {
    if (target.matches('form[action="/sign-out/"]')) setThing("now", null);
  });
  if (!("caches" in window)) return;
  whenIdle(sync);
  setInterval(sync, EVERY);
  addEventListener("online", () => whenIdle(sync));
}
