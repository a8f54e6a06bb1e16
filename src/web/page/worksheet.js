// The worksheet: a calibration step by step, on a tablet. What comes next is the program's word; every entry is
// written to the logbook at once, so that a reload or the back button loses nothing.

import * as address from "./address.js";
import { askJson } from "./api.js";
import * as described from "./described.js";
import { bare, by, cautionsBox, dangerBox, el, problemBox, put, table, typed } from "./dom.js";
import { amperesTyped, MOMENTS, OUTPUTS, questionOf, readings, saying, written } from "./entries.js";
import * as queue from "./queue.js";
import * as waits from "./waits.js";

let visit = null;
/** Who wrote last in this browser; within a visit, `writer` says who writes. */
let person = localStorage.getItem("loopcrest.person") ?? "";
/** The visit shown: its number, and the hash of its opening, for another logbook has another visit of that number. */
let shown = null;
let next = null;
let told = null;
/** The steps of the description the visit was begun with, whatever description the page is about now. */
let steps = { hash: null, known: [] };

/** Shows what the address says. */
export async function show(values) {
  visit = /^\d+$/.test(values.visit ?? "") ? Number(values.visit) : null;
  told = null;
  shown = null;
  put(by("worksheet-problem"));
  await refresh();
}

/** Asks the program anew and shows where the visit stands. */
async function refresh() {
  waits.show();
  if (!described.choices().has_logbook) {
    put(by("worksheet-now"), el("p", {}, "The program keeps no logbook now. Start it with a description and a file for the visits:"),
      el("pre", {}, "loopcrest page bench.toml --logbook visits.db"),
      el("p", {}, "Then a visit is gone through here: what to do, in order, with its cautions; every number judged as it is entered, and written down at once."));
    put(by("worksheet-list"));
    return;
  }
  try {
    if (visit === null) await overview();
    else await current();
    put(by("worksheet-problem"));
  } catch (problem) {
    if (!problem.detail) throw problem;
    put(by("worksheet-problem"), problemBox(problem), toAll());
    if (problem.isOffline) setTimeout(() => { if (!by("worksheet").hidden) refresh(); }, 3000);
  }
}

async function overview() {
  const { visits } = await askJson("/api/v1/visits");
  const open = visits.filter((row) => row.state === "open");
  const { meters } = described.choices();
  // What was refused stands there to be mended.
  const before = JSON.parse(queue.refused().find((entry) => entry.path === "/api/v1/visits")?.text ?? "{}");
  const input = (id, words, more = {}) => el("div", { class: "control" }, el("label", { for: `visit-${id}` }, words), el("input", { id: `visit-${id}`, type: "text", autocomplete: "off", value: before[id] === undefined ? null : String(before[id]), ...more }));
  put(by("worksheet-now"),
    open.map((row) => el("p", { class: "buttons" }, el("button", { type: "button", class: "first", onclick: () => go(row.number) }, `Go on with visit ${row.number}: ${row.regulator}, ${row.day}`))),
    el("details", { open: open.length === 0 || before.by !== undefined }, el("summary", {}, "Begin a visit"),
      el("form", { onsubmit: begun },
        input("by", "Who does it", { required: true, value: before.by ?? person }),
        input("regulator", "Regulator", { required: true }),
        input("circuit", "Circuit (may stay empty)"),
        el("div", { class: "control" }, el("label", { for: "visit-meter" }, "Meter"),
          el("input", { id: "visit-meter", type: "text", list: "visit-meters", required: true, autocomplete: "off", value: before.meter ?? null }),
          el("datalist", { id: "visit-meters" }, meters.filter((meter) => meter.is !== "law").map((meter) => el("option", { value: meter.key })))),
        input("day", "Day (today when empty), such as 2026-11-25"),
        input("ambient", "Temperature at the meter, °C (may stay empty)", { inputmode: "decimal", value: before.ambient_degc === undefined ? null : String(before.ambient_degc) }),
        input("conditions", "Conditions (may stay empty)"),
        el("p", { class: "buttons" }, el("button", { type: "submit" }, "Begin the visit")))));
  put(by("worksheet-list"), visits.length
    ? table("Visits", ["Visit", "Regulator", "Meter", "Day", "Person", "State", "Readings"], visits.map((row) =>
      [el("a", { href: address.of("worksheet", { visit: row.number, toml: described.letters() }) }, String(row.number)), row.regulator, row.meter, row.day, row.person, row.state_words, String(row.readings)]))
    : null);
}

