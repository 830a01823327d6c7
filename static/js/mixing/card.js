// The glassing card: doses looked up as temperature, coat and boards change, and the start of a pot.
import { deviceHere, person } from "../scan/who.js";
import { dose, hardenerFor, isDose } from "./bench.js";
import { logMix, take } from "./entries.js";
import { celsiusIn, doseUnread, gramsIn, judge, timeless, unread, worded } from "./judgement.js";
import { newRef } from "../scan/ref.js";
import { isTyped } from "../scan/swap.js";
import { clockOf } from "../scan/words.js";
import { pots, remember, rememberPot, remembered, start } from "./pots.js";

const seen = new WeakSet();
const place = async () => (await deviceHere()).bay ?? "own";
const benchOf = (card) => JSON.parse(card.querySelector("script[type='application/json']").textContent);

// A value the card put in is not something typed: the page may still be taken anew.
function put(input, value) {
  input.value = input.defaultValue = value;
}

function partsOf(form) {
  const get = (selector) => form.querySelector(selector);
  return {
    celsius: get("[data-celsius]"),
    ...{ resin: get("[data-resin]"), hardener: get("[data-hardener]"), ml: get("[data-ml]") },
    ...{ said: get("[data-said]"), note: get("[data-note]"), pots: get("[data-pots]") },
    ...{ time: get("[data-time]"), go: get("[data-go]"), typed: get("[data-typed]") },
    ...{ stop: get("[data-stop]"), stops: get("[data-stops]"), sure: get("[data-sure]") },
    coat: () => get("[name=coat]:checked")?.value ?? "",
    shared: () => [...form.querySelectorAll("[data-share]:checked")],
  };
}

/** The boards of the pot with their grams of mix, this one first. */
function boardsOf(card, bench, parts) {
  const coat = parts.coat();
  const { code, inHand } = card.dataset;
  const whole = ({ number, step, seq }) => ({ number: Number(number), step: Number(step), seq: Number(seq) });
  return [
    { ...whole(card.dataset), code, take: inHand === undefined, grams: bench.coats[coat] },
    ...parts.shared().map(({ dataset }) => ({
      ...{ ...whole(dataset), code: dataset.share, take: "take" in dataset },
      grams: bench.others[dataset.share]?.[coat] ?? null,
    })),
  ];
}

const spoken = ([low, about, high], basis) =>
  `Works about ${about.toFixed(0)} min, ${low.toFixed(0)} to ${high.toFixed(0)}, by ${basis}. ` +
  `The time counts to ${low.toFixed(0)}, the earliest.`;

function reckon(card, form, bench, { keep_grams = false } = {}) {
  const parts = partsOf(form);
  const boards = boardsOf(card, bench, parts);
  const found = dose(bench, celsiusIn(parts.celsius.value), boards.map((one) => one.grams ?? null));
  parts.said.textContent = found.said ?? "no dose";
  if (!keep_grams) {
    put(parts.resin, found.resin_g ?? "");
    put(parts.hardener, found.hardener_g ?? "");
    const many = found.pots > 1 ? `${found.pots} pots, one after the other; in each:` : "";
    parts.pots.textContent = many;
  }
  tellMl(parts, found);
  const own = tellNote(parts, found);
  // The times are those of a pot of the safe size: a larger one goes off sooner.
  const large = judge(bench.limits, mixOf(parts)).some(({ code }) => code === "pot_large");
  parts.time.textContent = found.minutes && !own && !large
    ? spoken(found.minutes, bench.basis)
    : "How long it works is not known here: the time counts up. Time a small cup first.";
  return { parts, boards, found };
}

function tellNote({ note, resin, hardener }, { stop, note: says, row }) {
  const [resin_g, hardener_g] = [gramsIn(resin.value), gramsIn(hardener.value)];
  const own = row && resin_g && hardener_g && !isDose(row, resin_g, hardener_g);
  const told = [stop, says, own ? "This is not the dose of the table." : ""].filter(Boolean);
  note.hidden = !told.length;
  note.classList.toggle("error", Boolean(stop));
  note.classList.toggle("warning", !stop);
  note.textContent = told.join(" ");
  return Boolean(own);
}

function tellMl(parts, { row }) {
  const grams = gramsIn(parts.resin.value);
  parts.ml.textContent = row && grams > 0 ? `or ${hardenerFor(row, grams).ml} ml` : "";
}

