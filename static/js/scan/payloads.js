// What the fields beside a tap mean, as far as a device by itself must know: stages/scan/payloads.py.

const number = (text) => (/^\d{1,4}$/.test(text ?? "") ? Number(text) : null);

const READERS = {
  taken: (field) => ({ condition: field("condition"), ahead: number(field("ahead")) }),
  sent_back: (field) => ({
    ...{ to: number(field("to")), defect: field("defect")?.trim() },
    note: field("note")?.trim() ?? "",
  }),
  held: (field) => ({
    reason: [field("reason"), field("note")].map((text) => text?.trim()).filter(Boolean).join(": "),
  }),
  undone: (field) => ({ ref: field("undo") }),
  mixed: (field) => ({ pot: field("pot"), coat: field("coat")?.trim() }),
};

export function payloadOf({ kind, fields }) {
  const values = new Map(fields);
  const payload = READERS[kind]?.((name) => values.get(name)) ?? {};
  const rest = values.get("rest_s");
  if (rest && /^\d+$/.test(rest)) payload.rest_s = Number(rest);
  return payload;
}

/** The codes of the guards that a reason was given for. */
export const overridesOf = ({ fields }) => [
  ...new Set(
    fields
      .filter(([name, reason]) => /^(why|more)-/.test(name) && reason.trim())
      .map(([name]) => name.replace(/^(why|more)-/, "")),
  ),
];
