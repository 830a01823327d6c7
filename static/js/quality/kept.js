// What is typed into a QC sheet stays on this device until its board has passed.
const PREFIX = "qc:";
const DAYS_KEPT = 14;
const UNDONE_WITHIN = 120_000; // a pass taken back finds its sheet again
const fieldsIn = (form) =>
  [...new FormData(form)].filter(([name]) => name.startsWith("qc-") && name !== "qc-spec");
export const named = (form, name) => [...form.querySelectorAll(`[name="${CSS.escape(name)}"]`)];

function stored(key) {
  try {
    return JSON.parse(localStorage.getItem(key));
  } catch {
    return null;
  }
}

export function keep(root) {
  const fields = fieldsIn(root.closest("form"));
  try {
    localStorage.setItem(PREFIX + root.dataset.qc, JSON.stringify({ at: Date.now(), fields }));
  } catch {
    // No room, or storage is switched off: the sheet itself still works.
  }
}

export function put(form, [name, value]) {
  const fields = named(form, name);
  const ticks = fields.filter((field) => ["radio", "checkbox"].includes(field.type));
  for (const tick of ticks) if (tick.value === value) tick.checked = true;
  if (!ticks.length && fields.length) fields[0].value = value;
}

export const keptOf = (root) => stored(PREFIX + root.dataset.qc)?.fields ?? [];

export function dropDone() {
  let keys = [];
  try {
    keys = Object.keys(localStorage);
  } catch {
    // Storage is switched off.
  }
  const oldest = Date.now() - DAYS_KEPT * 86_400_000;
  const here = document.querySelector("form[data-log]")?.elements;
  for (const key of keys.filter((one) => one.startsWith(PREFIX))) {
    const [, code, step] = key.split(":");
    const at = stored(key)?.at ?? 0;
    const passed = here?.ticket?.value === code && Number(here.step?.value) > Number(step);
    if ((passed && at < Date.now() - UNDONE_WITHIN) || at < oldest) localStorage.removeItem(key);
  }
}
