// A bay's page: every tap is kept on this device before it is shown as logged, then sent. What can be
// done next is worked out here when the server cannot be asked; see board.js and offer.js.
import * as boards from "./board.js";
import { signal, wake } from "./feedback.js";
import { hands, known, stepOf, UNDO_FOR } from "./fold.js";
import * as keeper from "./keeper.js";
import { stopsOf } from "./offer.js";
import { showLists } from "./lists.js";
import * as outbox from "./outbox.js";
import { keptParts, redraw, slot, undoForm } from "./parts.js";
import { overridesOf } from "./payloads.js";
import { newRef } from "./ref.js";
import { keeps } from "./store.js";
import { settle, swapIn, typedOn, typing } from "./swap.js";
import * as waiting from "./waiting.js";
import { choose, clockOff, deviceHere, get, hello, passOf, peopleHere, person, stay } from "./who.js";
import { BAD, clockOf, done, stateOf } from "./words.js";

const REST_SECONDS = 120;
const OF_THE_TAP = ["csrfmiddlewaretoken", "ticket", "kind", "step", "ref", "device", "happened_at"];
const here = () => document.querySelector("[data-bay]");
const path = () => `/T/${here().dataset.code}`;
const isTicket = () => Boolean(here()?.dataset.code);
let busy = false;
let logging = null; // the tap under way, until the page shows it
let kept = null; // the nameless page: its board, its forms, its cards
let held_back = null; // what is to be done once nobody types here any more
let said = null; // what was logged last on this page, and whether the server has it: `sent`

// --- who, and what is known

function madeFor() {
  const { who, whoName: name, role } = here()?.dataset ?? {};
  return who ? { id: Number(who), name, role } : null;
}

const whoIsIt = () => person(madeFor(), REST_SECONDS);

function learn(page) {
  kept = keptParts(page) ?? kept;
}

/** The nameless page: this one, or a fresh copy, or the copy kept last. */
async function learnAgain() {
  if (document.getElementById("board")) return learn(document);
  learn((await keeper.keepPage(path())) ?? (await keeper.keptPage(path())));
}

// --- a tap

document.addEventListener(
  "submit",
  async (event) => {
    const form = event.target;
    if (!form.matches("form[data-log]") || event.defaultPrevented) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (busy) return;
    wake();
    busy = true;
    document.body.classList.add("sending");
    try {
      logging = log(form, event.submitter);
      await logging;
    } finally {
      busy = false;
      document.body.classList.remove("sending");
    }
  },
  true,
);

async function intentOf(form, submitter, who) {
  const values = new FormData(form);
  const kind = submitter?.name === "kind" ? submitter.value : values.get("kind");
  const fields = [...values].filter(
    ([name, value]) => typeof value === "string" && !OF_THE_TAP.includes(name),
  );
  const step = values.get("step");
  const [device, clock_off_ms, pass] = await Promise.all([
    deviceHere(),
    clockOff(),
    passOf(who.id),
  ]);
  if (who.unproved) fields.push(["unproved", "1"]);
  return {
    ...{ ref: newRef(), ticket: values.get("ticket"), number: here().dataset.number, kind, fields },
    step: /^\d+$/.test(step ?? "") ? Number(step) : null,
    happened_at: new Date().toISOString(),
    clock_off_ms,
    device: device.name || values.get("device") || "own device",
    ...{ who: who.id, who_name: who.name, pass },
  };
}

// The taps after which a board is no longer in the hands that made them.
const LEAVES = new Set(["finished", "passed", "sent_back", "held", "paused"]);

async function log(form, submitter) {
  const [who, news] = await Promise.all([whoIsIt(), boards.newsHere()]);
  if (!who) return render({ own: true });
  const intent = await intentOf(form, submitter, who);
  const before = boards.positionFrom(kept?.board, news);
  const stop = await stopFor(intent, before, who);
  if (stop) return refuse(stop);
  await outbox.keep(intent);
  if (LEAVES.has(intent.kind)) settle(slot("offer"));
  // What is only in memory is not yet logged: the server's word is waited for.
  if (keeps()) acknowledge(intent);
  outbox.send();
  if (before && known(intent.kind)) {
    await boards.remember(before, boards.eventOf(intent, kept.board), intent.ticket);
  }
  said = { intent, stage: before && stepOf(before)?.stage };
  await stay();
  await render({ own: true });
  scrollTo(0, 0);
}

function acknowledge({ kind }) {
  signal(done(kind), { bad: BAD.has(kind) });
}