function go(number) {
  visit = number;
  address.write("worksheet", { visit, toml: described.letters() }, { isNew: true });
  refresh();
}

function begun(event) {
  event.preventDefault();
  const text = (id) => by(id).value.trim() || undefined;
  const ambient = text("visit-ambient");
  person = text("visit-by") ?? "";
  localStorage.setItem("loopcrest.person", person);
  freeze();
  queue.add("/api/v1/visits", {
    by: person, regulator: text("visit-regulator"), meter: text("visit-meter"), circuit: text("visit-circuit"), day: text("visit-day"),
    // What is no number goes as it is: the program says so.
    ambient_degc: ambient === undefined ? undefined : Number.isNaN(Number(typed(ambient))) ? ambient : Number(typed(ambient)), conditions: text("visit-conditions"),
  }, { about: `a visit on ${text("visit-regulator")} with ${text("visit-meter")}, ${person}`, question: "visit" });
  waits.show();
}

/** Nothing can be tapped twice: what stands there waits for the program's word. */
function freeze() {
  for (const button of by("worksheet-now").querySelectorAll("button")) button.disabled = true;
}

const entriesOf = (number) => `/api/v1/visits/${number}/entries`;

const writerKey = (hash) => `loopcrest.writer.${hash.slice(0, 16)}`;

/** Who writes in the visit shown; asked anew in every browser and for every visit, for the name signs the entries. */
const writer = () => (shown ? localStorage.getItem(writerKey(shown.hash)) : null);

function writeAs(hash, name) {
  person = name;
  localStorage.setItem("loopcrest.person", name);
  localStorage.setItem(writerKey(hash), name);
}

/** Writes an entry. */
function enter(entry) {
  freeze();
  const about = `${saying(entry)}; visit ${visit}, ${shown.regulator}`;
  queue.add(entriesOf(visit), { by: writer(), opening_hash: shown.hash, entry }, { about, question: questionOf(entry) });
  waits.show();
}

const draftsKey = () => `loopcrest.draft.${shown?.hash.slice(0, 16)}.`;
const draftKey = () => `${draftsKey()}${next.item}.${next.step ?? ""}.${next.moment ?? ""}`;
const forget = () => Object.keys(localStorage).filter((key) => key.startsWith(draftsKey())).forEach((key) => localStorage.removeItem(key));

/** An input whose text outlives a reload. */
function kept(attributes, which = "") {
  const key = draftKey() + which;
  return el("input", { autocomplete: "off", ...attributes, value: localStorage.getItem(key) ?? "", oninput: (event) => localStorage.setItem(key, event.target.value) });
}

