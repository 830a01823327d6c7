// Keeps what was typed into <form data-draft="who:where"> on this device until it is saved, so
// that a reload, a flat battery or an expired sign-in loses nothing.
const PREFIX = "draft:";
const DAYS_KEPT = 3;
const SKIPPED = new Set(["csrfmiddlewaretoken", "drawn"]);

function read(key) {
  try {
    return JSON.parse(localStorage.getItem(key));
  } catch {
    return null;
  }
}

function write(key, draft) {
  try {
    localStorage.setItem(key, JSON.stringify(draft));
  } catch {
    // No room, or storage is switched off: the form itself still works.
  }
}

const drafts = () => Object.keys(localStorage).filter((key) => key.startsWith(PREFIX));

function dropOld() {
  const oldest = Date.now() - DAYS_KEPT * 86_400_000;
  for (const key of drafts()) {
    if (!(read(key)?.at > oldest)) localStorage.removeItem(key);
  }
}

// The order's page names the form it came from.
function dropSaved(ref) {
  for (const key of drafts()) {
    if (read(key)?.fields.some(([name, value]) => name === "ref" && value === ref)) {
      localStorage.removeItem(key);
    }
  }
}

const fieldsOf = (form) => [...new FormData(form)].filter(([name]) => !SKIPPED.has(name));

function keep(form, sent = false) {
  write(PREFIX + form.dataset.draft, {
    at: Date.now(), base: form.dataset.draftBase, fields: fieldsOf(form), sent,
  });
}

// Puts one value back; false when the page does not have that choice (yet).
function put(form, name, value) {
  const options = [...form.querySelectorAll(`[name="${CSS.escape(name)}"]`)];
  const ticks = options.filter((field) => ["radio", "checkbox"].includes(field.type));
  if (ticks.length) {
    const tick = ticks.find((field) => field.value === value);
    if (tick) tick.checked = true;
    return Boolean(tick);
  }
  if (!options.length) return false;
  options[0].value = value;
  if (value) options[0].closest("details")?.setAttribute("open", "");
  return true;
}

function restore(form, draft) {
  // A form that was never sent starts with the page's own new reference: another tab may have
  // been opened with the same draft, and two orders must not pass for one.
  const fields = draft.fields.filter(([name]) => draft.sent || name !== "ref");
  let waiting = fields.filter(([name, value]) => !put(form, name, value));
  for (const place of form.querySelectorAll("[data-draft-for]")) {
    const missing = waiting.find(([name]) => name === place.dataset.draftFor);
    const query = new URLSearchParams({ find: form.elements.find?.value ?? "" });
    if (missing) query.append(...missing);
    if (missing || query.get("find")) {
      htmx.ajax("GET", `${place.dataset.draftSource}?${query}`, { target: place, swap: "innerHTML" });
    }
  }
  document.addEventListener("htmx:after:swap", () => {
    waiting = waiting.filter(([name, value]) => !put(form, name, value));
  });
  // Once htmx listens, what was put back is drawn like what is typed.
  document.addEventListener("htmx:after:process", () => {
    form.querySelector("[name=length_nm]")?.dispatchEvent(new Event("input", { bubbles: true }));
  }, { once: true });
}

function tell(draft, key) {
  const notice = document.querySelector("[data-draft-notice]");
  if (!notice) return;
  notice.querySelector("[data-draft-when]").textContent = new Date(draft.at).toLocaleString();
  notice.hidden = false;
  notice.querySelector("[data-draft-drop]").addEventListener("click", () => {
    localStorage.removeItem(key);
    location.assign(location.pathname + location.search);
  });
}

function start(form) {
  const key = PREFIX + form.dataset.draft;
  const draft = read(key);
  // After a refused form the page itself holds what was typed last.
  if (draft && !("typed" in form.dataset) && draft.base === form.dataset.draftBase) {
    restore(form, draft);
    tell(draft, key);
  }
  if ("typed" in form.dataset) keep(form);
  form.addEventListener("input", () => keep(form));
  form.addEventListener("submit", () => keep(form, true));
  document.addEventListener("htmx:after:swap", () => read(key) && keep(form));
}

dropOld();
const saved = document.querySelector("[data-order-ref]");
if (saved) dropSaved(saved.dataset.orderRef);
const form = document.querySelector("form[data-draft]");
if (form) start(form);
