// The worksheet: a calibration step by step, on a tablet. What comes next is the program's word; every entry is
// written to the logbook at once, so that a reload or the back button loses nothing.

import * as address from "./address.js";
import { askJson } from "./api.js";
import * as described from "./described.js";
import { amperes, bare, by, cautionsBox, el, problemBox, put, table, typed } from "./dom.js";
import * as queue from "./queue.js";

let visit = null;
let person = localStorage.getItem("loopcrest.person") ?? "";
let next = null;
let told = null;
/** The steps of the description the visit was begun with, whatever description the page is about now. */
let steps = { visit: null, known: [] };

/** Shows what the address says. */
export async function show(values) {
  visit = /^\d+$/.test(values.visit ?? "") ? Number(values.visit) : null;
  told = null;
  put(by("worksheet-problem"));
  await refresh();
}

/** Asks the program anew and shows where the visit stands. */
async function refresh() {
  line();
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
  } catch (problem) {
    if (!problem.detail) throw problem;
    put(by("worksheet-problem"), problemBox(problem));
    if (problem.isOffline) setTimeout(() => { if (!by("worksheet").hidden) refresh(); }, 3000);
  }
}

function line(words) {
  const count = queue.waiting().length;
  const target = by("worksheet-line");
  target.classList.toggle("waiting", count > 0);
  target.textContent = count > 0
    ? `${count} ${count === 1 ? "entry waits" : "entries wait"} to be written; kept in this browser and sent again`
    : words ?? "Everything entered is written.";
}

async function overview() {
  const { visits } = await askJson("/api/v1/visits").catch((problem) => {
    // A logbook that has not been written yet is no fault.
    if (problem.status >= 500 || problem.status === 404) return { visits: [] };
    throw problem;
  });
  const open = visits.filter((row) => row.state === "open");
  const { meters } = described.choices();
  const input = (id, words, more = {}) => el("div", { class: "control" }, el("label", { for: id }, words), el("input", { id, type: "text", autocomplete: "off", ...more }));
  put(by("worksheet-now"),
    open.map((row) => el("p", { class: "buttons" }, el("button", { type: "button", class: "first", onclick: () => go(row.number) }, `Go on with visit ${row.number}: ${row.regulator}, ${row.day}`))),
    el("details", { open: open.length === 0 }, el("summary", {}, "Begin a visit"),
      el("form", { onsubmit: begun },
        input("visit-by", "Who does it", { required: true, value: person }),
        input("visit-regulator", "Regulator", { required: true }),
        input("visit-circuit", "Circuit (may stay empty)"),
        el("div", { class: "control" }, el("label", { for: "visit-meter" }, "Meter"),
          el("input", { id: "visit-meter", type: "text", list: "visit-meters", required: true, autocomplete: "off" }),
          el("datalist", { id: "visit-meters" }, meters.filter((meter) => meter.is !== "law").map((meter) => el("option", { value: meter.key })))),
        input("visit-day", "Day (today when empty), such as 2026-11-25"),
        input("visit-ambient", "Temperature at the meter, °C (may stay empty)", { inputmode: "decimal" }),
        input("visit-conditions", "Conditions (may stay empty)"),
        el("p", { class: "buttons" }, el("button", { type: "submit" }, "Begin the visit")))));
  put(by("worksheet-list"), visits.length
    ? table("Visits", ["Visit", "Regulator", "Meter", "Day", "Person", "State", "Readings"], visits.map((row) =>
      [String(row.number), row.regulator, row.meter, row.day, row.person, row.state_words, String(row.readings)]))
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
    ambient_degc: ambient === undefined ? undefined : Number(typed(ambient)), conditions: text("visit-conditions"),
  });
  line();
}

/** Nothing can be tapped twice: what stands there waits for the program's word. */
function freeze() {
  for (const button of by("worksheet-now").querySelectorAll("button")) button.disabled = true;
}

/** Writes an entry. */
function enter(entry) {
  freeze();
  queue.add(`/api/v1/visits/${visit}/entries`, { by: person, entry });
  line();
}

