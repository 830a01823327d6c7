// Gives every tap its id and its time where it was made: a tap sent twice is still one tap.

// A UUID, version 7 (RFC 9562): 48 bits of time, then chance. crypto.randomUUID would need TLS.
function newRef() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  let time = Date.now();
  for (let i = 5; i >= 0; i--) {
    bytes[i] = time % 256;
    time = Math.floor(time / 256);
  }
  bytes[6] = (bytes[6] & 0x0f) | 0x70;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

const forms = () => document.querySelectorAll("form[data-log]");
const buttons = () => document.querySelectorAll("form[data-log] button");
const unsent = () => document.querySelector("[data-unsent]");

function prepare() {
  for (const form of forms()) {
    if (form.dataset.ready) continue;
    form.dataset.ready = "yes";
    form.elements.ref.value = newRef();
  }
  // The page may be loaded again without showing the last tap once more.
  if (location.search.includes("logged=")) history.replaceState(null, "", location.pathname);
}

function wait(on) {
  for (const button of buttons()) button.disabled = on;
  document.body.classList.toggle("sending", on);
}

document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (!form.matches("form[data-log]")) return;
    if (document.body.classList.contains("sending")) {
      event.preventDefault();
      event.stopImmediatePropagation();
      return;
    }
    document.body.classList.add("sending");
    // A second tap in a moment of bad signal keeps the time of the first.
    form.elements.happened_at.value ||= new Date().toISOString();
    if (unsent()) unsent().hidden = true;
    // Afterwards: a button that is disabled now would not send its value.
    setTimeout(() => wait(true));
  },
  true,
);

// Only when no answer came at all; an answer that refuses is shown in the page's own words.
document.addEventListener("htmx:error", () => {
  wait(false);
  const notice = unsent();
  if (!notice) return;
  notice.hidden = false;
  notice.scrollIntoView({ block: "center" });
});
document.addEventListener("htmx:after:swap", () => {
  wait(false);
  prepare();
  scrollTo(0, 0);
});
// Back to a page kept by the browser: the board may have moved on meanwhile.
window.addEventListener("pageshow", (event) => {
  if (event.persisted) location.reload();
});
prepare();
