// Sends what waits, one photo after the other, whenever there is signal. A photo leaves the device at
// the server's word that it has it: no answer, or one of 401, 403 or 500, loses nothing. Each has its
// own id, so one that is sent twice is still one photo.
import { oneAtATime } from "../scan/turns.js";
import { clockOff, passOf, withToken } from "../scan/who.js";
import { all, blobOf, put, remove } from "./kept.js";

const EVERY = 30_000;
const TIMEOUT = 120_000; // a few hundred kilobytes over the worst network of a bay
const GONE = new Set(["accepted", "duplicate"]);
const tabs = "BroadcastChannel" in window ? new BroadcastChannel("photos") : null;
let said = "";

/** Why the last sending stopped, or nothing. */
export const lastWord = () => said;

export function changed() {
  document.dispatchEvent(new Event("photos:changed"));
  tabs?.postMessage("changed");
}

export const send = oneAtATime("photos", inOrder);

async function inOrder() {
  said = "";
  for (const photo of await all()) {
    if (photo.refused) continue;
    const verdict = await answerTo(photo);
    if (!verdict) break; // no signal, or nobody signed in: the others fare no better
    if (["sign_in", "retry"].includes(verdict.verdict)) said = verdict.sentence; // this one waits for its person
    if (GONE.has(verdict.verdict)) {
      await remove(photo.ref);
      document.dispatchEvent(new CustomEvent("photos:sent", { detail: photo }));
    } else if (verdict.verdict === "refused") {
      await put({ ...photo, refused: verdict.sentence });
    }
    changed();
  }
  changed();
}

async function answerTo(photo) {
  try {
    const answer = await withToken((token) => post(photo, token));
    const told = answer.headers.get("Content-Type") ?? "";
    if (told.startsWith("application/json")) {
      return await answer.json();
    }
    said = answer.redirected || answer.status === 401 ? "Sign in to send them." : "";
    if (answer.status >= 500) said = `The server answered ${answer.status}.`;
  } catch {
    said = "No signal.";
  }
  return null;
}

async function post(photo, token) {
  const form = new FormData();
  for (const name of ["ref", "step", "kind", "taken_at", "who"]) form.set(name, photo[name] ?? "");
  form.set("clock_off_ms", (await clockOff()) ?? "");
  form.set("pass", (await passOf(photo.who)) ?? photo.pass ?? "");
  form.set("file", blobOf(photo), "photo.jpg");
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), TIMEOUT);
  try {
    return await fetch(photo.address, {
      method: "POST",
      headers: { Accept: "application/json", "X-CSRFToken": token },
      body: form,
      signal: stop.signal,
    });
  } finally {
    clearTimeout(timer);
  }
}

/** From now on what waits is sent whenever it may be. */
export function start() {
  tabs?.addEventListener("message", () => document.dispatchEvent(new Event("photos:changed")));
  addEventListener("online", send);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") send();
  });
  setInterval(send, EVERY);
  send();
}
