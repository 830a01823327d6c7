// stages/log/fold.py told again for the device, so that a page without signal knows what follows
// what a person has just logged. Only what hands do is here; the server folds everything again.
// tests/browser/test_device_fold.py holds the two equal on random days.

const HANDS_ON = new Set(["taken", "paused", "finished", "passed", "sent_back", "mixed"]);
const CLOSED = new Set(["handed_over", "cancelled", "scrapped"]);
const NOT_WHILE_AWAY = new Set([...HANDS_ON, "held", "joined"]);
const UNDOABLE = new Set([...HANDS_ON, "held", "let_go", "joined", "left"]);
export const UNDO_FOR = 60_000;

export class Refused extends Error {
  constructor(code, sentence, passable = false) {
    super(sentence);
    this.code = code;
    this.sentence = sentence;
    this.passable = passable;
  }
}

// --- a position in the server's words, and back

const STEP = {
  ...{ attempt: 1, arrived_at: null, taken_at: null, finished_at: null, rest_until: null },
  ...{ touch_s: 0, held_s: 0, by: null, outcome: "", helped: {}, coats: {}, paid_again: null, rest_why: "" },
};
const POSITION = {
  ...{ holder: null, holder_name: "", held_reason: "", rests_until: null, passed_at: null },
  ...{ helpers: [], away: {} },
};
const MOMENTS = [
  ...["since", "last_at", "released_at", "rests_until", "passed_at"],
  ...["arrived_at", "taken_at", "finished_at", "rest_until"],
];

function dated(told, read) {
  const whole = { ...told };
  for (const name of MOMENTS) if (whole[name]) whole[name] = read(whole[name]);
  return whole;
}

/** A position as the server tells it; moments become milliseconds. */
export function fromJson(told) {
  return {
    ...POSITION,
    ...dated(told, Date.parse),
    steps: told.steps.map((step) => ({ ...STEP, ...dated(step, Date.parse) })),
    helpers: (told.helpers ?? []).map(([who, name, at]) => ({ who, name, since: Date.parse(at) })),
    last: null,
  };
}

/** The whole of it in plain values. */
export function toJson(position) {
  const iso = (at) => new Date(at).toISOString();
  const { last, ...rest } = position;
  return {
    ...dated(rest, iso),
    steps: position.steps.map((step) => dated(step, iso)),
    helpers: position.helpers.map(({ who, name, since }) => [who, name, iso(since)]),
  };
}

export const stepOf = (position) => position.steps[position.index] ?? null;
export const started = (position) => Boolean(stepOf(position)?.taken_at);

/** The state read at a moment: a rest ends by itself. */
export function stateAt(position, now) {
  return position.state === "resting" && position.rests_until <= now ? "waiting" : position.state;
}

// --- the fold

/** The position after `event`: {kind, at, by, by_name, step, revision, payload, overrides, ref}. */
export function fold(position, event) {
  const { kind } = event;
  if (CLOSED.has(position.state)) {
    const words = position.state.replace("_", " ");
    throw new Refused("closed", `This board is ${words}. Nothing more to log.`);
  }
  if (position.state === "away" && NOT_WHILE_AWAY.has(kind)) {
    const { bay_name: bay, due } = position.away;
    throw new Refused(
      "away",
      `This board is away at ${bay}, due back ${due}. Log first that it is back.`,
    );
  }
  const dated = { ...event, at: Math.max(event.at, position.last_at) };
  if (HANDS_ON.has(kind)) samePaper(position, dated);
  const after = STEPS[kind](position, dated);
  const before = { ...position, last: null };
  return { ...after, seq: position.seq + 1, last_at: dated.at, last: { event: dated, before } };
}

/** Whether the device can tell what an entry of this kind leads to. */
export const known = (kind) => kind in STEPS;

const passed = (event, code) => event.overrides?.includes(code) ?? false;

