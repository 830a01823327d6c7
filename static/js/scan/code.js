// A ticket's code, found in what a camera or a hand scanner read.
const SYMBOLS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*";

export const ticketAddress = (code) => `/T/${code}`;

// Seven symbols, the last a check by ISO/IEC 7064 MOD 37-2, as orders/tickets/code.py has it.
export function isCode(text) {
  if (!/^[0-9A-HJKMNP-TV-Z]{7}$/.test(text)) return false;
  let sum = 0;
  for (const symbol of text) sum = (sum * 2 + SYMBOLS.indexOf(symbol)) % 37;
  return sum === 1;
}

// Where a paper's square leads here: a ticket's (T) or a manifest's (M). Whatever machine it names:
// papers outlive a change of address.
export function paperIn(text) {
  const [, kind, code] = /\/([TM])\/([^/?#\s]+)\/?$/.exec(text.trim().toUpperCase()) ?? [];
  return kind && isCode(code) ? `/${kind}/${code}` : null;
}

// Another page of this factory, as a path; null for anything else.
export function pageIn(text) {
  try {
    const address = new URL(text.trim());
    if (!/^https?:$/.test(address.protocol) || address.host !== location.host) return null;
    return address.pathname + address.search;
  } catch {
    return null;
  }
}
