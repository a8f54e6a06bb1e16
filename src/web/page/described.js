// The description everything is about: the server's own, or one that was pasted (then it stands in the address).

import { packed, unpacked } from "./address.js";
import { ask, askJson, Problem } from "./api.js";

const state = { text: null, letters: "", choices: null, whole: null };

/** What may be chosen. */
export const choices = () => state.choices;

/** The pasted description as it stands in an address; empty for the server's own. */
export const letters = () => state.letters;

/** Whether a description was pasted. */
export const isPasted = () => state.text !== null;

/** Text of the description. */
export async function text() {
  return state.text ?? (state.whole ??= await (await ask("/api/v1/description")).text());
}

/** Takes what the address says; true when that changed the description. */
export async function follow(wanted = "") {
  if (state.choices && wanted === state.letters) return false;
  const pasted = wanted ? await unpacked(wanted).catch(() => {
    throw new Problem({ title: "the address is damaged", detail: "The description in this address cannot be read: it was cut or changed on its way.", hint: "have it sent again, or choose a desk above for the description the program was begun with" });
  }) : null;
  await take(pasted, wanted);
  return true;
}

/** Takes a description that was pasted, or `null` for the server's own; throws the Problem it has. */
export async function use(pasted) {
  if (pasted !== null && !pasted.trim()) {
    throw new Problem({ title: "nothing to use", detail: "The text is empty.", hint: "paste a description, or use the one the program was started with" });
  }
  await take(pasted, pasted === null ? "" : await packed(pasted));
}

async function take(pasted, wanted) {
  const found = pasted === null
    ? await askJson("/api/v1/choices")
    : await askJson("/api/v1/choices", { body: pasted, kind: "application/toml" });
  Object.assign(state, { text: pasted, letters: wanted, choices: found });
}

/** Asks about the description in use; for addresses that answer both to a look and to a text sent. */
export const askAbout = (path, options = {}) =>
  ask(path, state.text === null ? options : { ...options, body: state.text, kind: "application/toml" });

/** Asks an address that reads a body about the description in use, with a data sheet if there is one. */
export function askWith(path, { sheet, ...options } = {}) {
  const sent = {};
  if (state.text !== null) sent.description = state.text;
  if (sheet) sent.sheet = sheet;
  if (sheet) return ask(path, { ...options, body: JSON.stringify(sent), kind: "application/json" });
  return ask(path, { ...options, body: state.text ?? "", kind: "text/plain" });
}
