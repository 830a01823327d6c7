// stages/scan/offer.py for a device by itself: what the person before the board may do now.
import { Refused, fold, started, stateAt, stepOf } from "./fold.js";
import { stops as guards } from "./guards.js";

const LABELS = { taken: "Take in hand", finished: "Finish", passed: "Pass", let_go: "Let go" };
const DAMAGED = "damaged"; // stages/scan/defects.py
const MAY_GO_ON = "You may go on, if you say why.";
const ASK_MANAGER = "A manager may go on, saying why.";

/** Everything that stands in the way of an event: what the fold refuses, then the guards. */
export function stopsOf(position, event, facts) {
  const found = [];
  try {
    fold(position, event);
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    found.push(error);
  }
  const asked = event.payload?.ahead == null || event.payload.ahead < position.steps.length;
  return asked ? [...found, ...guards(position, event, facts)] : found;
}

/** `board` is the page's JSON, `who` the person, `facts` what guards.js needs. */
export function offerTo(who, position, { board, facts, now }) {
  const state = stateAt(position, now);
  const yours = state === "in_hand" && position.holder === who.id;
  const helping = position.helpers.some((one) => one.who === who.id);
  const main = mainOf(state, position);
  const mayPass = (code) => (board.may_override[code] ?? []).includes(who.role);
  const stops = [];
  if (main) {
    const event = {
      ...{ kind: main, at: now, by: who.id, by_name: who.name },
      ...{ step: position.index, revision: board.revision, payload: {}, overrides: [] },
    };
    for (const { code, sentence, passable } of stopsOf(position, event, facts)) {
      const yours_to_pass = passable && mayPass(code);
      const who_may = yours_to_pass ? MAY_GO_ON : passable ? ASK_MANAGER : "";
      stops.push({ code, sentence, passable, yours_to_pass, who_may });
    }
  }
  const receives = main === "taken" && !started(position) && comesForward(position);
  const hold = ["waiting", "resting", "in_hand"].includes(state);
  const send_back_to = yours || receives || state === "ready" ? earlierSteps(position) : [];
  const may_pass = stops.length > 0 && stops.every((stop) => stop.yours_to_pass);
  const coats_open = main === "finished" && !stops.length ? openCoats(board, position) : [];
  const beside = {
    pause: yours && !stops.length,
    join: state === "in_hand" && !yours && !helping,
    leave: helping,
  };
  return {
    ...{ state, stops, yours, receives, hold, send_back_to, may_pass, ...beside },
    ...{ main_kind: main, label: labelOf(main, position, receives) },
    ...{ coats_open, unfinished: coats_open.length > 0 },
    progress: stepOf(position) ? progressOf(board, position) : null,
    helping: position.helpers.filter((one) => one.who !== who.id).map((one) => one.name),
    word: main === "let_go" && position.held_reason.startsWith(DAMAGED),
    main: Boolean(main) && !stops.length && !coats_open.length,
    works: hold && (!stops.length || helping),
    beside: beside.pause || beside.join || beside.leave,
    not_yours: stops[0]?.code === "not_yours",
    send_back: send_back_to.length > 0,
    ...aheadOf(position, main === "taken" && !started(position) && mayPass("out_of_order")),
    wrong: hold || send_back_to.length > 0,
  };
}

/** Handed on by an earlier step, and not sent back. */
const comesForward = ({ steps, index }) => index > 0 && steps[index - 1].slot < steps[index].slot;

/** stages/mixing/coats.py: the coats of the present step, none at a repair. */
function dueCoats({ stages }, { steps, index }) {
  const step = steps[index];
  const repair = steps.slice(0, index).some(({ slot, outcome }) => slot === step.slot && outcome === "done");
  return repair ? [] : (stages?.[step.stage]?.coats ?? []);
}

/** Of those, what nothing was poured for. */
const openCoats = (board, position) =>
  dueCoats(board, position).filter((coat) => !(coat in stepOf(position).coats));

/** How far the present step is: the seconds in hand, and the coats poured of those that are due. */
export function progressOf(board, position) {
  const due = dueCoats(board, position).length;
  const { touch_s } = stepOf(position);
  return { touch_s, poured: due - openCoats(board, position).length, coats: due };
}

function aheadOf(position, may) {
  const later = position.steps.map((step, index) => ({ index, step })).slice(position.index + 1);
  return { ahead: may ? later : [], do_ahead: may && later.length > 0 };
}

function labelOf(main, position, receives) {
  if (receives) return "Take in hand, it is good";
  if (main === "taken" && started(position)) return "Carry on";
  return LABELS[main] ?? "";
}

function mainOf(state, position) {
  if (state === "waiting" || state === "resting") return "taken";
  if (state === "in_hand") return stepOf(position).inspects ? "passed" : "finished";
  return state === "held" ? "let_go" : null;
}

/** Each earlier place in the route once, at its latest try. */
function earlierSteps(position) {
  const here = stepOf(position)?.slot ?? position.steps.length;
  const latest = new Map();
  position.steps.slice(0, position.index).forEach((step, index) => {
    if (step.slot < here) latest.set(step.slot, { index, step });
  });
  return [...latest.keys()].sort((a, b) => a - b).map((slot) => latest.get(slot));
}
