// What was logged on this device and is not yet known to be on the server.
//
// An intent is kept here before anything is shown as logged. It is sent in the order it was made, and
// leaves only at the server's word that it has it: an answer of 401, 403 or 500, or none, loses nothing.
// Each intent has its own id, so two tabs that send the same one at once send one entry.
import { addIntent, allIntents, changeThing, putIntent, removeIntent, thing } from "./store.js";
import { oneAtATime } from "./turns.js";
import { clockOff, passOf, withToken } from "./who.js";

const AT_ONCE = 50;
const EVERY = 30_000;
const LONGEST = 5 * 60_000;
const TAKEN = new Set(["accepted", "duplicate"]);
const GONE = new Set([...TAKEN, "clash", "stopped"]);
// Sent within so long of the tap, and for the first time: it was made with signal.
const LIVE_MS = 20_000;
const SENT = ["ref", "ticket", "kind", "fields", "step", "happened_at", "device", "who"];
const TOO_MUCH = Symbol("too much at once");
const TOO_LARGE = "This entry is too large to send, and nothing was logged. Log it again with fewer words.";
const tabs = "BroadcastChannel" in window ? new BroadcastChannel("outbox") : null;
let failed = 0;
let not_before = 0;
let said = "";

const tell = (name, detail) => document.dispatchEvent(new CustomEvent(name, { detail }));

function changed() {
  tell("outbox:changed");
  tabs?.postMessage("changed");
}

/** The server's verdict on an intent, told in every tab: the one that sends it need not be the one it
    was made in. */
function settled(detail) {
  tell("outbox:settled", detail);
  tabs?.postMessage({ settled: detail });
}

/** Keeps an intent; it is on the disk when this resolves. */
export async function keep(intent) {
  await addIntent(intent);
  changed();
}

/** Everything not yet on the server, the first made first. */
export const waiting = allIntents;

/** What the server said the last time it could not take everything. */
export const lastWord = () => said;

/** Clashes and refusals that were shown stay in the list until someone has read them. */
export const dismissed = async (intent) => {
  if (intent.n === undefined) await forgetClash(intent.ref);
  else await removeIntent(intent.n);
  changed();
};
export const clashes = async () => (await thing("clashes")) ?? [];
const forgetClash = (ref) =>
  changeThing("clashes", (all = []) => all.filter((one) => one.ref !== ref));

const turn = oneAtATime("outbox", inOrder);

/** Sends what waits, in order; at most one sending goes on in a device. */
export function send({ now = false } = {}) {
  if (now) not_before = 0;
  return Date.now() < not_before ? Promise.resolve() : turn();
}

async function inOrder() {
  let most = AT_ONCE;
  // A board's later entries wait for the earlier one that could not be taken yet.
  const skipped = new Set();
  for (;;) {
    const all = (await waiting()).filter(
      (intent) => !intent.refused && !skipped.has(intent.ticket),
    );
    if (!all.length) return rested(skipped);
    const batch = all.slice(0, most);
    const verdicts = await answerTo(batch);
    if (verdicts === TOO_MUCH) {
      if (batch.length === 1) await settle(batch[0], { verdict: "refused", sentence: TOO_LARGE });
      most = Math.ceil(batch.length / 2);
      continue;
    }
    if (!verdicts) return later();
    for (const intent of batch) {
      const verdict = verdicts.get(intent.ref);
      await settle(intent, verdict);
      if (verdict.verdict === "sign_in") skipped.add(intent.ticket);
    }
    changed();
    if (batch.some((intent) => verdicts.get(intent.ref).verdict === "retry")) return later();
  }
}

function rested(skipped) {
  if (skipped.size) return later();
  failed = 0;
  said = "";
}

// Twice as long after each failure, and never the same for two devices.
function later() {
  failed += 1;
  not_before = Date.now() + Math.min(LONGEST, 1000 * 2 ** failed) * (0.5 + Math.random() / 2);
  setTimeout(send, not_before - Date.now() + 10);
  tell("outbox:changed");
}

async function answerTo(batch) {
  try {
    const answer = await withToken((token) => post(batch, token));
    if (answer.ok) {
      const { verdicts } = await answer.json();
      const told = new Map(verdicts.map((verdict) => [verdict.ref, verdict]));
      const none = { verdict: "retry", sentence: "" };
      return new Map(batch.map(({ ref }) => [ref, told.get(ref) ?? none]));
    }
    if (answer.status === 413) return TOO_MUCH;
    said = await sentenceOf(answer);
  } catch {
    said = "No signal.";
  }
  // The server may have it and its answer be lost: from now on these are told as sent again.
  for (const intent of batch) if (!intent.tried) await putIntent({ ...intent, tried: true });
  return null;
}

async function sentenceOf(answer) {
  if (answer.status === 401) return "Sign in to send.";
  const told = await answer.json().catch(() => null);
  return told?.error ?? `The server answered ${answer.status}.`;
}

async function post(batch, token) {
  const entries = await Promise.all(
    batch.map(async (intent) => ({
      ...Object.fromEntries(SENT.map((name) => [name, intent[name]])),
      live: !intent.tried && Date.now() - Date.parse(intent.happened_at) < LIVE_MS,
      clock_off_ms: intent.clock_off_ms ?? (await clockOff()),
      pass: (await passOf(intent.who)) ?? intent.pass,
    })),
  );
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), 20_000);
  try {
    return await fetch("/scan/batch/", {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": token },
      body: JSON.stringify({ entries }),
      signal: stop.signal,
    });
  } finally {
    clearTimeout(timer);
  }
}

/** Taken by the server since a page was kept: the page does not know of it yet. */
const wasSent = (intent) =>
  changeThing("sent", (all = []) => [...all, { intent, at: Date.now() }].slice(-100));

async function settle(intent, { verdict, sentence }) {
  if (verdict === "clash" || verdict === "stopped") {
    const { ref, ticket, number, kind, happened_at } = intent;
    const clash = { ref, ticket, number, kind, happened_at, sentence };
    await changeThing("clashes", (all = []) => [
      ...all.filter((one) => one.ref !== ref),
      clash,
    ]);
  }
  if (GONE.has(verdict)) {
    // First in the one list, then out of the other: whoever reads both in between finds it.
    if (TAKEN.has(verdict)) await wasSent(intent);
    await removeIntent(intent.n);
    settled({ intent, verdict, sentence });
    return;
  }
  await putIntent({ ...intent, tried: true, refused: verdict === "refused", verdict, sentence });
}

/** From now on what waits is sent whenever it may be. */
export function start() {
  tabs?.addEventListener("message", ({ data }) =>
    data.settled ? tell("outbox:settled", data.settled) : tell("outbox:changed"),
  );
  addEventListener("online", () => send({ now: true }));
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") send({ now: true });
  });
  setInterval(send, EVERY);
  send({ now: true });
}