/** What this device knows to stand in the way; what it cannot know, the server will say. */
async function stopFor(intent, before, who) {
  if (!before || !known(intent.kind)) return null;
  const event = boards.eventOf(intent, kept.board);
  if (wantsWord(intent, before)) {
    const sentence = "It is held for damage: say what was found, or what was done about it.";
    return { code: "no_word", sentence };
  }
  if (intent.kind === "undone" && !before.last) return null;
  const facts = await boards.factsOf(kept.board, who, before, event.payload.ahead);
  const stops = stopsOf(before, event, facts);
  return stops.find((one) => !overridesOf(intent).includes(one.code)) ?? null;
}

const wantsWord = ({ kind, fields }, { held_reason }) =>
  kind === "let_go" &&
  held_reason.startsWith("damaged") &&
  !fields.some(([name, value]) => name.startsWith("word") && value.trim());

async function refuse({ sentence }) {
  signal("stop", { bad: true });
  notice("error", sentence);
  await render({ own: true });
}

function notice(kind, text, { focus = true } = {}) {
  const p = document.createElement("p");
  p.className = `notice ${kind}`;
  p.setAttribute("role", kind === "error" ? "alert" : "status");
  p.tabIndex = -1;
  p.textContent = text;
  slot("said")?.replaceChildren(p);
  if (focus) p.focus();
}

// --- what is shown

/** The page as this device knows it, where that is more than the server's page says. Only a tap of
    one's `own` draws it while somebody types on it; all else waits until they are done. */
async function render({ own = false } = {}) {
  if (!own && isTicket() && typing()) return holdBack(render);
  const made_for = madeFor();
  const who = await whoIsIt();
  await showPerson(who, made_for);
  await showLists(who);
  if (!isTicket()) return;
  const news = await boards.newsHere();
  const position = boards.positionFrom(kept?.board, news);
  if (said) await showSaid(who, position);
  if (!kept) {
    if (said) slot("offer")?.replaceChildren();
    return;
  }
  if (made_for && !said && !boards.sinceThen(kept.board, news).length) return;
  if (!position || !who) {
    slot("state").replaceChildren(...(position ? [] : stateOf(null)));
    slot("offer").replaceChildren();
    return;
  }
  const offer = await boards.offerHere(kept.board, who, position, { go: Boolean(said) });
  redraw(kept, position, offer, await deviceHere());
  document.dispatchEvent(new CustomEvent("htmx:after:swap"));
}

function holdBack(work) {
  held_back = work;
}

document.addEventListener("focusout", () =>
  // The focus is between two fields for a moment.
  setTimeout(() => {
    if (!held_back || typing()) return;
    const work = held_back;
    held_back = null;
    work();
  }),
);

function tellSaid() {
  const { intent, sent, line } = said;
  const clock = kept ? clockOf(kept.board.zone).time(Date.parse(intent.happened_at)) : "";
  const word = sent ? "Logged" : keeps() ? "Kept on this device" : "Not kept yet";
  line.textContent = `${word} ${clock}: ${done(intent.kind)}`;
}

async function showSaid(who, position) {
  const { intent, stage } = said;
  const box = document.createElement("div");
  box.className = "notice logged";
  said.line = document.createElement("p");
  said.line.setAttribute("role", "status");
  tellSaid();
  box.append(said.line);
  const until = Date.parse(intent.happened_at) + UNDO_FOR;
  if (intent.kind !== "undone" && until > Date.now()) box.append(undoForm(intent, until));
  const gone = position && who && !hands(position).includes(who.id);
  if (gone) box.append(await nextLink(who, stage));
  slot("said")?.replaceChildren(box);
}

/** To the board in their hands, else to the one this bay takes next, else to the list. */
async function nextLink(who, stage) {
  const link = document.createElement("a");
  link.className = "button";
  const [mine] = await boards.heldBy(who, kept.board);
  const next = mine ?? (stage && (await boards.nextAt(stage, kept.board.number)));
  const by = next?.promised ? `, promised ${clockOf("UTC").day(Date.parse(next.promised))}` : "";
  link.href = next ? `/T/${next.code}` : "/scan/";
  link.textContent = next ? `Next: ${next.number}${mine ? ", in your hands" : by}` : "What is next for me";
  return link;
}

/** On a page that names nobody: who it is, or who it may be. */
async function showPerson(who, made_for) {
  if (made_for) return;
  const name = document.querySelector("[data-who-name]");
  if (name) name.textContent = who ? `${who.name}${who.unproved ? ", no PIN" : ""}` : "";
  const box = document.querySelector("[data-choose-who]");
  if (!box) return;
  box.hidden = Boolean(who);
  if (who) return;
  const people = await peopleHere();
  if (!people.length) {
    box.querySelector("[data-choose-says]").textContent =
      "No signal, and nobody signed in on this device in the last hours. Write the step on the " +
      "ticket; sign in when the signal is back.";
  }
  box.querySelector("[data-choose-names]").replaceChildren(
    ...people.map((one) => {
      const item = document.createElement("li");
      const button = document.createElement("button");
      button.type = "button";
      button.className = "name";
      button.textContent = one.name;
      button.addEventListener("click", () => choose(one.id).then(render));
      item.append(button);
      return item;
    }),
  );
}

