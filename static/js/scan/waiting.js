// "3 waiting to send": the count, always in sight, and the list behind it.
import { clashes, dismissed, lastWord, send, waiting } from "./outbox.js";
import { keeps } from "./store.js";
import { clockOf, done } from "./words.js";

const count = (number) => `${number} waiting to send`;
const SAID = { sign_in: "Sign in again to send it.", retry: "The server will be asked again." };

export async function showWaiting() {
  const box = document.querySelector("[data-outbox]");
  if (!box) return;
  const [all, settled] = await Promise.all([waiting(), clashes()]);
  const list = box.querySelector("[data-outbox-list]");
  const rows = [...all, ...settled].map((intent) => row(box, intent));
  list.replaceChildren(...rows);
  box.hidden = !rows.length;
  box.classList.toggle("clash", settled.length > 0);
  const unsent = all.filter((intent) => !intent.refused).length;
  const read = rows.length - unsent;
  const told = [unsent ? count(unsent) : "", read ? `${read} to read` : ""];
  box.querySelector("[data-outbox-count]").textContent = told.filter(Boolean).join(", ");
  box.querySelector("[data-outbox-said]").textContent = unsent ? lastWord() : "";
  const lost = document.querySelector("[data-store-lost]");
  if (lost) lost.hidden = keeps();
}

function row(box, intent) {
  const item = box.querySelector("template").content.firstElementChild.cloneNode(true);
  const put = (name, text) => (item.querySelector(`[data-${name}]`).textContent = text);
  put("what", `${intent.number ?? intent.ticket}: ${done(intent.kind)}`);
  // By the factory's clock: a tablet may be set to another.
  put("when", clockOf(box.dataset.zone).moment(Date.parse(intent.happened_at)));
  put("said", intent.sentence || SAID[intent.verdict] || "");
  const button = item.querySelector("[data-dismiss]");
  // What is not yet sent is no one's to take off the list.
  if (intent.refused || intent.n === undefined) {
    button.addEventListener("click", () => dismissed(intent));
  } else button.remove();
  return item;
}

export function start() {
  document.addEventListener("outbox:changed", showWaiting);
  document.addEventListener("store:lost", showWaiting);
  document.addEventListener("click", (event) => {
    if (event.target.closest("[data-outbox-try]")) send({ now: true }).then(showWaiting);
  });
  showWaiting();
}