const draftKey = () => `loopcrest.draft.${visit}.${next.item}.${next.step ?? ""}`;
const forget = () => Object.keys(localStorage).filter((key) => key.startsWith(`loopcrest.draft.${visit}.`)).forEach((key) => localStorage.removeItem(key));

/** An input whose text outlives a reload. */
function kept(attributes, which = "") {
  const key = draftKey() + which;
  return el("input", { autocomplete: "off", ...attributes, value: localStorage.getItem(key) ?? "", oninput: (event) => localStorage.setItem(key, event.target.value) });
}

async function current() {
  const [row, ahead, far] = await Promise.all([
    askJson(`/api/v1/visits/${visit}`),
    askJson(`/api/v1/visits/${visit}/next`).catch((problem) => ({ problem })),
    askJson(`/api/v1/visits/${visit}/calibration`).catch(() => null),
  ]);
  if (!person) person = row.visit.person;
  if (steps.visit !== visit) steps = { visit, known: await stepsOf(row) };
  const isOver = ahead.problem || ahead.kind === "finished";
  next = ahead.problem ? { kind: "finished" } : ahead;
  put(by("worksheet-now"),
    el("p", { class: "stage" }, `Visit ${visit}: ${row.visit.regulator}, ${row.visit.meter}, ${row.visit.day}; ${row.visit.state_words}`),
    ahead.cautions ? cautionsBox(ahead.cautions) : null,
    far?.dangers?.length ? el("div", { class: "problem", role: "alert" }, el("strong", {}, "Danger"), far.dangers.map((danger) => el("p", {}, danger))) : null,
    told ? el("div", { class: "advice", id: "worksheet-advice", role: "status" }, el("p", {}, told)) : null,
    isOver
      ? [el("p", { class: "advice" }, "This visit is over."), el("p", { class: "buttons" }, el("button", { type: "button", onclick: () => { visit = null; told = null; address.write("worksheet", { toml: described.letters() }, { isNew: true }); refresh(); } }, "All visits"))]
      : item(ahead));
  if (queue.waiting().length) freeze();
  put(by("worksheet-list"), readings(far), isOver ? null : aside(row), written(row));
  // Closed cautions stay closed: they were read on the way here, and those of the item stand with it.
  if (row.entries.length > 1) by("worksheet-now").querySelector("details.cautions")?.removeAttribute("open");
}

/** Steps and bands as the visit has them; none are better than those of another description. */
async function stepsOf(row) {
  const description = row.entries[0]?.entry?.description;
  if (!description) return [];
  return askJson("/api/v1/choices", { body: description, kind: "application/toml" }).then((found) => found.steps, () => []);
}