async function wakeUp(card) {
  const [form, bench] = [card.querySelector("form"), benchOf(card)];
  if (!bench.limits) {
    card.dataset.plain = ""; // kept by an earlier version: logged as a plain form
    return;
  }
  seen.add(card);
  const [kept, bay] = [await remembered(), await place()];
  const parts = partsOf(form);
  parts.go.textContent = "The hardener is in";
  for (const box of form.querySelectorAll("[data-sharing]")) box.hidden = false;
  const warm = kept.warm?.[bay];
  if (warm) {
    put(parts.celsius, warm.celsius);
    // By the factory's clock: a tablet may be set to another.
    const { zone } = document.querySelector("[data-outbox]").dataset;
    parts.typed.textContent = `As typed here ${clockOf(zone).moment(warm.at)}. Look again.`;
  }
  const drums = kept.drums?.[form.elements.resin.value] ?? {};
  for (const name of ["resin_batch", "hardener_batch"]) {
    if (!isTyped(form.elements[name])) put(form.elements[name], drums[name] ?? "");
  }
  const last = kept.coats?.[card.dataset.code];
  const begun = await showCoats(card);
  const radios = [...form.querySelectorAll("[name=coat]")];
  const open = radios.find((one) => !("optional" in one.dataset) && !begun.has(one.value));
  const next = last?.again > 0 ? radios.find((one) => one.value === last.coat) : open;
  if (next && !radios.some(isTyped)) next.checked = next.defaultChecked = true;
  reckon(card, form, bench, { keep_grams: [parts.resin, parts.hardener].some(isTyped) });
}

/** Tells beside each coat how far it is, by the log and by the pots of this device; says which of them
    are begun. */
async function showCoats(card) {
  const poured = JSON.parse(card.dataset.poured || "{}");
  const mine = (await pots()).filter((pot) =>
    pot.boards.some((one) => one.code === card.dataset.code && one.step === Number(card.dataset.step)),
  );
  const begun = new Set(Object.keys(poured));
  for (const pot of mine) {
    begun.add(pot.coat);
    const state = stateBeside(card, pot.coat);
    if (!state) continue;
    if (!pot.poured) state.textContent = card.dataset.inTheCup;
    else if (!(pot.coat in poured) || state.textContent === card.dataset.inTheCup) {
      state.textContent = card.dataset.isPoured;
    }
  }
  for (const state of card.querySelectorAll("[data-coat-state]")) {
    const { value } = state.closest("label").querySelector("input");
    const cup = mine.some((pot) => pot.coat === value && !pot.poured);
    // A pot that was not used after all.
    if (!cup && state.textContent === card.dataset.inTheCup && !begun.has(value)) {
      state.textContent = card.dataset.isOpen;
    }
  }
  for (const coat of Object.keys(poured)) {
    const state = stateBeside(card, coat);
    const told = state && mine.some((pot) => pot.coat === coat && !pot.poured);
    if (state?.textContent.trim() === card.dataset.isOpen && !told) state.textContent = card.dataset.isPoured;
  }
  return begun;
}

const stateBeside = (card, coat) =>
  card.querySelector(`[name=coat][value="${CSS.escape(coat)}"] + span [data-coat-state]`);

for (const name of ["pots:started", "pots:gone", "bay:logged", "coats:changed"]) {
  document.addEventListener(name, () => {
    for (const card of document.querySelectorAll("[data-mix]")) if (seen.has(card)) showCoats(card);
  });
}

const cardOf = (event) => event.target.closest?.("[data-mix]");

document.addEventListener("input", (event) => {
  const card = cardOf(event);
  if (!card) return;
  const [form, bench] = [event.target.form, benchOf(card)];
  if (event.target.matches("[name$=_batch]")) return;
  partsOf(form).stop.hidden = true; // what was judged is not what stands there now
  const weighed = event.target.matches("[data-resin], [data-hardener]");
  const { parts, found } = reckon(card, form, bench, { keep_grams: weighed });
  const resin_g = gramsIn(parts.resin.value);
  if (event.target.matches("[data-resin]") && found.row && resin_g) {
    put(parts.hardener, hardenerFor(found.row, resin_g).hardener_g);
    reckon(card, form, bench, { keep_grams: true });
  }
  if (event.target.matches("[data-celsius]") && !found.stop) keepWarm(celsiusIn(parts.celsius.value));
});

// What is typed on the card is kept by the card itself.
document.addEventListener("change", (event) => {
  const card = cardOf(event);
  if (!card) return;
  event.target.dataset.typedHere = "";
  for (const one of card.querySelectorAll("input:not([type=hidden])")) {
    if (one.matches("[type=radio], [type=checkbox]")) one.defaultChecked = one.checked;
    else one.defaultValue = one.value;
  }
});

const keepWarm = async (celsius) => {
  const bay = await place();
  await remember(({ warm }) => ({ warm: { ...warm, [bay]: { celsius, at: Date.now() } } }));
};

function mixOf(parts) {
  return {
    celsius: celsiusIn(parts.celsius.value),
    resin_g: gramsIn(parts.resin.value),
    hardener_g: gramsIn(parts.hardener.value),
  };
}

// The page moves when it stops: the second half of a double tap must not fall on what came under it.
const SECOND_TAP_MS = 700;

addEventListener(
  "click",
  (event) => {
    if (!document.querySelector("[data-ignores-taps]") || !event.detail) return; // a key is no finger
    event.preventDefault();
    event.stopImmediatePropagation();
  },
  true,
);

function ignoreTaps(element) {
  element.dataset.ignoresTaps = "";
  setTimeout(() => delete element.dataset.ignoresTaps, SECOND_TAP_MS);
}

