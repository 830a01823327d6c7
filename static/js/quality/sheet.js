// The QC sheet in the bay: numbers typed or stepped, held at once against the limits in the page,
// and kept on this device until the board has passed. Nothing here needs the network.
import { dropDone, keep, keptOf, named, put } from "./kept.js";
import { readLength, readMass, readMeasured, sayLength, stepOf, writeLength } from "./lengths.js";

// --- what a line says ----------------------------------------------------------------------------

const field = (line) => line.querySelector("input:not([type=radio])");
const isCheck = (line) => line.dataset.qcLine.startsWith("check-");
const limit = (line, name) => (name in line.dataset ? Number(line.dataset[name]) : null);

// What stands in the field of a number that was looked at and not measured.
const sameText = (line) => line.closest("[data-qc]").dataset.qcSameText;

function measured(line) {
  const text = field(line).value.trim();
  if (!text) return { empty: true };
  if (text.toLowerCase() === sameText(line) && "ordered" in line.dataset) {
    return { value: limit(line, "ordered") };
  }
  const value =
    line.dataset.qcLine === "mass"
      ? readMass(text)
      : lengthOf(line, text);
  return value === null ? { unread: text } : { value };
}

function lengthOf({ dataset }, text) {
  if (!("ordered" in dataset)) return readLength(text, dataset.bare, "signed" in dataset);
  return readMeasured(text, dataset.bare, Number(dataset.ordered), "signed" in dataset);
}

const say = (line, nm) => sayLength(nm, line.dataset.unit);

// { outside, why } or { wrong }; nothing when the line is right.
function verdict(root, line) {
  if (isCheck(line)) {
    const seen = line.querySelector("input[name^='qc-check-']:checked")?.value;
    if (seen) return seen === "bad" ? { outside: true, why: "Not right." } : {};
    return { missing: "Look at it, and say." };
  }
  const { empty, unread, value } = measured(line);
  if (unread) return { wrong: `${unread} cannot be read for certain. Type it like ${like(root, line)}.` };
  const low = limit(line, "low");
  if (empty) return "ordered" in line.dataset ? { missing: "Measure it, or say that it is as ordered." } : {};
  if (low === null || (value >= low && value <= limit(line, "high"))) return {};
  const ordered = limit(line, "ordered");
  if (ordered === null) return { outside: true, why: "Outside what was reckoned." };
  const off = say(line, Math.abs(value - ordered));
  const allowed = say(line, limit(line, "high") - ordered);
  return { outside: true, why: `${off} ${value > ordered ? "over" : "under"}; ${allowed} is allowed.` };
}

function like(root, line) {
  if (line.dataset.qcLine === "mass") return "2.4 kg or 5 lb 6 oz";
  return line.dataset.orderedText || (root.dataset.qcUnit === "mm" ? "280" : "11 1/8");
}

function verdictOfPair(root, pair) {
  const sides = [...pair.querySelectorAll("[data-qc-line]")];
  const [left, right] = sides.map(measured);
  if (left.empty !== right.empty) return { missing: "Measure the other side too, or neither." };
  if (left.value === undefined || right.value === undefined) return {};
  const even = Number(pair.dataset.even);
  const off = Math.abs(left.value - right.value);
  // A side that is outside its own limits is decided there.
  if (off <= even || sides.some((side) => verdict(root, side).outside)) return {};
  const side = left.value > right.value ? "left" : "right";
  return { outside: true, why: `${say(sides[0], off)} more on the ${side}; ${say(sides[0], even)} is allowed.` };
}

// --- what was decided ----------------------------------------------------------------------------

// The line's own place for words and choices: a pair's own come after those of its two sides.
const own = (line, selector) => [...line.querySelectorAll(selector)].at(-1);

function offerChoices(root, line, name, outside) {
  const place = own(line, "[data-qc-decision]");
  if (!outside) place.replaceChildren();
  if (!outside || place.children.length) return;
  const blank = root.querySelector("template[data-qc-decide]").innerHTML;
  place.innerHTML = blank.replaceAll("__name__", name);
  const day = place.querySelector("input[type=date]");
  const now = new Date();
  day.value = new Date(now - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10);
}

function undecided(form, name) {
  const how = form.querySelector(`[name="qc-how-${CSS.escape(name)}"]:checked`)?.value;
  if (!how) return "Choose what happens.";
  if (how === "rework") return "To be done again: send the board back instead of passing it.";
  if (how === "second") return "";
  if (!named(form, `qc-who-${name}`)[0].value.trim()) return "Who said so?";
  return named(form, `qc-on-${name}`)[0].value ? "" : "On which day did they say so?";
}