async function current() {
  const [row, ahead, far] = await Promise.all([`/api/v1/visits/${visit}`, `/api/v1/visits/${visit}/next`, `/api/v1/visits/${visit}/calibration`].map((path) => askJson(path)));
  const { hash } = row.entries[0];
  // The program was begun anew between the questions.
  if (ahead.opening_hash !== hash) {
    await refresh();
    return;
  }
  const before = shown?.visit === visit ? shown : null;
  shown = { visit, hash, regulator: row.visit.regulator, isAnother: before !== null && (before.isAnother || before.hash !== hash) };
  if (steps.hash !== hash) steps = { hash, known: await stepsOf(row) };
  const isOver = ahead.kind === "finished";
  next = ahead;
  put(by("worksheet-now"),
    el("p", { class: "stage" }, `Visit ${visit}: ${row.visit.regulator}, ${row.visit.meter}, ${row.visit.day}, ${row.visit.person}; ${row.visit.state_words}`),
    shown.isAnother ? el("div", { class: "problem", role: "alert" }, el("strong", {}, "Another logbook"), el("p", {}, `The program keeps another logbook than before: visit ${visit} there is the one named above.`)) : null,
    isOver ? null : signature(row),
    cautionsBox(ahead.cautions),
    dangerBox(far.dangers),
    told ? el("div", { class: "advice", id: "worksheet-advice", role: "status" }, el("p", {}, told)) : null,
    isOver ? over(row, far) : writer() ? item(ahead) : who(row));
  if (queue.waiting().some((entry) => entry.path === entriesOf(visit))) freeze();
  put(by("worksheet-list"), readings(far), isOver || !writer() ? null : aside(ahead), written(row, isOver || !writer() ? null : enter));
  // Closed cautions stay closed: they were read on the way here, and those of the item stand with it.
  if (row.entries.length > 1 && (isOver || writer())) by("worksheet-now").querySelector("details.cautions")?.removeAttribute("open");
}

const toAll = () => (visit === null ? null : el("p", { class: "buttons" }, el("button", { type: "button", onclick: () => { visit = null; told = null; shown = null; put(by("worksheet-problem")); address.write("worksheet", { toml: described.letters() }, { isNew: true }); refresh(); } }, "All visits")));

/** With what name everything here is signed, and the way to another. */
function signature(row) {
  const name = writer();
  if (!name) return null;
  return el("p", { class: "stage" }, "Written as ", el("strong", { id: "worksheet-writer" }, name), " ",
    el("button", { type: "button", class: "quiet", id: "worksheet-other", onclick: () => { localStorage.removeItem(writerKey(row.entries[0].hash)); refresh(); } }, "Somebody else writes"));
}

/** Asks who writes before anything is written. */
function who(row) {
  const { hash } = row.entries[0];
  const known = [...new Set([row.visit.person, person])].filter(Boolean);
  const field = el("input", { id: "who-name", type: "text", autocomplete: "off", required: true });
  const take = (name) => { writeAs(hash, name); refresh(); };
  return el("section", { class: "item", "aria-labelledby": "worksheet-who" },
    el("h3", { id: "worksheet-who", tabindex: "-1" }, "Who writes?"),
    el("p", {}, `${row.visit.person} began this visit. Every entry is signed with the name of whoever writes it.`),
    el("p", { class: "buttons" }, known.map((name) => el("button", { type: "button", "data-name": name, onclick: () => take(name) }, name))),
    el("form", { onsubmit: (event) => { event.preventDefault(); if (field.value.trim()) take(field.value.trim()); } },
      el("div", { class: "control" }, el("label", { for: "who-name" }, "Another name"), field),
      el("p", { class: "buttons" }, el("button", { type: "submit" }, "Write with this name"))));
}

/** What a visit that is over came to, and how its record is had. */
const over = (row, far) => [
  el("section", { class: "item", id: "worksheet-over" },
    el("p", {}, far.is_good
      ? el("span", { class: "verdict good" }, "✓ Every step was left right, and the protections acted in time.")
      : el("span", { class: "verdict bad" }, "✗ Not everything was left right:")),
    far.shortfalls.length ? el("ul", {}, far.shortfalls.map((text) => el("li", {}, text))) : null,
    el("p", {}, "This visit is over. Its record, as PDF, HTML and JSON:"),
    el("pre", {}, `loopcrest logbook record ${visit} --logbook ${JSON.stringify(row.logbook)} --out record-${visit}`)),
  toAll(),
];

/** Steps and bands as the visit has them; none are better than those of another description. */
async function stepsOf(row) {
  const description = row.entries[0]?.entry?.description;
  if (!description) return [];
  return askJson("/api/v1/choices", { body: description, kind: "application/toml" }).then((found) => found.steps, () => []);
}

