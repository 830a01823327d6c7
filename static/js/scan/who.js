// Who stands before the device, what the device's clock is off by, and the token that a sending needs.
// The last answer of the server is kept, for the hours in which there is none.
import { changeThing, setThing, thing } from "./store.js";

const KNOWN_FOR = 12 * 3600_000; // someone who signed in on this device that long ago may say so
const TIMEOUT = 10_000;
let token = null;
let asked = 0;

/** GET with an end: a hand-held network may neither answer nor fail. */
export async function get(address, { timeout = TIMEOUT, ...options } = {}) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), timeout);
  try {
    return await fetch(address, { ...options, signal: stop.signal });
  } finally {
    clearTimeout(timer);
  }
}

/** Asks the server who this is; throws without signal. */
export async function hello() {
  const before = Date.now();
  const answer = await get("/scan/hello/", { cache: "no-store" });
  if (!answer.ok) throw new Error(`hello: ${answer.status}`);
  const told = await answer.json();
  const after = Date.now();
  token = told.csrf;
  asked = after;
  const off = Math.round(Date.parse(told.now) - (before + after) / 2);
  await setThing("clock", { off, at: after });
  await setThing("device", told.device);
  if (told.who) {
    const one = { ...told.who, pass: told.pass, seen: after };
    await changeThing("people", (people) => ({ ...recent(people), [one.id]: one }));
  }
  await setThing("now", told.who ? { id: told.who.id } : null);
  return told;
}

/** The token to send with: of this visit, or asked for now. */
async function csrf({ fresh = false } = {}) {
  if (fresh || !token || Date.now() - asked > 300_000) await hello();
  return token;
}

/** What the server answers to `post(token)`; once more with a fresh token where the first had aged. */
export async function withToken(post) {
  const answer = await post(await csrf());
  return answer.status === 403 ? post(await csrf({ fresh: true })) : answer;
}

const recent = (people = {}) =>
  Object.fromEntries(
    Object.entries(people).filter(([, one]) => Date.now() - one.seen < 60 * 24 * 3600_000),
  );

/** Those who signed in here within twelve hours: only they may say without signal who they are. */
export async function peopleHere() {
  const people = Object.values((await thing("people")) ?? {});
  const since = Date.now() - KNOWN_FOR;
  return people
    .filter((one) => one.seen > since)
    .sort((one, other) => one.name.localeCompare(other.name));
}

/** A name chosen without a PIN, on a shared device without signal. */
export const choose = (id) => setThing("now", { id, unproved: true, at: Date.now() });

/** The person at the device: on a page that the server made, the one it was made for. */
export async function person(made_for, rest_seconds) {
  const [people, now, device] = await Promise.all([thing("people"), thing("now"), thing("device")]);
  if (made_for) return { ...(people?.[made_for.id] ?? {}), ...made_for };
  if (!now || !people?.[now.id]) return null;
  const idle = now.at && Date.now() - now.at > rest_seconds * 1000;
  if (device?.tablet && (!now.unproved || idle)) return null;
  return { ...people[now.id], unproved: Boolean(now.unproved) };
}

/** The person goes on working: on a shared device they are remembered a while longer. */
export const stay = () =>
  changeThing("now", (now) => (now?.unproved ? { ...now, at: Date.now() } : (now ?? null)));

export const clockOff = async () => (await thing("clock"))?.off ?? null;
export const passOf = async (id) => (await thing("people"))?.[id]?.pass ?? null;
export const deviceHere = async () => (await thing("device")) ?? { tablet: false, bay: null };