/** In red what is wrong and what to do with the cup; nothing starts until it is said once more. */
function stop(parts, bench, found) {
  const cold = found.some(timeless);
  const told = found.filter((one) => !(cold && doseUnread(one)));
  const lines = told.map(({ code, figures }) => worded(bench.says[code], figures));
  if (cold && told.length < found.length) lines.push(parts.sure.dataset.weigh);
  parts.stops.replaceChildren(
    ...lines.map((text) => Object.assign(document.createElement("li"), { textContent: text })),
  );
  parts.sure.hidden = found.some(unread);
  parts.sure.textContent = cold ? parts.sure.dataset.timeless : parts.sure.dataset.again;
  parts.stop.hidden = false;
  ignoreTaps(parts.stop);
  parts.stop.scrollIntoView({ block: "center" });
  const wrong = {
    unread_temperature: parts.celsius,
    ...{ unread_resin: parts.resin, unread_catalyst: parts.hardener, unread_hardener: parts.hardener },
  };
  for (const field of new Set(Object.values(wrong))) field.removeAttribute("aria-invalid");
  for (const { code } of told) wrong[code]?.setAttribute("aria-invalid", "true");
  parts.stop.focus({ preventScroll: true });
}

async function begin(card, form, sure) {
  const bench = benchOf(card);
  const { parts, boards, found } = reckon(card, form, bench, { keep_grams: true });
  const wrong = judge(bench.limits, mixOf(parts));
  if (wrong.some(unread) || (wrong.length && !sure)) {
    stop(parts, bench, wrong);
    return false;
  }
  parts.stop.hidden = true;
  const here = document.querySelector("[data-bay]").dataset;
  const made_for = here.who && { id: Number(here.who), name: here.whoName, role: here.role };
  const who = await person(made_for || null, 120);
  if (!who) return false;
  const began = Date.now();
  const { resin, resin_batch, hardener_batch } = Object.fromEntries(new FormData(form));
  const { resin_g, hardener_g, celsius } = mixOf(parts);
  const right = found.row && isDose(found.row, resin_g, hardener_g);
  const known = right && found.minutes && !wrong.length;
  const all = boards.reduce((sum, one) => sum + (one.grams ?? NaN), 0);
  const share = ({ grams }) =>
    boards.length === 1 ? resin_g + hardener_g : ((resin_g + hardener_g) * grams) / all;
  const pot = await (wrong.some(timeless) ? logAtOnce : start)({
    ...{ began, who, coat: parts.coat() },
    ends: known ? began + Math.round(found.minutes[0] * 60) * 1000 : null,
    about: known ? found.minutes : null,
    odd: Boolean(found.row) && !right,
    wrong: wrong.map(({ code, figures }) => worded(bench.says[code], figures)),
    boards: boards.map((one) => ({ ...one, share_g: gramsOf(share(one)) })),
    told: {
      ...{ coat: parts.coat(), resin, resin_batch, hardener_batch },
      ...{ resin_g: gramsOf(resin_g), hardener_g: gramsOf(hardener_g, 1) },
      percent: right ? found.percent : null,
      temperature_c: celsius,
      ...(wrong.length ? { "why-dose": wrong.map((one) => one.code).join(", ") } : {}),
    },
  });
  if (!wrong.some(timeless)) document.dispatchEvent(new CustomEvent("pots:started", { detail: pot }));
  await rememberPot(pot, found.pots ?? 1);
  for (const field of form.querySelectorAll("[data-typed-here]")) delete field.dataset.typedHere;
  const told = await take(boards, who);
  if (wrong.some(timeless)) await logMix(pot);
  document.dispatchEvent(new CustomEvent("bay:logged"));
  if (told.length) document.dispatchEvent(new CustomEvent("pots:told", { detail: told }));
  return true;
}

/** A mix outside the temperatures its resin is known for has no clock. */
const logAtOnce = async (pot) => ({ ...pot, pot: newRef(), ends: null });

const gramsOf = (grams, places = 0) => (Number.isFinite(grams) ? Number(grams.toFixed(places)) : null);

/** A double tap is one pot. */
async function beginOnce(card, form, sure = false) {
  if (form.dataset.busy) return;
  form.dataset.busy = "yes";
  let begun = false;
  try {
    begun = await begin(card, form, sure);
  } finally {
    setTimeout(() => delete form.dataset.busy, begun ? 1500 : 0);
  }
}

document.addEventListener("click", (event) => {
  if (!event.target.matches?.("[data-sure]:not([hidden])") || !seen.has(cardOf(event))) return;
  event.preventDefault();
  beginOnce(cardOf(event), event.target.form, true);
});

// Before the page's own listener, which would log the form at once.
addEventListener(
  "submit",
  (event) => {
    if (!event.target.matches("form[data-pot]") || !seen.has(cardOf(event))) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    const form = event.target;
    beginOnce(cardOf(event), form);
  },
  true,
);

function look() {
  for (const card of document.querySelectorAll("[data-mix]:not([data-plain])")) {
    if (!seen.has(card)) wakeUp(card);
  }
}

new MutationObserver(look).observe(document.body, { childList: true, subtree: true });
look();