function samePaper(position, event) {
  if (event.step != null && event.step !== position.index) {
    const where = stepOf(position)?.name ?? "the rack";
    throw new Refused(
      "moved_on",
      `This board has moved on: it is at ${where} now. Scan it again.`,
    );
  }
  const old = event.revision != null && event.revision < position.revision;
  if (old && !passed(event, "old_ticket")) {
    throw new Refused(
      "old_ticket",
      `This ticket is old: it shows spec revision ${event.revision}, and the board is on ` +
        `revision ${position.revision}. Get the new ticket before you work on it.`,
      true,
    );
  }
}

function taken(position, event) {
  const { at } = event;
  const state = stateAt(position, at);
  const name = position.holder_name;
  if (state === "in_hand" && position.holder === event.by) {
    throw new Refused("yours_already", "You have this board in hand already.");
  }
  if (state === "in_hand") {
    throw new Refused(
      "in_hand",
      `${name} has this board in hand. Ask ${name} to put it down first.`,
    );
  }
  if (state === "held") {
    throw new Refused(
      "held",
      `This board is held: ${position.held_reason}. It must be let go first.`,
    );
  }
  if (state === "ready") {
    throw new Refused("ready", "This board has passed every step. It belongs on the rack.");
  }
  if (state === "resting" && !passed(event, "resting")) {
    const left = hoursAndMinutes(position.rests_until - at);
    const coat = position.steps[position.index - 1];
    const why = coat.rest_why || `${hoursAndMinutes(coat.rest_s * 1000)} set`;
    const sentence = `Too early: it rests for another ${left} after ${coat.name} (${why}).`;
    throw new Refused("resting", sentence, true);
  }
  position = restOver(position, at);
  if (event.payload?.ahead != null) position = doneAhead(position, event.payload.ahead, event);
  const before = stepOf(position);
  const step = { ...before, taken_at: before.taken_at ?? at, by: event.by };
  return {
    ...withStep(position, position.index, step),
    ...{ state: "in_hand", holder: event.by, holder_name: event.by_name, since: at },
    rests_until: null,
  };
}

function doneAhead(position, ahead, event) {
  const { index, steps } = position;
  if (!(index < ahead && ahead < steps.length)) {
    throw new Refused("no_such_step", "Choose a later step of this board.");
  }
  const [first, moved] = [steps[index], steps[ahead]];
  if (started(position)) {
    throw new Refused("started", `${first.name} has been started. Finish it first.`);
  }
  if (!passed(event, "out_of_order")) {
    throw new Refused("out_of_order", `${first.name} comes before ${moved.name}.`, true);
  }
  const slots = steps.slice(index, ahead + 1).map((step) => step.slot);
  const order = [waited(moved, first), waited(first, null), ...steps.slice(index + 1, ahead)].map(
    (step, place) => ({ ...step, slot: slots[place] }),
  );
  return { ...position, steps: [...steps.slice(0, index), ...order, ...steps.slice(ahead + 1)] };
}

/** A step with the waiting that was counted for another one so far, or with none. */
const waited = (step, other) => ({
  ...step,
  arrived_at: other?.arrived_at ?? null,
  held_s: other?.held_s ?? 0,
});

/** What rests still is disturbed now: the rest ends, and the step after it begins to count. */
function restOver(position, at) {
  const before = position.steps[position.index - 1];
  if (position.state !== "resting" || at >= before.rest_until) return position;
  position = withStep(position, position.index - 1, { ...before, rest_until: at });
  return withStep(position, position.index, { ...stepOf(position), arrived_at: at });
}

function inTheirHands(position, event) {
  if (position.state !== "in_hand") {
    throw new Refused("not_in_hand", "Nobody has this board in hand. Take it in hand first.");
  }
  if (position.holder !== event.by && !passed(event, "not_yours")) {
    throw new Refused(
      "not_yours",
      `${position.holder_name} has this board in hand, not you.`,
      true,
    );
  }
}

