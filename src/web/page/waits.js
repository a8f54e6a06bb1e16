// What is entered and not yet written: said on every desk, and on the worksheet one by one with why, and what can
// be done about it.

import { by, el, put } from "./dom.js";
import * as queue from "./queue.js";

let changed = () => {};
let last = "";

/** A number the program asks about before it takes it. */
const isDoubt = ({ problem, isRefused }) => isRefused && problem.field === "typed" && problem.type?.endsWith("/conflict");

/** Shows how many entries wait, and those that have met with trouble. */
export function show() {
  const all = queue.all();
  const [refused, waiting] = [all.filter((entry) => entry.isRefused).length, all.filter((entry) => !entry.isRefused).length];
  const counted = (count, one, many) => `${count} ${count === 1 ? one : many}`;
  const parts = [
    waiting > 0 ? `${counted(waiting, "entry waits", "entries wait")} to be written; kept in this browser and sent again` : null,
    refused > 0 ? `${counted(refused, "entry was", "entries were")} not written: look at ${refused === 1 ? "it" : "them"}` : null,
  ].filter(Boolean);
  const line = by("worksheet-line");
  line.classList.toggle("waiting", all.length > 0);
  line.textContent = parts.join(". ") || "Everything entered is written.";
  const elsewhere = by("queue-line");
  elsewhere.hidden = all.length === 0 || !by("worksheet").hidden;
  if (!elsewhere.hidden) put(elsewhere, "Worksheet: ", parts.join(". "), ". ", el("a", { href: "#worksheet" }, "Look"));
  const troubled = all.filter((entry) => entry.problem);
  const now = JSON.stringify(troubled);
  if (now === last) return;
  last = now;
  put(by("worksheet-waits"), troubled.map(trouble));
}

function trouble(entry) {
  const { name, about, problem, isRefused } = entry;
  const isAsked = isDoubt(entry);
  const title = isAsked ? "Not written down yet: is that what the display shows?" : isRefused ? "Not written" : "Waits to be written";
  const act = (work) => () => { work(); show(); changed(); };
  const shows = isAsked ? JSON.parse(entry.text).entry.typed : null;
  return el("div", { class: "problem", role: "alert" },
    el("strong", {}, title),
    el("p", {}, about ?? entry.path),
    el("p", {}, `${problem.field && !isAsked ? `${problem.field}: ` : ""}${problem.detail ?? problem.title ?? ""}`),
    problem.allowed ? el("p", {}, `Allowed: ${problem.allowed}`) : null,
    el("p", {}, `Try: ${isAsked ? "look again; if it is so, keep it; if not, enter the right number below, which takes its place" : problem.hint ?? "send it again"}`),
    problem.isOffline ? el("p", {}, `Begin the program again as before and at the same port: loopcrest page … --logbook … --port ${location.port}. What waits is kept in this browser for this address, ${location.origin}, alone.`) : null,
    el("p", { class: "buttons" },
      isAsked
        ? el("button", { type: "button", id: "reading-keep", onclick: act(() => queue.again(name, (body) => ({ ...body, entry: { ...body.entry, keep_doubtful: true } }))) }, `I looked again: keep ${shows} A`)
        : el("button", { type: "button", "data-again": name, onclick: act(() => queue.again(name)) }, isRefused ? "Send again" : "Send now"),
      el("button", { type: "button", "data-drop": name, onclick: act(() => queue.drop(name)) }, "Drop it")));
}

/** Once, when the page begins; `callback` hears when the person has done something about an entry. */
export function begin(callback) {
  changed = callback;
  show();
}
