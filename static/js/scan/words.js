// The same words as templates/stages/scan/state.html and stages/scan/sheet.py, for a device alone.
const DONE = {
  taken: "in hand",
  paused: "put down",
  finished: "finished",
  passed: "passed",
  sent_back: "sent back",
  held: "held",
  let_go: "let go",
  undone: "undone",
  joined: "helping",
  left: "no longer helping",
  mixed: "mixed",
};
export const BAD = new Set(["sent_back", "held"]);
export const done = (kind) => DONE[kind] ?? kind.replace("_", " ");

/** Times by the factory's clock. */
export function clockOf(zone) {
  const parts = (at, options) =>
    new Intl.DateTimeFormat("en-GB", { timeZone: zone, ...options }).format(at);
  const time = (at) => parts(at, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  const day = (at) => parts(at, { weekday: "short", day: "numeric", month: "short" }).replace(",", "");
  return { time, day, moment: (at) => `${day(at)}, ${time(at)}` };
}

function paragraph(kind, strong, text) {
  const p = document.createElement("p");
  p.className = `state ${kind}`.trim();
  if (strong) {
    const bold = document.createElement("strong");
    bold.textContent = strong;
    p.append(bold, " ");
  }
  p.append(text);
  return p;
}

/** Where the board is and what stops the work, as elements. */
export function stateOf(position, offer, clock) {
  if (!position) return [paragraph("", "", "This board is not on the floor yet.")];
  const { moment, time } = clock;
  const since = moment(position.since);
  const name = position.holder_name;
  const says = {
    resting: () =>
      paragraph("rest", `Resting until ${moment(position.rests_until)}.`, ""),
    waiting: () =>
      position.steps[position.index].taken_at
        ? paragraph("", "", `Put down ${since}, not finished.`)
        : "",
    held: () => paragraph("stop", `Held: ${position.held_reason}.`, `Since ${since}.`),
    ready: () => paragraph("good", "Passed. On the rack", `since ${since}.`),
    away: () =>
      paragraph("stop", `Away at ${position.away.bay_name}`, `due back ${position.away.due}.`),
    handed_over: () => paragraph("", "", `Handed over ${since}.`),
    cancelled: () =>
      paragraph("stop", "Cancelled", `${since}. Put it aside and ask the manager.`),
    scrapped: () => paragraph("stop", "Scrapped", `${since}. It is not to be worked on.`),
    in_hand: () => {
      if (offer.yours) return paragraph("yours", "", `In your hands since ${time(position.since)}`);
      if (offer.leave) {
        return paragraph("yours", "", `You help ${name}, who has this board in hand since ${since}.`);
      }
      return paragraph("stop", "", `${name} has this board in hand since ${since}.`);
    },
  };
  const told = says[offer.state] ? [says[offer.state]()].filter(Boolean) : [];
  if (position.helpers.length) {
    const helping = paragraph("", "", "");
    helping.className = "lead";
    helping.textContent = `Helping: ${position.helpers.map((one) => one.name).join(", ")}`;
    told.push(helping);
  }
  if (offer.calm) {
    const next = paragraph("", "", `Next for this board: ${position.steps[position.index].name}.`);
    next.className = "lead";
    told.push(next);
  }
  const stops = offer.stops.map(({ sentence, who_may, yours_to_pass }) => {
    // That you may go on is true only where you may pass every stop.
    const may = offer.may_pass || !yours_to_pass ? who_may : "";
    return paragraph("stop", "", `${sentence} ${may}`.trim());
  });
  const links = (offer.in_the_way ?? []).map(({ number, code }) => {
    const link = document.createElement("a");
    link.className = "button big";
    link.href = `/T/${code}`;
    link.textContent = `Put ${number} down`;
    return link;
  });
  return [...told, ...stops, ...links];
}
