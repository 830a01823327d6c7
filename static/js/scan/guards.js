// stages/log/guards.py for a device by itself: what stops a person from taking a board that the fold
// alone would let them take. tests/browser/test_device_fold.py holds the two equal.
import { Refused, stepOf } from "./fold.js";

const MANAGERS = ["manager", "owner"];

/** Every guard in the way that no reason was given for, the gravest first. */
export function stops(position, event, facts) {
  if (event.kind !== "taken" || !stepOf(position)) return [];
  const step = position.steps[event.payload?.ahead ?? position.index];
  const { skills, bay, bay_name, stage_bay, stage_bay_name, elsewhere, to_confirm } = facts;
  const found = [];
  if (!MANAGERS.includes(facts.role) && skills.length && !skills.includes(step.stage)) {
    found.push(["no_skill", `You are not down for ${step.name}.`]);
  }
  if (to_confirm.length) {
    found.push(["to_confirm", `Not confirmed yet: ${to_confirm.join(", ")}. Ask the counter.`]);
  }
  if (bay != null && stage_bay != null && bay !== stage_bay) {
    found.push([
      "wrong_bay",
      `This tablet stands in ${bay_name}. ${step.name} is done in ${stage_bay_name}.`,
    ]);
  }
  if (facts.one_at_a_time && elsewhere.length) {
    const boards = elsewhere.join(", ");
    found.push([
      "two_at_once",
      `${step.name} takes one board at a time, and you have ${boards} in hand.`,
    ]);
  }
  return found
    .filter(([code]) => !event.overrides?.includes(code))
    .map(([code, sentence]) => new Refused(code, sentence, true));
}