// Judges every line, shows what is outside, and returns the lines that keep the board from passing.
function judge(root) {
  const form = root.closest("form");
  const told = "qcTold" in root.dataset;
  const stopping = [];
  for (const line of root.querySelectorAll("[data-qc-line], [data-qc-pair]")) {
    const pair = "qcPair" in line.dataset;
    const name = pair ? line.dataset.qcPair : line.dataset.qcLine;
    const { outside, why = "", wrong, missing } = (pair ? verdictOfPair : verdict)(root, line);
    offerChoices(root, line, name, outside);
    const open = outside ? undecided(form, name) : wrong || missing;
    const shown = outside ? `${why} ${told || open.startsWith("To be") ? open : ""}`.trim() : wrong || (told && missing) || "";
    const said = own(line, "[data-qc-said]");
    if (said.textContent !== shown) said.textContent = shown;
    said.hidden = !shown;
    said.setAttribute("aria-live", "polite");
    line.classList.toggle("has-error", Boolean(wrong || (told && open)));
    line.classList.toggle("qc-outside", Boolean(outside));
    if (open) stopping.push(line);
  }
  if (form.querySelector("[name^='qc-how-'][value=second]:checked")) {
    put(form, ["qc-grade", "second"]);
  }
  return stopping;
}

// To the form that sends a board back, with what was found.
function sendBack(root, line) {
  const wrong = document.querySelector("details.wrong");
  if (!wrong) return;
  wrong.open = true;
  const label = line.querySelector("label, legend").textContent.trim().replace(/\s+/g, " ");
  const value = isCheck(line) ? "not right" : field(line).value;
  const note = wrong.querySelector("#where");
  if (note && !note.value) note.value = `${label}: ${value}`;
  (wrong.querySelector("[name=to]") ?? wrong).focus();
  wrong.scrollIntoView({ block: "start" });
}

// --- hands on the sheet --------------------------------------------------------------------------

function move(line, direction) {
  const { value } = measured(line);
  const from = value ?? limit(line, "ordered");
  const next = from + direction * stepOf(line.dataset.unit);
  if (next < 0 && !("signed" in line.dataset)) return;
  field(line).value = writeLength(next, line.dataset.bare);
}

function asOrdered(line) {
  field(line).value = sameText(line);
}

function fillEmpty(root) {
  for (const line of root.querySelectorAll("[data-ordered]")) {
    if (!field(line).value.trim()) asOrdered(line);
  }
}

function fillChecks(root) {
  for (const line of root.querySelectorAll("[data-qc-line^=check-]")) {
    if (!line.querySelector(":checked")) line.querySelector("[value=good]").checked = true;
  }
}

function changed(event) {
  const root = event.target.closest?.("[data-qc]");
  if (!root) return;
  const { name, value, checked } = event.target;
  if (name === "qc-as-ordered" && checked) fillEmpty(root);
  if (name === "qc-all-good" && checked) fillChecks(root);
  judge(root);
  keep(root);
  if (event.type === "change" && name?.startsWith("qc-how-") && value === "rework") {
    sendBack(root, event.target.closest("[data-qc-line], [data-qc-pair]"));
  }
}

document.addEventListener("input", changed);
document.addEventListener("change", changed);
document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-qc-move], [data-qc-same]");
  if (!button) return;
  const line = button.closest("[data-qc-line]");
  if ("qcSame" in button.dataset) asOrdered(line);
  else move(line, Number(button.dataset.qcMove));
  const root = line.closest("[data-qc]");
  judge(root);
  keep(root);
});

// Before anything else hears of the tap: a sheet that is not done passes no board.
window.addEventListener(
  "submit",
  (event) => {
    const root = event.target.querySelector?.("[data-qc]");
    if (!root || event.submitter?.value !== "passed") return;
    root.dataset.qcTold = "yes";
    const [first] = judge(root);
    if (!first) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    first.closest("details")?.setAttribute("open", "");
    first.scrollIntoView({ block: "center" });
    first.querySelector("input:not([type=hidden])").focus({ preventScroll: true });
  },
  true,
);

// --- from one page to the next -------------------------------------------------------------------

function start(root) {
  root.dataset.qcReady = "yes";
  const form = root.closest("form");
  for (const button of root.querySelectorAll("[data-qc-move], [data-qc-same]")) button.hidden = false;
  root.querySelector("[data-qc-kept]").hidden = false;
  if ("qcTyped" in root.dataset) {
    root.dataset.qcTold = "yes";
  } else {
    // Twice: what was decided has its fields only once the numbers are there again.
    const fields = keptOf(root);
    for (let round = 0; round < 2; round++) {
      for (const one of fields) put(form, one);
      judge(root);
    }
  }
  judge(root);
}

function look() {
  for (const root of document.querySelectorAll("[data-qc]:not([data-qc-ready])")) {
    dropDone();
    start(root);
  }
}

new MutationObserver(look).observe(document.documentElement, { childList: true, subtree: true });
look();
dropDone();
