// One board as this device knows it: the kept page, what was sent since, and what still waits.
import { Refused, fold, fromJson, hands, known, stateAt, stepOf, toJson } from "./fold.js";
import { boardsHere } from "./keeper.js";
import { offerTo } from "./offer.js";
import { waiting } from "./outbox.js";
import { overridesOf, payloadOf } from "./payloads.js";
import { setThing, thing } from "./store.js";
import { clockOff, deviceHere } from "./who.js";

/** The server's time, as far as this device can tell. */
export const now = async () => Date.now() + ((await clockOff()) ?? 0);

export function eventOf(intent, board) {
  return {
    kind: intent.kind,
    at: Date.parse(intent.happened_at) + (intent.clock_off_ms ?? 0),
    by: intent.who,
    by_name: intent.who_name,
    step: intent.step,
    revision: board.revision,
    payload: payloadOf(intent),
    overrides: overridesOf(intent),
    ref: intent.ref,
  };
}

/** What was logged on this device and may be newer than the pages it keeps. */
export async function newsHere() {
  const [off, sent, all, last] = await Promise.all([
    clockOff(),
    thing("sent"),
    waiting(),
    thing("last"),
  ]);
  return { off: off ?? 0, sent: sent ?? [], waiting: all, last };
}

/** What was logged here for this ticket and is newer than `board`, in order. */
export function sinceThen(board, news) {
  const after = Date.parse(board.at);
  const recent = news.sent.filter(({ at }) => at + news.off > after).map(({ intent }) => intent);
  const seen = new Set();
  return [...recent, ...news.waiting].filter(
    (intent) =>
      intent.ticket === board.code &&
      !intent.refused &&
      !seen.has(intent.ref) &&
      seen.add(intent.ref),
  );
}

/** Where the board is, by what this device knows. */
export const positionOf = async (board) => positionFrom(board, await newsHere());

/** The same, where `news` is at hand already. */
export function positionFrom(board, news) {
  if (!board?.position) return null;
  let position = fromJson(board.position);
  let story = { moved: dated(board.moved), rework: dated(board.rework) };
  let before = story;
  const { last } = news;
  if (last?.ticket === board.code && last.seq === position.seq) {
    position.last = { event: last.event, before: fromJson(last.before) };
  }
  for (const intent of sinceThen(board, news)) {
    if (!known(intent.kind)) continue;
    const event = eventOf(intent, board);
    try {
      position = fold(position, event);
      [story, before] = [event.kind === "undone" ? before : toldBy(event, story), story];
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      break; // the floor moved on; the server will say how
    }
  }
  return { ...position, ...story };
}

const dated = (told) => told && { ...told, at: Date.parse(told.at) };

/** Who put the board down or held it last, and who sent it back. The fold does not keep that. */
function toldBy({ kind, by_name: by, at, payload, ref }, story) {
  if (kind === "paused" || kind === "held") return { ...story, moved: { by, at } };
  if (kind !== "sent_back") return story;
  return { ...story, rework: { defect: payload.defect, note: payload.note ?? "", ref, by, at } };
}

/** Every board kept here with where it is. */
export async function allHere() {
  const [boards, news] = await Promise.all([boardsHere(), newsHere()]);
  return boards
    .map((board) => ({ board, position: positionFrom(board, news) }))
    .filter(({ position }) => position);
}

/** So that a tap can be undone for a minute, also after it was sent. */
export const remember = (before, event, ticket) =>
  setThing("last", { ticket, event, before: toJson(before), seq: before.seq + 1 });

/** What guards.js must know beside the position, of its present step or of the one done ahead. */
export async function factsOf(board, who, position, ahead = null) {
  const device = await deviceHere();
  const index = ahead ?? position?.index;
  const pk = position?.steps[index]?.stage;
  const stage = board.stages[pk] ?? {};
  return {
    ...{ role: who.role, skills: who.skills ?? [] },
    ...{ bay: device.bay ?? null, bay_name: device.bay_name ?? "" },
    ...{ stage_bay: stage.bay ?? null, stage_bay_name: stage.bay_name ?? "" },
    one_at_a_time: Boolean(stage.one_at_a_time),
    elsewhere: stage.one_at_a_time ? await inTheirHands(who, board) : [],
    to_confirm: board.unconfirmed?.[pk] ?? [],
  };
}

async function inTheirHands(who, but) {
  return (await heldBy(who, but)).map(({ number }) => number);
}

/** What the person may do with the board, by what this device knows. After a tap that let it `go`,
    what stands in the way concerns whoever comes next. */
export async function offerHere(board, who, position, { go = false } = {}) {
  const facts = await factsOf(board, who, position);
  const offer = offerTo(who, position, { board, facts, now: await now() });
  const calm = go && !hands(position).includes(who.id) && offer.stops.length > 0;
  if (calm && ["waiting", "resting", "in_hand"].includes(offer.state)) {
    return { ...offer, calm, stops: [], may_pass: false };
  }
  const two = offer.stops.some(({ code }) => code === "two_at_once");
  return two ? { ...offer, in_the_way: await heldBy(who, board) } : offer;
}

/** The boards in a person's hands, beside one. */
export const heldBy = async (who, but) =>
  (await allHere())
    .filter(({ board }) => board.number !== but.number)
    .filter(({ position }) => position.state === "in_hand" && position.holder === who.id)
    .map(({ board }) => board);

/** The board to take next at a stage: it waits there and is promised first. */
export async function nextAt(stage, but) {
  const at = await now();
  const found = (await allHere()).filter(
    ({ board, position }) =>
      board.number !== but &&
      !board.voided &&
      stateAt(position, at) === "waiting" &&
      stepOf(position)?.stage === stage,
  );
  return found.map(({ board }) => board).sort(byPromise)[0] ?? null;
}

export const byPromise = (a, b) =>
  (a.promised ?? "9999").localeCompare(b.promised ?? "9999") || a.number - b.number;
