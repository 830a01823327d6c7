// Photos on a page: taken, kept on the device, shown as waiting, sent when there is signal.
// Parts of the page come and go, so everything is heard from the document.
import { newRef } from "../scan/ref.js";
import { passOf, person } from "../scan/who.js";
import { all, blobOf, put, remove } from "./kept.js";
import { changed, lastWord, send, start } from "./send.js";
import { shrink } from "./shrink.js";

document.documentElement.classList.add("has-script");

async function take(input) {
  const place = input.closest("[data-photo-pick], [data-photo-form]");
  const file = input.files[0];
  if (!file) return;
  const small = await shrink(file);
  input.value = "";
  const who = place.dataset.who ?? (await person(null))?.id ?? "";
  const photo = {
    ref: newRef(),
    board: place.dataset.board,
    address: place.dataset.address ?? new URL(place.action).pathname,
    step: place.dataset.step,
    kind: place.dataset.kind ?? "work",
    taken_at: new Date().toISOString(),
    who,
    pass: who && (await passOf(who)),
    type: small.type,
    bytes: await small.arrayBuffer(),
  };
  try {
    await put(photo);
  } catch {
    return notKept(place);
  }
  const refs = place.querySelector("[data-photo-refs]");
  if (refs) {
    refs.value = [...refs.value.split(",").filter(Boolean), photo.ref].join(",");
    place.querySelector("[data-photo-shown]").append(await picture(photo));
  }
  changed();
  send();
}

function notKept(place) {
  const words = document.createElement("p");
  words.className = "notice error";
  words.setAttribute("role", "alert");
  words.textContent = "This photo could not be kept on the device: its store is full or closed.";
  place.after(words);
}

// The policy lets pages show pictures from a data address, not from a blob's.
const dataOf = (blob) =>
  new Promise((done) => {
    const reader = new FileReader();
    reader.addEventListener("load", () => done(reader.result));
    reader.readAsDataURL(blob);
  });

async function picture(photo) {
  const item = document.createElement("li");
  item.className = "waits";
  item.dataset.ref = photo.ref;
  const image = document.createElement("img");
  image.alt = `Photo taken ${new Date(photo.taken_at).toLocaleTimeString([], { timeStyle: "short" })}`;
  image.src = await dataOf(blobOf(photo));
  const words = document.createElement("span");
  words.textContent = photo.refused ? `Not kept: ${photo.refused}` : "Waiting to be sent";
  item.append(image, words);
  if (photo.refused) {
    const button = document.createElement("button");
    button.type = "button";
    button.dataset.photoForget = photo.ref;
    button.textContent = "Remove it";
    item.append(button);
  }
  return item;
}

// Two changes may come close together: only the last one's drawing counts.
let drawing = 0;

async function show() {
  const mine = ++drawing;
  const photos = await all().catch(() => []);
  count(photos.filter((photo) => !photo.refused).length);
  for (const list of document.querySelectorAll("[data-photos-waiting]")) {
    const board = list.closest("[data-board]").dataset.board;
    const here = await Promise.all(photos.filter((one) => one.board === board).map(picture));
    if (mine !== drawing) return;
    list.replaceChildren(...here);
  }
  for (const item of document.querySelectorAll("[data-photo-shown] .waits")) {
    if (photos.some((photo) => photo.ref === item.dataset.ref)) continue;
    item.querySelector("span").textContent = "Sent";
    item.className = "";
  }
}

// At the top of the page, beside what else waits on this device.
function count(waiting) {
  let line = document.querySelector("[data-photos-count]");
  if (!line) {
    if (!waiting) return;
    line = document.createElement("p");
    line.className = "photos-waiting";
    line.dataset.photosCount = "";
    line.setAttribute("role", "status");
    const others = document.querySelector("[data-outbox]");
    if (others) others.after(line);
    else document.querySelector("main").prepend(line);
  }
  line.hidden = waiting === 0;
  const many = waiting === 1 ? "1 photo" : `${waiting} photos`;
  line.textContent = waiting ? `${many} waiting to be sent. ${lastWord()}` : "";
}

document.addEventListener("change", (event) => {
  if (event.target.matches("[data-photo-input]")) take(event.target);
});
document.addEventListener("click", async (event) => {
  const forget = event.target.closest("[data-photo-forget]");
  if (!forget) return;
  await remove(forget.dataset.photoForget);
  changed();
});
document.addEventListener("photos:changed", show);
// A photo that has arrived is drawn by the server from now on.
document.addEventListener("photos:sent", async ({ detail }) => {
  const list = document.querySelector(`[data-photos-waiting]`);
  if (list?.closest("[data-board]").dataset.board !== detail.board) return;
  const shown = list.parentElement.querySelector("[data-photos-arrived]") ?? arrivedAfter(list);
  const item = await picture(detail);
  item.className = "";
  item.querySelector("span").textContent = "Sent just now";
  shown.append(item);
});

function arrivedAfter(list) {
  const arrived = document.createElement("ul");
  arrived.className = "plain photos";
  arrived.dataset.photosArrived = "";
  list.after(arrived);
  return arrived;
}

show();
start();