const seconds = (ms) => Math.trunc(ms / 1000);

function putDown(position, at) {
  for (const helper of position.helpers) position = without(position, helper, at);
  const step = stepOf(position);
  const touch = step.touch_s + seconds(at - position.since);
  return {
    ...withStep(position, position.index, { ...step, touch_s: touch }),
    ...{ state: "waiting", holder: null, holder_name: "", since: at },
  };
}

function joined(position, event) {
  if (position.state !== "in_hand") {
    throw new Refused("not_in_hand", "Nobody has this board in hand. Take it in hand yourself.");
  }
  if (hands(position).includes(event.by)) {
    throw new Refused("yours_already", "You have this board in hand already.");
  }
  const helper = { who: event.by, name: event.by_name, since: event.at };
  return { ...position, helpers: [...position.helpers, helper] };
}

function left(position, event) {
  const helper = position.helpers.find((one) => one.who === event.by);
  if (helper) return without(position, helper, event.at);
  throw new Refused("not_helping", "You are not helping with this board.");
}

export const hands = (position) => [position.holder, ...position.helpers.map((one) => one.who)];

function without(position, helper, at) {
  const step = stepOf(position);
  const so_far = step.helped[helper.who] ?? 0;
  const helped = { ...step.helped, [helper.who]: so_far + seconds(at - helper.since) };
  const helpers = position.helpers.filter((one) => one !== helper);
  return { ...withStep(position, position.index, { ...step, helped }), helpers };
}

function mixed(position, event) {
  if (position.state !== "in_hand" || !hands(position).includes(event.by)) {
    inTheirHands(position, event);
  }
  if (!event.payload?.pot) throw new Refused("no_pot", "Say which pot was mixed.");
  const { coat } = event.payload;
  if (!coat) return position;
  const step = stepOf(position);
  const coats = { ...step.coats, [coat]: (step.coats[coat] ?? 0) + 1 };
  return withStep(position, position.index, { ...step, coats });
}

function paused(position, event) {
  inTheirHands(position, event);
  return putDown(position, event.at);
}

function finished(position, event) {
  inTheirHands(position, event);
  const { inspects, name } = stepOf(position);
  if (inspects) {
    throw new Refused("must_judge", `${name} passes a board or sends it back. Choose one.`);
  }
  return stepDone(putDown(position, event.at), event, "done");
}

function passedOn(position, event) {
  inTheirHands(position, event);
  const { inspects, name } = stepOf(position);
  if (!inspects) {
    throw new Refused("not_judging", `${name} does not pass boards. Finish the step.`);
  }
  return stepDone(putDown(position, event.at), event, "passed");
}

function stepDone(position, event, outcome) {
  const { at } = event;
  const step = stepOf(position);
  const rest = outcome === "sent_back" ? 0 : (event.payload?.rest_s ?? step.rest_s);
  const until = at + rest * 1000;
  const why = rest ? (event.payload?.rest_why ?? "") : "";
  const done = { ...step, finished_at: at, rest_until: until, rest_why: why, outcome };
  position = withStep(position, position.index, done);
  position = { ...position, index: position.index + 1, since: at };
  if (!stepOf(position)) return { ...position, state: "ready", passed_at: at };
  position = withStep(position, position.index, { ...stepOf(position), arrived_at: until });
  if (until > at) return { ...position, state: "resting", rests_until: until };
  return { ...position, state: "waiting" };
}

/** Whether the board is sent back by who receives it, before anyone has begun here. */
export function received(position) {
  const waits = ["waiting", "resting"].includes(position.state) && !started(position);
  return waits || position.state === "ready";
}

