// Running pots, on every page of a bay: one line at the top, and the whole screen for the time. It asks
// nothing of the network. Told at half, at two minutes and at the end by sound, shake, colour and words.
import { signal, wake } from "../scan/feedback.js";
import { giveBack, logMix } from "./entries.js";
import { LEVELS, discard, forget, levelOf, offerAgain, pots, pour, seconds, warn } from "./pots.js";

const WORDS = {
  counting: "Work on",
  half: "Half the time is gone",
  two: "Two minutes and less",
  over: "Time is up: it may go off now",
};
const FLASH = { half: "Half gone", two: "Two minutes", over: "Time is up" };
const RING_AGAIN = 10_000;
const shown = new Map(); // the level this tab has shown, by pot
let lock = null;
let rang = 0;
let heard = false;

const make = (name, attributes = {}, ...children) => {
  const element = Object.assign(document.createElement(name), attributes);
  element.append(...children);
  return element;
};

// --- what stands on the page

const bar = make("button", { type: "button", className: "pots-bar", hidden: true });
const list = make("div", { className: "pots-list" });
const told = make("div", { className: "pots-told" });
told.setAttribute("role", "alert");
const heading = make("h2", { id: "pots-title", className: "visually-hidden", textContent: "Pots" });
const back = make("button", { type: "button", className: "big", textContent: "Back to the board" });
const dialog = make("dialog", { className: "pots" }, heading, list, told, back);
dialog.setAttribute("aria-labelledby", "pots-title");
document.body.prepend(bar);
document.body.append(dialog);

const open = () => {
  if (!dialog.open) dialog.showModal();
};
bar.addEventListener("click", open);
back.addEventListener("click", () => dialog.close());
dialog.addEventListener("close", () => told.replaceChildren());
addEventListener("pointerdown", () => {
  heard = true;
  wake();
});

/** 12:34; with a plus past the end, and for a pot whose end nobody knows. */
export function figures(pot, now) {
  const left = seconds(pot, now);
  const up = pot.ends === null || left < 0;
  const whole = Math.abs(up ? Math.trunc(left) : Math.ceil(left));
  const minutes = Math.floor(whole / 60);
  return `${up ? "+" : ""}${minutes}:${String(whole % 60).padStart(2, "0")}`;
}

const nameOf = (pot) => `${pot.coat} · ${pot.boards.map((one) => one.number).join(", ")}`;

function basisOf(pot) {
  if (pot.odd) return "This is not the dose of the table: how long it works is not known. Counting up.";
  if (!pot.about) return "How long it works is not known: counting up. Watch the pot.";
  const [low, about, high] = pot.about.map((minutes) => minutes.toFixed(0));
  return `About ${about} min, ${low} to ${high}; counting to ${low}. The supplier's sheet comes first.`;
}

function mixOf({ told: { resin, resin_g, hardener_g, temperature_c } }) {
  const grams = resin_g === null ? "" : `, ${resin_g} g`;
  const hardener = hardener_g === null ? "" : ` and ${hardener_g} g`;
  const warm = temperature_c === null ? "" : `, at ${temperature_c} °C`;
  return `${resin}${grams}${hardener}${warm}`;
}

function articleOf(pot) {
  const article = make("article", { className: "pot" });
  article.dataset.pot = pot.pot;
  const title = make("h3", { textContent: nameOf(pot) });
  const left = make("p", { className: "pot-left" });
  left.setAttribute("role", "timer");
  const says = make("p", { className: "pot-says" });
  says.setAttribute("role", "status");
  const poured = make("button", { type: "button", className: "main big pot-pour", textContent: "Poured" });
  poured.addEventListener("click", () => pouring(pot.pot));
  const away = make("button", { type: "button", className: "big pot-away", textContent: "Not used" });
  away.addEventListener("click", () => takeAway(pot.pot, away));
  // Said twice or not, what is wrong with the cup stands beside it until it is empty.
  const wrong = (pot.wrong ?? []).map((text) => make("p", { className: "notice error", textContent: text }));
  const small = [mixOf(pot), basisOf(pot)].map((text) => make("p", { className: "pot-small", textContent: text }));
  article.append(title, left, says, ...wrong, ...small, poured, away);
  return article;
}

