// The same words as templates/stages/scan/state.html and stages/scan/sheet.py, for a device alone.
import { started, stepOf } from "./fold.js";

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
const NOT_YOURS = "not_yours"; // the state says it already
export const BAD = new Set(["sent_back", "held"]);
export const done = (kind) => DONE[kind] ?? kind.replace("_", " ");

const DAY = { weekday: "short", day: "numeric", month: "short", year: "numeric" };

/** Times by the factory's clock, as orders/templatetags/trade.py writes them. */
export function clockOf(zone) {
  const format = (options) => new Intl.DateTimeFormat("en-US", { timeZone: zone, ...options });
  const partsOf = (at) =>
    Object.fromEntries(format(DAY).formatToParts(at).map(({ type, value }) => [type, value]));
  const time = (at) =>
    format({ hour: "2-digit", minute: "2-digit", hourCycle: "h23" }).format(at);
  const day = (at) => {
    const { weekday, day: number, month, year } = partsOf(at);
    const text = `${weekday} ${number} ${month}`;
    return year === partsOf(Date.now()).year ? text : `${text} ${year}`;
  };
  return { time, day, moment: (at) => `${day(at)}, ${time(at)}` };
}

/** 45 min, 2 h 10 min, 3 d 4 h. */
export function span(seconds) {
  const all = Math.round(seconds / 60);
  const [days, hours, minutes] = [Math.floor(all / 1440), Math.floor(all / 60), all % 60];
  if (days) return hours % 24 ? `${days} d ${hours % 24} h` : `${days} d`;
  if (hours) return minutes ? `${hours} h ${minutes} min` : `${hours} h`;
  return `${minutes} min`;
}

function howFar({ touch_s, poured, coats }) {
  const told = [touch_s >= 60 && `${span(touch_s)} in hand so far.`, poured && `${poured} of ${coats} coats poured.`];
  return told.filter(Boolean).join(" ");
}

function paragraph(kind, strong, text, ...more) {
  const p = document.createElement("p");
  p.className = `state ${kind}`.trim();
  if (strong) {
    const bold = document.createElement("strong");
    bold.textContent = strong;
    p.append(bold, " ");
  }
  p.append(more.length ? text : text.trimEnd(), ...more);
  return p;
}

const lead = (text) => Object.assign(document.createElement("p"), { className: "lead", textContent: text });

function age(since) {
  const time = document.createElement("time");
  time.dateTime = time.dataset.since = new Date(since).toISOString();
  return time;
}

/** Where the board is and what stops the work, as elements. */
export function stateOf(position, offer, clock) {
  if (!position) return [paragraph("", "", "This board is not on the floor yet.")];
  const { moment, time } = clock;
  // That you may go on is true only where you may pass every stop.
  const may = (stop) => (stop && (offer.may_pass || !stop.yours_to_pass) ? stop.who_may : "");
  const { moved, holder_name: name } = position;
  const since = moment(position.since);
  const far = stepOf(position) ? howFar(offer.progress) : "";
  const says = {
    resting: () =>
      paragraph("rest", `Resting until ${moment(position.rests_until)}.`, ""),
    waiting: () =>
      started(position)
        ? paragraph("", "", `Put down ${moved ? `by ${moved.by}, ${moment(moved.at)}` : since}, not finished. ${far}`)
        : "",
    held: () =>
      paragraph("stop", `Held: ${position.held_reason}.`, `${moved ? `${moved.by}, ${since}` : `Since ${since}`}. ${far}`),
    ready: () => paragraph("good", "Passed. On the rack", `since ${since}.`),
    away: () =>
      paragraph("stop", `Away at ${position.away.bay_name}`, `due back ${position.away.due}.`),
    handed_over: () => paragraph("", "", `Handed over ${since}.`),
    cancelled: () =>
      paragraph("stop", "Cancelled", `${since}. Put it aside and ask the manager.`),
    scrapped: () => paragraph("stop", "Scrapped", `${since}. It is not to be worked on.`),
    in_hand: () => {
      if (offer.yours) {
        return paragraph("yours", "", `In your hands since ${time(position.since)}, `, age(position.since));
      }
      if (offer.leave) {
        return paragraph("yours", "", `You help ${name}, who has this board in hand since ${since}.`);
      }
      const not_yours = offer.calm ? null : offer.stops.find(({ code }) => code === NOT_YOURS);
      const whole = `${name} has this board in hand since ${since}. ${may(not_yours)}`;
      return paragraph(offer.calm ? "" : "stop", "", whole);
    },
  };
  const told = says[offer.state] ? [says[offer.state]()].filter(Boolean) : [];
  if (offer.helping.length) told.push(lead(`Helping: ${offer.helping.join(", ")}`));
  if (offer.calm) {
    return offer.state === "in_hand" ? told : [...told, lead(`Next for this board: ${stepOf(position).name}.`)];
  }
  const stops = offer.stops
    .filter(({ code }) => code !== NOT_YOURS)
    .map((stop) => paragraph("stop", "", `${stop.sentence} ${may(stop)}`));
  const links = (offer.in_the_way ?? []).map(({ number, code }) => {
    const link = document.createElement("a");
    link.className = "button big";
    link.href = `/T/${code}`;
    link.textContent = `Put ${number} down`;
    return link;
  });
  return [...told, ...stops, ...links];
}
