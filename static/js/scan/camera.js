// The page's own camera: reads the square on a ticket and opens its board.
import { pageIn, paperIn } from "./code.js";

const LOOK_EVERY_MS = 80;
const CHOICE = "scan-camera";
const WANTED = {
  audio: false,
  video: { facingMode: { ideal: "environment" }, width: { ideal: 1280 }, height: { ideal: 720 } },
};
const TYPE_IT = "Or type the code under the square.";
const WENT_WRONG = {
  NotAllowedError: `The camera was refused. Allow it for this page in the browser's settings, then tap again. ${TYPE_IT}`,
  NotFoundError: `This device has no camera that can be used here. ${TYPE_IT}`,
  NotReadableError: `Something else is using the camera. Close it, then tap again. ${TYPE_IT}`,
  reader: `The part that reads the squares could not be loaded. Tap again when there is signal. ${TYPE_IT}`,
  ended: `The camera stopped. Tap to start it again. ${TYPE_IT}`,
};
WENT_WRONG.SecurityError = WENT_WRONG.NotAllowedError;
WENT_WRONG.OverconstrainedError = WENT_WRONG.NotFoundError;
WENT_WRONG.AbortError = WENT_WRONG.NotReadableError;

const box = document.querySelector("[data-camera]");
const part = (name) => box.querySelector(`[data-camera-${name}]`);
const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));
let stream = null;
let starting = false;
let reader = null;

function choice(value) {
  try {
    if (value === undefined) return localStorage.getItem(CHOICE) === "on";
    if (value) localStorage.setItem(CHOICE, "on");
    else localStorage.removeItem(CHOICE);
  } catch {
    // A device that keeps nothing asks for the tap each time.
  }
  return false;
}

function say(text, page = null) {
  part("says").textContent = text;
  part("other").hidden = !page;
  if (page) part("other").href = page;
}

// The browser's own reader where it knows these squares, else ours.
async function makeReader() {
  const own = globalThis.BarcodeDetector;
  const formats = ["qr_code"];
  if (own && (await own.getSupportedFormats()).includes(formats[0])) return new own({ formats });
  const ours = await import(box.dataset.detector);
  const overrides = { locateFile: () => box.dataset.wasm };
  await ours.prepareZXingModule({ overrides, fireImmediately: true });
  return new ours.BarcodeDetector({ formats });
}

function show(running) {
  part("start").hidden = running;
  part("view").hidden = !running;
  part("stop").hidden = !running;
  const [track] = stream?.getVideoTracks() ?? [];
  part("light").hidden = !track?.getCapabilities?.().torch;
  part("light").setAttribute("aria-pressed", "false");
}

function stop(text = "") {
  for (const track of stream?.getTracks() ?? []) track.stop();
  stream = null;
  part("video").srcObject = null;
  show(false);
  say(text);
}

async function start() {
  if (stream || starting || document.hidden) return;
  starting = true;
  say("Starting the camera …");
  try {
    stream = await navigator.mediaDevices.getUserMedia(WANTED);
    choice(true);
  } catch (error) {
    if (error.name === "NotAllowedError") choice(false);
    say(WENT_WRONG[error.name] ?? WENT_WRONG.NotReadableError);
  } finally {
    starting = false;
  }
  if (!stream) return;
  if (document.hidden) return stop();
  for (const track of stream.getTracks()) track.onended = () => stop(WENT_WRONG.ended);
  part("video").srcObject = stream;
  show(true);
  say("Hold the square on the ticket in front of the camera.");
  await look(stream);
}

async function look(mine) {
  const video = part("video");
  try {
    await video.play();
    reader ??= await makeReader();
    while (stream === mine) {
      const found = video.readyState > 1 ? await reader.detect(video) : [];
      if (stream === mine && found.length) saw(found.map((one) => one.rawValue));
      await pause(LOOK_EVERY_MS);
    }
  } catch {
    // A camera that was stopped meanwhile is no trouble.
    if (stream === mine) stop(WENT_WRONG.reader);
  }
}

function saw(texts) {
  const papers = [...new Set(texts.map(paperIn).filter(Boolean))];
  if (papers.length > 1) return say("Two papers are in the picture. Show one alone.");
  if (papers.length === 1) {
    navigator.vibrate?.(60);
    stop(`Opening ${papers[0].slice(3, 6)} ${papers[0].slice(6)} …`);
    return location.assign(papers[0]);
  }
  const page = texts.map(pageIn).find(Boolean) ?? null;
  if (page) return say("That is no ticket, but another page of this factory.", page);
  const [other] = texts;
  say(`That is no ticket: it says “${other.length > 60 ? `${other.slice(0, 60)} …` : other}”.`);
}

async function turnLight() {
  const on = part("light").getAttribute("aria-pressed") !== "true";
  try {
    await stream.getVideoTracks()[0].applyConstraints({ advanced: [{ torch: on }] });
    part("light").setAttribute("aria-pressed", String(on));
  } catch {
    part("light").hidden = true;
  }
}

if (box && isSecureContext && navigator.mediaDevices?.getUserMedia) {
  box.hidden = false;
  part("start").addEventListener("click", start);
  part("light").addEventListener("click", turnLight);
  part("stop").addEventListener("click", () => {
    choice(false);
    stop();
    part("start").focus();
  });
  // Nobody is watched from a pocket, and the next app may want the camera.
  const comeAndGo = () => {
    if (document.hidden) stop();
    else if (choice()) start();
  };
  document.addEventListener("visibilitychange", comeAndGo);
  window.addEventListener("pagehide", () => stop());
  window.addEventListener("pageshow", comeAndGo);
}