function draw(all, now) {
  const kept = new Map([...list.children].map((one) => [one.dataset.pot, one]));
  const articles = all.map((pot) => kept.get(pot.pot) ?? articleOf(pot));
  if (articles.length !== list.children.length || articles.some((one, i) => one !== list.children[i])) {
    list.replaceChildren(...articles);
  }
  all.forEach((pot, place) => fill(articles[place], pot, now));
  const worst = Math.max(0, ...all.filter((pot) => !pot.poured).map((pot) => levelOf(pot, now)));
  dialog.dataset.level = bar.dataset.level = LEVELS[worst];
  bar.hidden = !all.length;
  bar.textContent = all.map((pot) => `${figures(pot, now)} ${nameOf(pot)}`).join("  |  ");
}

function fill(article, pot, now) {
  const level = LEVELS[levelOf(pot, now)];
  article.dataset.level = level;
  const left = article.querySelector(".pot-left");
  left.textContent = figures(pot, now);
  left.toggleAttribute("data-long", left.textContent.length > 5);
  const word = pot.wrong?.length ? "" : WORDS[level];
  put(article.querySelector(".pot-says"), pot.poured ? `Poured, logged. ${word}`.trim() : word);
  for (const told of article.querySelectorAll(".notice")) told.hidden = Boolean(pot.poured);
  article.querySelector(".pot-pour").hidden = Boolean(pot.poured);
  if (pot.poured) put(article.querySelector(".pot-away"), "Off the screen");
}

// Said anew only when it changes: a reader of screens would read it every second.
function put(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

// --- what is done

async function pouring(id) {
  if (!(await pour(id))) return;
  const pot = (await pots()).find((one) => one.pot === id);
  await logMix(pot);
  signal("poured");
  document.dispatchEvent(new CustomEvent("bay:logged"));
  await tick();
}

async function takeAway(id, button) {
  const pot = (await pots()).find((one) => one.pot === id);
  if (pot && !pot.poured && !button.dataset.sure) {
    button.dataset.sure = "yes";
    button.textContent = "Not used: log nothing, take it off the screen";
    return;
  }
  if (pot && !pot.poured) await throwAway(pot);
  else await forget(id);
  shown.delete(id);
  document.dispatchEvent(new CustomEvent("pots:gone"));
  await tick();
}

/** What was logged and remembered when the pot began is as it was before. */
async function throwAway(pot) {
  await giveBack(await discard(pot.pot), pot.who);
  await offerAgain(pot);
  document.dispatchEvent(new CustomEvent("bay:logged"));
}

async function tick() {
  const [all, now] = [await pots(), Date.now()];
  draw(all, now);
  for (const pot of all) await tell(pot, now);
  ringAgain(all, now);
  if (!all.length && dialog.open) dialog.close();
  keepAwake(all.length > 0);
}

async function tell(pot, now) {
  const level = levelOf(pot, now);
  const before = shown.get(pot.pot) ?? -1;
  if (level <= before) return;
  shown.set(pot.pot, level);
  // Opened again, or come to its next warning: the truth stands there at once.
  if (!pot.poured) open();
  if (level > 0 && (await warn(pot.pot, level))) {
    ring(LEVELS[level]);
    heard = false;
    rang = now;
  }
}

function ring(level) {
  signal(FLASH[level], { bad: level !== "half" });
  const flash = document.querySelector("[data-flash]");
  if (flash && dialog.open) dialog.append(flash); // above a modal there is only what is in it
  if (level === "over") navigator.vibrate?.([400, 150, 400, 150, 400]);
}

function ringAgain(all, now) {
  const over = all.some((pot) => !pot.poured && levelOf(pot, now) === 3 && now - pot.ends < 120_000);
  if (!over || heard || now - rang < RING_AGAIN || !rang) return;
  rang = now;
  ring("over");
}

async function keepAwake(wanted) {
  if (!wanted && lock) lock.release().catch(() => {});
  if (!wanted || lock || !navigator.wakeLock || document.visibilityState === "hidden") return;
  try {
    lock = await navigator.wakeLock.request("screen");
    lock.addEventListener("release", () => (lock = null));
  } catch {
    lock = null; // a device low on power refuses: the time runs on all the same
  }
}

document.addEventListener("pots:started", tick);
document.addEventListener("pots:told", ({ detail }) => {
  told.replaceChildren(...detail.map((text) => make("p", { className: "notice warning", textContent: text })));
});
document.addEventListener("visibilitychange", tick);
addEventListener("pageshow", tick);
setInterval(tick, 1000);
tick();
