// The entries of a pot: a board taken in hand for it and given back, and the mix with each board's step.
import { eventOf, factsOf, newsHere, positionOf } from "../scan/board.js";
import { UNDO_FOR } from "../scan/fold.js";
import { boardsHere } from "../scan/keeper.js";
import { stopsOf } from "../scan/offer.js";
import * as outbox from "../scan/outbox.js";
import { newRef } from "../scan/ref.js";
import { clockOff, deviceHere, passOf } from "../scan/who.js";

async function intentOf(kind, board, who, fields) {
  const device = await deviceHere();
  return {
    ...{ ref: newRef(), ticket: board.code, number: board.number, kind, step: board.step },
    fields: who.unproved ? [...fields, ["unproved", "1"]] : fields,
    happened_at: new Date().toISOString(),
    clock_off_ms: await clockOff(),
    device: device.name || "own device",
    ...{ who: who.id, who_name: who.name, pass: await passOf(who.id) },
  };
}

/** What this device knows to stand in the way of taking it; null: nothing. */
async function stopFor(intent, known, who) {
  const position = await positionOf(known);
  const stops = stopsOf(position, eventOf(intent, known), await factsOf(known, who, position));
  return stops[0]?.sentence ?? null;
}

/** Takes the boards in hand that are in nobody's; says in words which could not be. */
export async function take(boards, who) {
  const here = new Map((await boardsHere()).map((one) => [one.code, one]));
  const told = [];
  for (const board of boards) {
    const kept = here.get(board.code);
    const position = kept && (await positionOf(kept));
    // What was kept may be older than the card, which says where the board was at its `seq`.
    const known = position?.seq >= board.seq ? kept : null;
    if (known ? position.state === "in_hand" : !board.take) continue;
    const intent = await intentOf("taken", board, who, [["condition", "good"]]);
    const stop = known && (await stopFor(intent, known, who));
    if (stop) told.push(`${board.number} is not taken in hand: ${stop}`);
    else await outbox.keep({ ...intent, for_pot: true });
  }
  outbox.send();
  return told;
}

/** Boards that were taken in hand for a pot and for nothing else, back to where they were: undone
    within its minute, else put down. One that had more logged on this device since stays. */
export async function giveBack(boards, who) {
  const logged = await loggedHere();
  for (const board of boards) {
    const last = logged.findLast((one) => one.ticket === board.code);
    if (!last?.for_pot) continue;
    const undoable = Date.now() - Date.parse(last.happened_at) < UNDO_FOR;
    const [kind, fields] = undoable ? ["undone", [["undo", last.ref]]] : ["paused", []];
    await outbox.keep(await intentOf(kind, board, who, fields));
  }
  outbox.send();
}

async function loggedHere() {
  const { sent, waiting } = await newsHere();
  return [...sent.map(({ intent }) => intent), ...waiting.filter((one) => !one.refused)];
}

/** Logs the mix with every board that got of it. It is on the disk when this resolves. */
export async function logMix(pot) {
  const off = (await clockOff()) ?? 0;
  for (const board of pot.boards) {
    const told = {
      ...pot.told,
      pot: pot.pot,
      hardener_in: new Date(pot.began + off).toISOString(),
      working_s: pot.ends === null ? "" : Math.round((pot.ends - pot.began) / 1000),
      boards: pot.boards.length,
      share_g: board.share_g ?? "",
    };
    const fields = Object.entries(told).map(([name, value]) => [name, String(value ?? "")]);
    await outbox.keep(await intentOf("mixed", board, pot.who, fields));
  }
  outbox.send();
}