function item(ahead) {
  return el("section", { class: "item", "aria-labelledby": "worksheet-item" },
    ahead.stage ? el("p", { class: "stage" }, ahead.stage) : null,
    el("h3", { id: "worksheet-item", tabindex: "-1" }, ahead.kind === "close" ? "Close the visit" : ahead.text ?? ""),
    ahead.why ? el("p", {}, ahead.why) : null,
    ahead.item_cautions.length ? el("div", { class: "cautions", role: "note" }, el("ul", {}, ahead.item_cautions.map((text) => el("li", {}, text)))) : null,
    ahead.knows.length ? el("div", { class: ahead.knows_against ? "against" : null }, ahead.knows.map((text) => el("p", {}, text))) : null,
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

const MOMENTS = { "as-found": "as found", "as-left": "as left" };
const OUTPUTS = { shorted: "output shorted", field: "field connected" };

function read(ahead) {
  const step = steps.known.find((one) => one.number === ahead.step);
  const field = kept({ id: "reading", type: "text", inputmode: "decimal", class: "number", required: true, "aria-describedby": "reading-about" });
  const entry = (more) => ({ kind: "reading", step: ahead.step, moment: ahead.moment, output: ahead.output, typed: typed(field.value).replace(/\s*A$/i, ""), ...more });
  return [
    el("p", { id: "reading-about" }, `Step ${ahead.step}${step ? `, ${bare(step.nominal_rms_a, 2)} A, band ${bare(step.band_low_a, 2)} to ${bare(step.band_high_a, 2)} A true RMS` : ""}; ${MOMENTS[ahead.moment]}, ${OUTPUTS[ahead.output]}.${ahead.last_typed ? ` Last entered: ${ahead.last_typed}, not yet right.` : ""}`),
    el("form", { onsubmit: (event) => { event.preventDefault(); enter(entry()); } },
      el("div", { class: "control" }, el("label", { for: "reading" }, "What the display shows"), el("span", { class: "typed" }, field, " A")),
      el("p", { class: "buttons" }, el("button", { type: "submit" }, "Judge and write down"),
        el("button", { type: "button", id: "reading-keep", hidden: true, onclick: () => enter(entry({ keep_doubtful: true })) }, "I looked again: keep it"))),
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

function readings(far) {
  if (!far?.readings.length) return null;
  return table("Readings so far", ["Step", "When", "Output", "Shown", "True RMS then", "± (U)", "In its band with", "Good"], far.readings.map((one) => [
    String(one.step), MOMENTS[one.moment] ?? one.moment, OUTPUTS[one.output] ?? one.output, `${one.typed} A`.replace(/A A$/, "A"), amperes(one.true_rms_a), amperes(one.expanded_uncertainty_a),
    one.conformance_probability === null ? "–" : `${bare(one.conformance_probability * 100, 1)} %`,
    el("span", { class: `verdict ${one.is_accepted ? "good" : "bad"}` }, one.is_accepted ? "✓ accepted" : "✗ not accepted"),
  ]));
}

/** What may be entered at any time. */
const aside = (row) => el("details", {}, el("summary", {}, "Remark, take back, end early"),
  el("div", { class: "control" }, el("label", { for: "remark" }, "Remark"), el("input", { id: "remark", type: "text", autocomplete: "off" })),
  el("p", { class: "buttons" },
    el("button", { type: "button", onclick: () => { const text = by("remark").value.trim(); if (text) enter({ kind: "remark", text }); } }, "Write the remark down"),
    el("button", { type: "button", id: "take-back", disabled: row.entries.length < 2, onclick: () => enter({ kind: "take-back" }) }, "Take the last entry back"),
    el("button", { type: "button", onclick: () => { const remark = by("remark").value.trim(); if (remark) enter({ kind: "closing", complete: false, remark }); else by("remark").focus(); } }, "End the visit early, for the reason above")));

const written = (row) => el("details", {}, el("summary", {}, `All ${row.entries.length} entries`),
  el("ol", {}, row.entries.map((entry) => el("li", {}, entry.says))));

/** What became of an entry. */
async function became({ entry, answer, problem, isKept }) {
  const isHere = !by("worksheet").hidden;
  if (!entry || isKept) {
    if (isHere) line();
    return;
  }
  if (problem) {
    if (!isHere) return;
    await refresh();
    const keep = by("reading-keep");
    const isDoubt = keep !== null && problem.field === "typed" && problem.type?.endsWith("/conflict");
    put(by("worksheet-problem"), problemBox(isDoubt
      ? { title: "Not written down yet: is that what the display shows?", detail: problem.detail, hint: "look again; if it is so, keep it with the button beside" }
      : problem));
    if (isDoubt) {
      keep.hidden = false;
      by("reading").focus();
    }
    return;
  }
  put(by("worksheet-problem"));
  if (visit !== null) forget();
  told = answer.advice ?? `Written down: ${answer.entry.says}`;
  if (entry.path === "/api/v1/visits" && answer.entry.visit !== null) {
    visit = answer.entry.visit;
    if (isHere) address.write("worksheet", { visit, toml: described.letters() }, { isNew: true });
  }
  if (!isHere) return;
  await refresh();
  by("worksheet-item")?.focus();
}

/** Once, when the page begins. */
export function begin() {
  queue.begin(became);
}
