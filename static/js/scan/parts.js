// Fills the page's places from the forms and cards that the kept page brings along.

import { stepOf } from "./fold.js";
import { swapIn } from "./swap.js";
import { clockOf, stateOf } from "./words.js";

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

/** What a kept page brings along: its board, its forms, the cards of its steps. */
export function keptParts(page) {
  const board = JSON.parse(page?.getElementById("board")?.textContent ?? "null");
  if (!board) return null;
  return {
    board,
    every: page.getElementById("every-form"),
    cards: [...page.querySelectorAll("template[data-stage]")],
  };
}

/** The card of a step. A step keeps its stage and its attempt when others come or go before it; its
    place among the steps it does not keep. Another attempt has the same numbers, not the same mix. */
function cardOf({ cards }, step) {
  const same = cards.filter((one) => step && Number(one.dataset.stage) === step.stage);
  const exact = same.find((one) => Number(one.dataset.attempt) === step.attempt);
  return { numbers: exact ?? same[0], mix: exact };
}

/** Where the board is now, in words, with its card and the buttons. */
export function redraw(kept, position, offer, device) {
  const main = document.querySelector("main");
  swapIn(main, () => {
    const clock = clockOf(kept.board.zone);
    slot("state").replaceChildren(...stateOf(position, offer, clock));
    fillRework(position, clock);
    fill(kept, position, offer, device);
    return main;
  });
}

function fill(kept, position, offer, device) {
  const step = cardOf(kept, stepOf(position));
  fillStep(step.numbers, position);
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
  if (pass && offer.main_kind === "passed") {
    pass.append(...partOf(step.numbers, "pass"));
    for (const sheet of pass.querySelectorAll("[data-qc]")) {
      sheet.dataset.qc = `${kept.board.code}:${position.index}`;
    }
  }
  slot("offer").replaceChildren(form);
  for (const photo of document.querySelectorAll("[data-photo-form], [data-photo-pick]")) {
    photo.dataset.step = position.index;
  }
}

function fillStep(card, position) {
  const { stage = "", name = "" } = stepOf(position) ?? {};
  if (slot("place")) slot("place").textContent = name;
  if (slot("card").dataset.stage !== String(stage)) {
    for (const part of ["card", "after"]) slot(part)?.replaceChildren(...partOf(card, part));
    slot("card").dataset.stage = stage;
    if (!card && name) {
      slot("card").append(
        says(`The numbers for ${name} are not on this device: read them from the paper.`),
      );
    }
  }
  const then = slot("after")?.querySelector("[data-then]");
  if (!then) return;
  const following = position.steps[position.index + 1];
  then.hidden = !following;
  then.querySelector("[data-following]").textContent = following?.name ?? "";
}

/** Why a step is done again. The spot is drawn only by the server, for the one it told of. */
function fillRework(position, { moment }) {
  const place = slot("rework");
  const { rework } = position;
  const attempt = stepOf(position)?.attempt ?? 1;
  const key = attempt > 1 && rework ? `${attempt} ${rework.ref}` : "";
  if (!place || place.dataset.key === key) return;
  place.dataset.key = key;
  place.replaceChildren();
  if (!key) return;
  const [item, strong, lead] = ["li", "strong", "span"].map((name) => document.createElement(name));
  strong.textContent = `Done again, try ${attempt}: ${rework.defect}.`;
  lead.className = "lead";
  lead.textContent = `${rework.by}, ${moment(rework.at)}`;
  item.append(strong, ` ${rework.note} `, lead);
  place.append(item);
}

function says(words) {
  return Object.assign(document.createElement("p"), { className: "lead", textContent: words });
}

/** Only for those who may work on the board. The page's own card may have been typed on already. */
function fillMixing({ numbers, mix: card }, position, offer) {
  const place = slot("mixing");
  if (!place) return;
  const { name, stage, attempt } = stepOf(position) ?? {};
  const shown = place.querySelector("[data-mix]")?.dataset;
  const same = shown && shown.stage === String(stage) && shown.attempt === String(attempt);
  if (!offer.works) place.replaceChildren();
  else if (!same) place.replaceChildren(...partOf(card, "mixing"));
  if (offer.works && !card && !same && numbers?.content.querySelector("[data-mix]")) {
    place.append(
      says(`What to mix for ${name} this time is not on this device: write the pot on the paper.`),
    );
  }
  const mix = place.querySelector("[data-mix]");
  if (!mix) return;
  mix.dataset.step = position.index;
  for (const field of mix.querySelectorAll("[name=step]")) field.value = position.index;
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
