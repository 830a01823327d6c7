// Fills the page's places from the forms and cards that the kept page brings along.

import { stepOf } from "./fold.js";

export const slot = (name) => document.querySelector(`[data-slot="${name}"]`);

const hidden = (name, value) => {
  const field = document.createElement("input");
  field.type = "hidden";
  field.name = name;
  field.value = value;
  return field;
};

/** The entry as one that can be taken back, for as long as it can. */
export function undoForm(intent, until) {
  const form = document.createElement("form");
  form.method = "post";
  form.action = "/log/";
  form.dataset.log = "";
  form.dataset.until = new Date(until).toISOString();
  const button = document.createElement("button");
  button.name = "kind";
  button.value = "undone";
  button.textContent = "Undo";
  form.append(hidden("ticket", intent.ticket), hidden("undo", intent.ref), button);
  return form;
}

/** The buttons and the card of where the board is now. */
export function fill(kept, position, offer, device) {
  const step = kept.steps.get(position.index);
  fillStep(step, position);
  fillMixing(step, position, offer);
  const form = document.importNode(kept.every.content, true);
  for (const part of form.querySelectorAll("[data-if]")) {
    const name = part.dataset.if;
    if (!(name === "wrong" ? offer.wrong : offer[name])) part.remove();
  }
  for (const field of form.querySelectorAll("[name=step]")) field.value = position.index;
  if (device.name) for (const field of form.querySelectorAll("[name=device]")) field.value = device.name;
  for (const button of form.querySelectorAll("[data-main]")) {
    button.value = offer.main_kind;
    button.textContent = `${offer.label} ${button.dataset.main}`.trim();
  }
  for (const button of form.querySelectorAll("[data-kind]")) button.value = button.dataset.kind;
  if (!offer.send_back) form.querySelector("[data-hold]")?.setAttribute("open", "");
  reasons(form, offer.stops, kept.board.reasons ?? {});
  choices(form, "template[data-to]", [...offer.send_back_to].reverse());
  choices(form, "template[data-ahead]", offer.ahead);
  for (const place of form.querySelectorAll("[data-missing]")) {
    place.textContent = offer.coats_open.join(", ").toLowerCase();
  }
  const pass = form.querySelector('[data-slot="pass"]');
  if (pass && offer.main_kind === "passed") pass.append(...partOf(step, "pass"));
  slot("offer").replaceChildren(form);
}

function fillStep(step, position) {
  const name = position.steps[position.index]?.name ?? "";
  if (slot("place")) slot("place").textContent = name;
  if (slot("card")?.dataset.step === String(position.index)) return;
  for (const part of ["card", "after"]) {
    if (slot(part)) slot(part).replaceChildren(...partOf(step, part));
  }
  slot("card").dataset.step = position.index;
  if (!step && name) {
    const words = document.createElement("p");
    words.textContent = `The numbers for ${name} are not on this device: read them from the paper.`;
    slot("card").append(words);
  }
}

/** Only for those who may work on the board. The page's own card may have been typed on already. */
function fillMixing(step, position, offer) {
  const place = slot("mixing");
  if (!place) return;
  const shown = place.querySelector("[data-mix]")?.dataset.step;
  if (!offer.works) place.replaceChildren();
  else if (shown !== String(position.index)) place.replaceChildren(...partOf(step, "mixing"));
  const mix = place.querySelector("[data-mix]");
  if (!mix) return;
  mix.toggleAttribute("data-in-hand", position.state === "in_hand");
  mix.querySelector("[data-thumb]")?.classList.toggle("thumb", offer.unfinished);
  mix.dataset.poured = JSON.stringify(stepOf(position).coats);
  document.dispatchEvent(new CustomEvent("coats:changed"));
}

function partOf(step, name) {
  const part = step?.content.querySelector(`[data-part="${name}"]`);
  return part ? [...document.importNode(part, true).childNodes] : [];
}

function reasons(form, stops, known) {
  const template = form.querySelector("template[data-why]");
  if (!template) return;
  for (const stop of stops) {
    const field = document.importNode(template.content, true);
    const [chips, input, label] = ["fieldset", ".field input", ".field label"].map((one) =>
      field.querySelector(one),
    );
    input.name = input.id = label.htmlFor = `more-${stop.code}`;
    chips.querySelector("legend").textContent = "Go on all the same, because";
    for (const reason of known[stop.code] ?? []) {
      const chip = document.createElement("label");
      const radio = Object.assign(document.createElement("input"), { type: "radio", value: reason });
      radio.name = `why-${stop.code}`;
      chip.append(radio, Object.assign(document.createElement("span"), { textContent: reason }));
      chips.append(chip);
    }
    template.before(field);
  }
  template.remove();
}

function choices(form, place, steps) {
  const template = form.querySelector(place);
  if (!template) return;
  for (const { index, step } of steps) {
    const choice = document.importNode(template.content, true);
    choice.querySelector("input").value = index;
    choice.querySelector("span").textContent = step.name;
    template.before(choice);
  }
  template.remove();
}
