// Entries on their way to the logbook. Each gets a name of its own before it is sent, and stands in this browser's
// store until the program says it is written: a reload, a lost connection or a second tap cannot write it twice,
// for the program knows the name again.

import { ask } from "./api.js";

const KEY = "loopcrest.queue";
let told = () => {};
let isSending = false;
let retry = null;
let wait = 1;

/** All that is not yet known to be written, the oldest first. */
export function waiting() {
  try {
    return JSON.parse(localStorage.getItem(KEY)) ?? [];
  } catch {
    return [];
  }
}

const store = (entries) => localStorage.setItem(KEY, JSON.stringify(entries));

/** A name no other entry has. */
function name() {
  const letters = Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0"));
  return letters.join("");
}

/** Keeps an entry and sends it; the same entry waiting already is not kept twice. */
export function add(path, body) {
  const text = JSON.stringify(body);
  const entries = waiting();
  if (!entries.some((entry) => entry.path === path && entry.text === text)) store([...entries, { name: name(), path, text }]);
  send();
}

/** Sends what waits, in order; stops at the first that does not get through. */
export async function send() {
  if (isSending) return;
  isSending = true;
  clearTimeout(retry);
  const work = async () => {
    for (let [first] = waiting(); first; [first] = waiting()) {
      let outcome;
      try {
        const answer = await ask(first.path, { body: first.text, kind: "application/json", headers: { "idempotency-key": first.name } });
        outcome = { entry: first, answer: await answer.json() };
      } catch (problem) {
        // No connection, a program that is busy or stops: it stays and is sent again under the same name.
        if (problem.isOffline || problem.status >= 500 || problem.status === 408 || problem.status === undefined) {
          told({ entry: first, problem, isKept: true });
          retry = setTimeout(send, wait * 1000);
          wait = Math.min(wait * 2, 15);
          return;
        }
        outcome = { entry: first, problem };
      }
      wait = 1;
      store(waiting().filter((entry) => entry.name !== first.name));
      await told(outcome);
    }
  };
  try {
    // Two windows of the same browser take turns.
    await (navigator.locks ? navigator.locks.request(KEY, work) : work());
  } finally {
    isSending = false;
  }
}

/** Who hears what became of each entry; begins to send what was left from before. */
export function begin(callback) {
  told = callback;
  addEventListener("online", () => send());
  addEventListener("storage", (event) => { if (event.key === KEY) told({}); });
  send();
}