// --- the server's word

document.addEventListener("outbox:settled", async ({ detail }) => {
  const { intent, verdict, sentence } = detail;
  const lost = verdict === "clash" || verdict === "stopped";
  if (!isTicket() || intent.ticket !== here().dataset.code) return;
  // The server may be quicker than this page is with showing what it kept.
  await logging?.catch(() => {});
  if (!keeps() && !lost) acknowledge(intent);
  if (said?.intent.ref === intent.ref) {
    said.sent = !lost;
    if (!said.sent) said = null;
    else if (said.line) tellSaid(); // also on a page that is typed on and stays as it is
  }
  const left = (await outbox.waiting()).some(
    (one) => one.ticket === intent.ticket && !one.refused,
  );
  if (!left) await refresh(intent.ref);
  if (lost) {
    signal("stop", { bad: true });
    const kept_too = verdict === "clash" ? " What you logged is kept, and the manager sees it too." : "";
    notice("error", `${sentence}${kept_too}`, { focus: !typedOn() && !typing() });
    await outbox.dismissed({ ref: intent.ref });
  }
});

/** The server's page in place of this one, where it can be had; never under somebody's hands. */
async function refresh(ref = "") {
  if (!isTicket() || typedOn()) return;
  if (typing()) return holdBack(() => refresh(ref));
  const page = await serversPage(ref ? `${path()}?logged=${ref}` : path());
  if (!page) return;
  if (busy || (said && !said.sent) || typedOn()) return;
  if (typing()) return holdBack(() => refresh(ref));
  said = null;
  page.querySelectorAll(".flash").forEach((flash) => flash.remove());
  putParts(page, ["main", ".bay-top"]);
  waiting.showWaiting();
  await learnAgain();
  await render();
}

/** What the server answers now; null without signal, or where it sends elsewhere. */
async function serversPage(address) {
  try {
    const answer = await get(address, { cache: "no-store" });
    return answer.ok && !answer.redirected ? keeper.read(await answer.text()) : null;
  } catch {
    return null;
  }
}

function putParts(page, parts) {
  for (const part of parts) {
    const [old, fresh] = [document.querySelector(part), page.querySelector(part)];
    if (!old || !fresh) continue;
    swapIn(old, () => {
      old.replaceWith(fresh);
      return fresh;
    });
  }
  document.dispatchEvent(new CustomEvent("htmx:after:swap"));
}

/** A page shown from the device, though there is signal: the server's is better. */
async function begin() {
  waiting.start();
  outbox.start();
  if (isTicket() && document.getElementById("board")) learn(document);
  if (!madeFor()) await render();
  let told = null;
  try {
    told = await hello();
  } catch {
    // No signal: the page goes on with what is known.
  }
  if (told && isTicket() && !madeFor()) {
    if (told.who) await refresh();
    else location.replace(`${told.device.tablet ? "/who/" : "/sign-in/"}?next=${path()}`);
  }
  if (isTicket()) {
    keeper.opened(path());
    if (!kept || told) await learnAgain();
    await render();
  }
  keeper.start();
  addEventListener("online", signalIsBack);
}

/** What was shown from the device is shown by the server again. The camera may be running on the scan
    page, and a code half typed: there only the rest is put in its place. */
async function signalIsBack() {
  if (madeFor()) return;
  // After a tap here its own answer brings the page, with the word of it.
  if (isTicket()) return said ? undefined : refresh();
  const page = await serversPage("/scan/");
  if (page) putParts(page, [".bay-top", "[data-bay]", "[data-slot=news]", "[data-slot=lists]"]);
}

setInterval(() => {
  for (const form of document.querySelectorAll("[data-until]")) {
    form.hidden = Date.parse(form.dataset.until) < Date.now();
  }
}, 1000);
// The page may be loaded again without showing the last tap once more.
if (location.search.includes("logged=")) history.replaceState(null, "", location.pathname);
// Another part of the page logged something of this board.
document.addEventListener("bay:logged", () => render());
// Back to a page kept by the browser: the board may have moved on meanwhile.
addEventListener("pageshow", (event) => {
  if (event.persisted) location.reload();
});
begin();
