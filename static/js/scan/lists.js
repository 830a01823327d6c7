// The kept scan page by itself: which boards are whose, by what this device knows; a typed code opens.
import { allHere, byPromise, now } from "./board.js";
import { isCode, ticketAddress } from "./code.js";
import { stateAt, stepOf } from "./fold.js";
import { deviceHere } from "./who.js";
import { clockOf } from "./words.js";

export async function showLists(who) {
  const template = document.querySelector("template[data-row]");
  if (!template) return;
  const [at, device, all] = await Promise.all([now(), deviceHere(), allHere()]);
  const found = all
    .filter(({ board }) => !board.voided)
    .map((one) => ({ ...one, state: stateAt(one.position, at) }))
    .sort((a, b) => byPromise(a.board, b.board));
  const mine = ({ board, position }) => {
    const stage = stepOf(position)?.stage;
    if (device.bay) return board.stages[stage]?.bay === device.bay;
    return !who?.skills?.length || who.skills.includes(stage);
  };
  fill(template, "in_hand", found.filter(({ position }) => who && position.holder === who.id));
  fill(template, "coming", found.filter((one) => one.state === "waiting" && mine(one)));
  fill(template, "resting", found.filter((one) => one.state === "resting" && mine(one)));
}

function fill(template, name, found) {
  const section = document.querySelector(`[data-list="${name}"]`);
  section.hidden = !found.length;
  section.querySelector("ul").replaceChildren(
    ...found.map(({ board, position, state }) => {
      const item = document.importNode(template.content, true);
      item.querySelector("a").href = ticketAddress(board.code);
      item.querySelector(".row-number").textContent = board.number;
      item.querySelector("strong").textContent = stepOf(position)?.name ?? "";
      const promised = board.promised ? `promised ${clockOf("UTC").day(Date.parse(board.promised))}` : "";
      const from = state === "resting" ? `from ${clockOf(board.zone).moment(position.rests_until)}` : "";
      // 2 9/16 broken in two reads as 2.
      const dims = board.dims.replaceAll(" ", "\u00a0");
      item.querySelector(".lead").textContent = [dims, promised, from]
        .filter(Boolean)
        .join(" · ");
      return item;
    }),
  );
}

// Without signal the server cannot look a typed code up: its check character vouches for it here.
document.addEventListener("submit", async (event) => {
  if (!event.target.matches(".code-form")) return;
  const typed = event.target.elements.code.value.toUpperCase().replace(/[\s-]/g, "");
  const code = typed.replace(/O/g, "0").replace(/[IL]/g, "1");
  if (!isCode(code) || (navigator.onLine && !document.querySelector("template[data-row]"))) return;
  event.preventDefault();
  location.assign(ticketAddress(code));
});
