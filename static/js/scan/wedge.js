// A hand scanner types what it reads and ends with Enter, far faster than fingers. On a bay's page
// that opens the board, wherever the focus is.
import { isCode, pageIn, paperIn, ticketAddress } from "./code.js";

const GAP_MS = 80; // between two keys of one scan; the slowest wireless scanners need about 50
const LEAST = 7;
const PLAIN = { Slash: "/", Period: ".", Minus: "-", Semicolon: ":" };
const NOTHING = { typed: "", pressed: "", last: -Infinity };
let burst = NOTHING;

// What the key would type on the plain layout that scanners speak, whatever this device makes of it.
function plain(code) {
  return /^(?:Key|Digit|Numpad)([A-Z0-9])$/.exec(code)?.[1] ?? PLAIN[code] ?? "";
}

// First as it arrived; then by the keys themselves, for a layout that turns "/" and ":" and perhaps
// some letters into others; then by its end alone, which the check character vouches for.
export function typedPaper(typed, pressed) {
  const whole = paperIn(typed) ?? paperIn(pressed);
  if (whole) return whole;
  const ends = [typed, pressed].map((text) => text.trim().toUpperCase());
  const bare = ends.find(isCode);
  if (bare) return ticketAddress(bare);
  const tails = ends.map((text) => /[^0-9A-Z]([TM])[^0-9A-Z](.{7})$/.exec(text) ?? []);
  const [, kind, code] = tails.find(([, , end]) => end && isCode(end)) ?? [];
  return code ? `/${kind}/${code}` : null;
}

const TEXT = "input:not([type=radio], [type=checkbox]), textarea, select";
const takesText = (element) => element?.matches?.(TEXT) ?? false;

function begin(event) {
  const field = takesText(event.target) ? event.target : null;
  return { typed: "", pressed: "", last: event.timeStamp, field, before: field?.value };
}

function say(text) {
  let notice = document.querySelector("[data-wedge-says]");
  if (!notice) {
    notice = document.createElement("p");
    notice.className = "notice error";
    notice.dataset.wedgeSays = "";
    notice.setAttribute("role", "alert");
    document.querySelector("main").prepend(notice);
  }
  notice.textContent = `That was no ticket: it says “${text.slice(0, 60)}”.`;
  notice.scrollIntoView({ block: "nearest" });
}

function finish(event) {
  const { typed, pressed, last, field, before } = burst;
  burst = NOTHING;
  if (typed.length < LEAST || event.timeStamp - last > GAP_MS * 2) return;
  const paper = typedPaper(typed, pressed);
  if (!paper && field) return; // another label, scanned into its own field
  // The Enter is the scanner's: it must not press the button that happens to have the focus.
  event.preventDefault();
  event.stopImmediatePropagation();
  const page = paper ?? pageIn(typed);
  if (field) field.value = before;
  if (page) location.assign(page);
  else say(typed);
}

document.addEventListener(
  "keydown",
  (event) => {
    if (event.repeat || event.ctrlKey || event.metaKey || event.isComposing) return;
    if (event.key === "Enter") {
      finish(event);
    } else if (event.key.length === 1) {
      if (event.timeStamp - burst.last > GAP_MS) burst = begin(event);
      burst.typed += event.key;
      burst.pressed += plain(event.code);
      burst.last = event.timeStamp;
      // Some browsers would start to search the page at a "/".
      if (burst.typed.length > 1 && !burst.field) event.preventDefault();
    }
  },
  true,
);
