// stages/log/guards.py for a device by itself.
import { Refused, stepOf } from "./fold.js";

/** What the guards say of an event that the fold would take. */
export function stops(position, event, facts) {
  const step = stepOf(position);
  const found = [];
  if (event.kind !== "taken" || !step) return found;
  const managers = ["manager", "owner"].includes(facts.role);
  if (!managers && facts.skills.length && !facts.skills.includes(step.stage)) {
    found.push(
      new Refused("no_skill", `You are not down for ${step.name}. Ask the manager.`),
    );
  }
  return found;
}