function sentBack(position, event) {
  const receiving = received(position);
  if (!receiving) inTheirHands(position, event);
  const last = position.index - (receiving ? 1 : 0);
  const { to, defect } = event.payload ?? {};
  const { steps } = position;
  if (!Number.isInteger(to) || to < 0 || to > last || steps[to].slot > steps[last].slot) {
    throw new Refused("no_such_step", "Choose which step the board goes back to.");
  }
  if (!defect) throw new Refused("no_defect", "Say what is wrong with the board.");
  const again = onceMore(steps.slice(0, last + 1), to);
  if (!receiving) {
    const down = putDown(position, event.at);
    const all = [...down.steps.slice(0, last + 1), ...again, ...down.steps.slice(last + 1)];
    return stepDone({ ...down, steps: all }, event, "sent_back");
  }
  position = restOver(position, event.at);
  const [next, ...later] = position.steps.slice(last + 1);
  const counted = next ? [waited(next, null)] : [];
  again[0] = next ? waited(again[0], next) : { ...again[0], arrived_at: event.at };
  return {
    ...position,
    steps: [...position.steps.slice(0, last + 1), ...again, ...counted, ...later],
    ...{ state: "waiting", since: event.at, passed_at: null, rests_until: null },
  };
}

function onceMore(done, to) {
  const latest = new Map(done.map((step) => [step.slot, step]));
  const again = [];
  for (let slot = done[to].slot; slot <= done.at(-1).slot; slot++) {
    if (!latest.has(slot)) continue;
    const { stage, name, minutes, rest_s, inspects, attempt } = latest.get(slot);
    again.push({ ...STEP, slot, stage, name, minutes, rest_s, inspects, attempt: attempt + 1 });
  }
  return again;
}

function held(position, event) {
  if (position.state === "held") {
    throw new Refused("held", `This board is held already: ${position.held_reason}.`);
  }
  const reason = String(event.payload?.reason ?? "").trim();
  if (!reason) throw new Refused("no_reason", "Say why the board is held.");
  if (position.state === "ready") {
    throw new Refused("ready", "This board is ready on the rack. Send it back if it is not right.");
  }
  if (position.state === "in_hand") position = putDown(position, event.at);
  return { ...position, state: "held", held_reason: reason, since: event.at };
}

function letGo(position, event) {
  if (position.state !== "held") throw new Refused("not_held", "This board is not held.");
  const step = stepOf(position);
  const from = Math.max(position.since, step.arrived_at);
  if (event.at > from) {
    const held_s = step.held_s + seconds(event.at - from);
    position = withStep(position, position.index, { ...step, held_s });
  }
  const resting = position.rests_until != null && position.rests_until > event.at;
  return {
    ...position,
    state: resting ? "resting" : "waiting",
    ...{ held_reason: "", since: event.at },
    rests_until: resting ? position.rests_until : null,
  };
}

function undone(position, event) {
  const { event: last, before } = position.last ?? {};
  if (!last || !UNDOABLE.has(last.kind) || last.ref !== event.payload?.ref) {
    throw new Refused("undo_not_last", "Something else was logged since. Scan the board again.");
  }
  if (last.by !== event.by) {
    throw new Refused("undo_not_yours", `${last.by_name} logged that, not you.`);
  }
  if (event.at - last.at > UNDO_FOR) {
    throw new Refused("undo_too_late", "That was more than a minute ago. Scan the board again.");
  }
  return before;
}

function withStep(position, index, step) {
  const steps = [...position.steps];
  steps[index] = step;
  return { ...position, steps };
}

/** 2 h 10 min, 45 min; rounded up to a whole minute. */
export function hoursAndMinutes(ms) {
  const all = Math.ceil(Math.trunc(ms / 1000) / 60);
  const [hours, minutes] = [Math.floor(all / 60), all % 60];
  if (!hours) return `${minutes} min`;
  return minutes ? `${hours} h ${minutes} min` : `${hours} h`;
}

const STEPS = {
  ...{ taken, paused, finished, held, undone, joined, left, mixed },
  ...{ passed: passedOn, sent_back: sentBack, let_go: letGo },
};
