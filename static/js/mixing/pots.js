// Pots that count, kept in the device's own store by the moment they end: a reload, a closed tab or a
// locked screen changes nothing about when that is.
import { newRef } from "../scan/ref.js";
import { changeThing, thing } from "../scan/store.js";

const HOUR = 3600_000;
// A pot nobody took off the screen: long set by then.
const FORGOTTEN = 12 * HOUR;

/** From the first to the gravest. Without a known time a pot is only ever "counting". */
export const LEVELS = ["counting", "half", "two", "over"];

export const pots = async () => (await thing("pots")) ?? [];

/** `ends` is null where nobody knows how long it works. */
export async function start(pot) {
  const one = { ...pot, pot: newRef(), warned: 0, poured: null };
  await changeThing("pots", (all = []) => [...all.filter(recent), one]);
  return one;
}

const recent = (pot) => Date.now() - pot.began < FORGOTTEN;

/** Seconds that are left, below nothing when it is over; those gone by where no end is known. */
export const seconds = ({ began, ends }, now = Date.now()) =>
  (ends === null ? now - began : ends - now) / 1000;

export function levelOf(pot, now = Date.now()) {
  if (pot.ends === null) return 0;
  const left = pot.ends - now;
  if (left <= 0) return 3;
  if (left <= 120_000) return 2;
  return left <= (pot.ends - pot.began) / 2 ? 1 : 0;
}

/** True for the one tab that is to ring: each level is rung once on a device. */
export async function warn(id, level) {
  let first = false;
  await changeThing("pots", (all = []) =>
    all.map((pot) => {
      if (pot.pot !== id || pot.warned >= level) return pot;
      first = true;
      return { ...pot, warned: level };
    }),
  );
  return first;
}

/** True for the one tap that pours it: two taps log one mix. */
export async function pour(id) {
  let first = false;
  await changeThing("pots", (all = []) =>
    all.map((pot) => {
      if (pot.pot !== id || pot.poured) return pot;
      first = true;
      return { ...pot, poured: Date.now() };
    }),
  );
  return first;
}

export const forget = (id) => changeThing("pots", (all = []) => all.filter((pot) => pot.pot !== id));

/** Takes a pot that was not used off the device; says which of its boards no other pot is for. */
export async function discard(id) {
  let free = [];
  await changeThing("pots", (all = []) => {
    const left = all.filter((pot) => pot.pot !== id);
    const busy = new Set(left.flatMap((pot) => pot.boards.map((one) => one.code)));
    const gone = all.find((pot) => pot.pot === id);
    free = (gone?.boards ?? []).filter((one) => !busy.has(one.code));
    return left;
  });
  return free;
}

/** What this device remembers of its bay: how warm it is, the drums in use, each board's last coat. */
export const remembered = async () => (await thing("mixing")) ?? {};
export const remember = (change) =>
  changeThing("mixing", (kept = {}) => ({ ...kept, ...change(kept) }));

// A coat of three pots is offered three times before the next coat is.
const lastCoat = (last, coat, many) => ({
  coat,
  again: last?.coat === coat && last.again > 0 ? last.again - 1 : many - 1,
});

/** A pot of `many` was begun: its drums, and how often its coat is offered from now on. */
export const rememberPot = ({ boards: [{ code }], coat, told }, many) =>
  remember(({ drums, coats }) => ({
    drums: { ...drums, [told.resin]: { resin_batch: told.resin_batch, hardener_batch: told.hardener_batch } },
    coats: { ...coats, [code]: lastCoat(coats?.[code], coat, many) },
  }));

/** A pot that was not used: its coat is offered once more. */
export const offerAgain = ({ boards: [{ code }], coat }) =>
  remember(({ coats }) => {
    const last = coats?.[code];
    return last?.coat === coat ? { coats: { ...coats, [code]: { coat, again: last.again + 1 } } } : {};
  });
