// Entries on their way to the logbook. Each gets a name of its own before it is sent, and stands in this browser's
// store until the program says it is written, or the person drops it knowing why it was not: a reload, a lost
// connection or a second tap cannot write it twice, for the program knows the name again.

import { ask } from "./api.js";

const KEY = "loopcrest.queue";
const KEPT = ["title", "detail", "hint", "allowed", "field", "type", "status", "isOffline"];
let told = () => {};
let isSending = false;
let isAsked = false;
let retry = null;
let wait = 1;

/** All that is not yet known to be written, the oldest first; each with its `problem` once there is one. */
export function all() {
  try {
    return JSON.parse(localStorage.getItem(KEY)) ?? [];
  } catch {
    return [];
  }
}

/** What is sent again by itself. */
export const waiting = () => all().filter((entry) => !entry.isRefused);

/** What the program refused: it stays until it is sent again or dropped. */
export const refused = () => all().filter((entry) => entry.isRefused);

const store = (entries) => localStorage.setItem(KEY, JSON.stringify(entries));
const change = (name, more) => store(all().map((entry) => (entry.name === name ? { ...entry, ...more } : entry)));

/** A name no other entry has. */
function newName() {
  const letters = Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0"));
  return letters.join("");
}

/**
 * Keeps an entry and sends it; the same entry waiting already is not kept twice. `about` is what it says, in words;
 * `question` what it answers: a refused answer to the same question makes room for this one.
 */
export function add(path, body, { about, question }) {
  const text = JSON.stringify(body);
  const entries = all().filter((entry) => !(entry.isRefused && entry.path === path && entry.question === question));
  const isThere = entries.some((entry) => entry.path === path && entry.text === text);
  store(isThere ? entries : [...entries, { name: newName(), path, text, about, question }]);
  send();
}

/** Sends one that was refused once more; with other words where `reworded` makes them. */
export function again(name, reworded = (body) => body) {
  const entry = all().find((one) => one.name === name);
  if (!entry) return;
  change(name, { text: JSON.stringify(reworded(JSON.parse(entry.text))), isRefused: false, problem: null });
  wait = 1;
  send();
}

/** Lets one go that was not written. */
export function drop(name) {
  store(all().filter((entry) => entry.name !== name));
}

/** Sends what waits, in order. What the program refuses stays, with why; without a connection all of it waits. */
export async function send() {
  if (isSending) {
    isAsked = true;
    return;
  }
  isSending = true;
  clearTimeout(retry);
  const work = async () => {
    // A visit that is not there now: its entries wait, those of others go on.
    const missing = new Set();
    const next = () => waiting().find((entry) => !missing.has(entry.path));
    for (let entry = next(); entry; entry = next()) {
      let answer;
      try {
        answer = await (await ask(entry.path, { body: entry.text, kind: "application/json", headers: { "idempotency-key": entry.name } })).json();
      } catch (problem) {
        // No connection, a program that is busy or stops: it is sent again under the same name.
        const isOff = problem.isOffline || problem.status >= 500 || problem.status === 408 || problem.status === undefined;
        const isMissing = problem.status === 404;
        const why = Object.fromEntries(KEPT.map((key) => [key, problem[key]]));
        change(entry.name, { problem: why.detail ? why : { ...why, title: "no answer that can be read", detail: String(problem) }, isRefused: !isOff && !isMissing });
        if (isOff || isMissing) later();
        await told({ entry, problem, isKept: isOff || isMissing });
        if (isOff) return;
        if (isMissing) missing.add(entry.path);
        continue;
      }
      wait = 1;
      drop(entry.name);
      await told({ entry, answer });
    }
  };
  try {
    // Two windows of the same browser take turns.
    await (navigator.locks ? navigator.locks.request(KEY, work) : work());
  } finally {
    isSending = false;
  }
  if (isAsked) {
    isAsked = false;
    send();
  }
}

function later() {
  clearTimeout(retry);
  retry = setTimeout(send, wait * 1000);
  wait = Math.min(wait * 2, 15);
}

/** Who hears what became of each entry; begins to send what was left from before. */
export function begin(callback) {
  told = callback;
  addEventListener("online", () => send());
  addEventListener("storage", (event) => { if (event.key === KEY) told({}); });
  send();
}