function item(ahead) {
  return el("section", { class: "item", "aria-labelledby": "worksheet-item" },
    ahead.stage ? el("p", { class: "stage" }, ahead.stage) : null,
    dangerBox(ahead.dangers),
    el("h3", { id: "worksheet-item", tabindex: "-1" }, ahead.kind === "close" ? "Close the visit" : ahead.text ?? ""),
    ahead.why ? el("p", {}, ahead.why) : null,
    ahead.item_cautions.length ? el("div", { class: "cautions", role: "note" }, el("ul", {}, ahead.item_cautions.map((text) => el("li", {}, text)))) : null,
    // Beside a danger only what tells of it stands out.
    ahead.knows.length ? el("div", { class: ahead.knows_against && !ahead.dangers.length ? "against" : null }, ahead.knows.map((text) => el("p", { class: text.includes("DANGER") ? "against" : null }, text))) : null,
    ahead.is_refused ? el("p", { class: "against" }, "An earlier answer was no: nothing behind it goes on until it is yes.") : null,
    ({ confirm, ask: question, read, prove, close }[ahead.kind] ?? (() => null))(ahead));
}

const confirm = (ahead) => el("p", { class: "buttons" },
  el("button", { type: "button", class: "first", id: "answer-yes", onclick: () => enter({ kind: "answer", item: ahead.item, holds: true }) }, "Yes, it is so"),
  el("button", { type: "button", id: "answer-no", onclick: () => enter({ kind: "answer", item: ahead.item, holds: false }) }, "No"));

function question(ahead) {
  const field = kept({ id: "answer-text", type: "text" });
  return el("form", { onsubmit: (event) => { event.preventDefault(); enter({ kind: "answer", item: ahead.item, text: field.value.trim() || undefined }); } },
    el("div", { class: "control" }, el("label", { for: "answer-text" }, "Your answer"), field),
    el("p", { class: "buttons" }, el("button", { type: "submit" }, "Write it down")));
}

function read(ahead) {
  const step = steps.known.find((one) => one.number === ahead.step);
  const field = kept({ id: "reading", type: "text", inputmode: "decimal", class: "number", required: true, "aria-describedby": "reading-about" });
  const entry = () => ({ kind: "reading", step: ahead.step, moment: ahead.moment, output: ahead.output, typed: amperesTyped(field) });
  return [
    el("p", { id: "reading-about" }, `Step ${ahead.step}${step ? `, ${bare(step.nominal_rms_a, 2)} A, band ${bare(step.band_low_a, 2)} to ${bare(step.band_high_a, 2)} A true RMS` : ""}; ${MOMENTS[ahead.moment]}, ${OUTPUTS[ahead.output]}.${ahead.last_typed ? ` Last entered: ${ahead.last_typed}, not yet right.` : ""}${ahead.right_as_found ? ` As found: ${ahead.right_as_found}, right; read it once more as it is left.` : ""}`),
    el("form", { onsubmit: (event) => { event.preventDefault(); enter(entry()); } },
      el("div", { class: "control" }, el("label", { for: "reading" }, "What the display shows"), el("span", { class: "typed" }, field, " A")),
      el("p", { class: "buttons" }, el("button", { type: "submit" }, "Judge and write down"))),
    el("details", {}, el("summary", {}, "Leave this step as it is"),
      el("div", { class: "control" }, el("label", { for: "leave-reason" }, "Why"), kept({ id: "leave-reason", type: "text" }, "why")),
      el("p", { class: "buttons" }, el("button", { type: "button", onclick: () => enter({ kind: "leave-step", step: ahead.step, moment: ahead.moment, reason: by("leave-reason").value.trim() || undefined }) }, "Leave the step"))),
  ];
}

function prove(ahead) {
  const words = (id) => typed(by(id).value) || undefined;
  const proof = (acted) => enter({ kind: "proof", item: ahead.item, acted, shown: words("proof-shown"), time: words("proof-time"), remark: by("proof-remark").value.trim() || undefined });
  const field = (id, label, more = {}) => el("div", { class: "control" }, el("label", { for: id }, label), kept({ id, type: "text", ...more }, id));
  return [
    field("proof-shown", "What the meter showed then, A (may stay empty)", { inputmode: "decimal" }),
    field("proof-time", "How long it took, such as 3 s (may stay empty)"),
    field("proof-remark", "Anything else"),
    el("p", { class: "buttons" },
      el("button", { type: "button", class: "first", id: "proof-acted", onclick: () => proof(true) }, "It acted"),
      el("button", { type: "button", id: "proof-idle", onclick: () => proof(false) }, "It did not act")),
    el("details", {}, el("summary", {}, "Leave this trial out"),
      el("div", { class: "control" }, el("label", { for: "proof-why" }, "Why"), kept({ id: "proof-why", type: "text" }, "out")),
      el("p", { class: "buttons" }, el("button", { type: "button", id: "proof-out", onclick: () => enter({ kind: "answer", item: ahead.item, text: by("proof-why").value.trim() || undefined }) }, "Leave it out"))),
  ];
}

function close() {
  return [
    el("div", { class: "control" }, el("label", { for: "close-due" }, "Next due, such as 2027-11-25 (may stay empty)"), kept({ id: "close-due", type: "text" }, "due")),
    el("div", { class: "control" }, el("label", { for: "close-remark" }, "Anything else"), kept({ id: "close-remark", type: "text" }, "remark")),
    el("p", { class: "buttons" }, el("button", { type: "button", class: "first", id: "close-visit", onclick: () => enter({ kind: "closing", complete: true, next_due: by("close-due").value.trim() || undefined, remark: by("close-remark").value.trim() || undefined }) }, "Close the visit")),
  ];
}

/** What may be entered at any time. */
const aside = (ahead) => el("details", {}, el("summary", {}, "Remark, take back, end early"),
  el("div", { class: "control" }, el("label", { for: "remark" }, "Remark"), kept({ id: "remark", type: "text" }, "aside")),
  el("p", { class: "buttons" },
    el("button", { type: "button", onclick: () => { const text = by("remark").value.trim(); if (text) enter({ kind: "remark", text }); } }, "Write the remark down"),
    el("button", { type: "button", id: "take-back", disabled: ahead.last_entry === null, onclick: () => enter({ kind: "take-back", entry: ahead.last_entry }) }, ahead.last_entry === null ? "Nothing to take back" : `Take back entry ${ahead.last_entry}: ${ahead.last_says}`),
    el("button", { type: "button", onclick: () => { const remark = by("remark").value.trim(); if (remark) enter({ kind: "closing", complete: false, remark }); else by("remark").focus(); } }, "End the visit early, for the reason above")));

/** Other windows of this browser hear of what was written here. */
const others = new BroadcastChannel("loopcrest");

/** What became of an entry. */
async function became({ entry, answer, problem, isKept }) {
  const isHere = !by("worksheet").hidden;
  waits.show();
  if (!entry || isKept) return;
  if (problem) {
    told = null;
    if (!isHere) return;
    await refresh();
    by("reading")?.focus();
    return;
  }
  others.postMessage(entry.path);
  put(by("worksheet-problem"));
  if (entry.path === "/api/v1/visits") writeAs(answer.entry.hash, JSON.parse(entry.text).by);
  if (shown !== null && entry.path === entriesOf(shown.visit)) forget();
  told = answer.advice ?? `Written down: ${answer.entry.says}`;
  if (entry.path === "/api/v1/visits" && answer.entry.visit !== null) {
    visit = answer.entry.visit;
    shown = null;
    if (isHere) address.write("worksheet", { visit, toml: described.letters() }, { isNew: true });
  }
  if (!isHere) return;
  await refresh();
  by("worksheet-item")?.focus();
}

/** Once, when the page begins. */
export function begin() {
  waits.begin(() => { if (!by("worksheet").hidden) refresh(); });
  queue.begin(became);
  const look = () => { if (!by("worksheet").hidden && described.choices() !== null) refresh(); };
  others.addEventListener("message", look);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) look(); });
}
