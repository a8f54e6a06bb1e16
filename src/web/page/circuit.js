// The circuit desk: the groups of fixtures on the loop, their load, every step solved, and what tolerances do.

import * as address from "./address.js";
import { ask, askJson, isOvertaken, query } from "./api.js";
import * as described from "./described.js";
import { amperes, bare, by, cautionsBox, el, notes, percent, problemBox, put, shown, signed, table, typed, voltAmperes, volts, watts } from "./dom.js";

/** Columns of the table: key in the description, words, whether it is a text and, if so, what a bare number means. */
const COLUMNS = [
  ["name", "Name", "text", ""], ["kind", "Kind", "choice", ""], ["count", "Fixtures", "number", ""], ["power", "Power of one", "text", " W"],
  ["apparent-power", "Apparent power of one", "text", " VA"],
  ["power-factor", "Power factor", "number", ""], ["rating", "Transformer", "text", " W"], ["open", "Lamps out", "number", ""], ["shorted", "Shorted", "number", ""],
];
const KINDS = ["lamp", "constant-power", "rectifier", "apparent"];

let groups = [];
let before = "";
let after = "";
/** The text the table was last filled from, and the description it began with. */
let about = null;
let base = null;
/** The estimate that is followed now. */
let follows = null;

/** Shows the field of the description in use, or what was made of it here: that stands in the address. */
export async function show(asked) {
  const text = await described.text();
  const isKept = !asked.edited && base === text && about !== null && about !== text;
  const wanted = asked.edited ? await address.unpacked(asked.edited) : isKept ? about : text;
  base = text;
  if (wanted !== about) {
    about = wanted;
    read(wanted);
    draw();
    put(by("circuit-load"));
    put(by("circuit-estimated"));
  }
  if (isKept) await keep();
  sayEdited();
  put(by("circuit-cautions"), cautionsBox((await askJson("/api/v1/situation")).cautions));
}

/** Takes the groups out of the description; what the table has no column for stays in its group as it is. */
function read(text) {
  groups = [];
  const lines = text.split("\n");
  const heads = lines.map((line) => /^\s*\[/.test(line));
  const isGroup = (line) => /^\s*\[\[\s*field\.group\s*\]\]/.test(line);
  const kept = [];
  let place = null;
  for (let at = 0; at < lines.length; at++) {
    if (!isGroup(lines[at])) {
      kept.push(lines[at]);
      continue;
    }
    place ??= kept.length;
    const group = { rest: [] };
    while (at + 1 < lines.length && !heads[at + 1]) {
      at++;
      const [, key, value] = /^\s*([\w-]+)\s*=\s*("[^"]*"|\{[^}]*\}|[^#]*)/.exec(lines[at]) ?? [];
      const rating = key === "transformer" ? /rating\s*=\s*"([^"]*)"/.exec(value) : null;
      if (rating && /^\{\s*rating\s*=\s*"[^"]*"\s*\}$/.test(value.trim())) group.rating = rating[1];
      else if (COLUMNS.some(([column]) => column === key)) group[key] = value.trim().replace(/^"|"$/g, "");
      else if (key) group.rest.push(lines[at]);
    }
    groups.push(group);
  }
  before = kept.slice(0, place ?? kept.length).join("\n");
  after = kept.slice(place ?? kept.length).join("\n");
}

/** The description with the groups of the table. */
function written() {
  return [before, ...groups.map(row), after].join("\n");
}

function row(group) {
  const quoted = (text) => JSON.stringify(text);
  return ["[[field.group]]", ...COLUMNS.filter(([key]) => group[key]).map(([key, , kind, unit]) => {
    const text = key === "name" ? group[key] : typed(group[key]);
    const withUnit = unit && /^[\d.]+$/.test(text) ? text + unit : text;
    if (key === "rating") return `transformer = { rating = ${quoted(withUnit)} }`;
    return `${key} = ${kind === "number" ? text : quoted(withUnit)}`;
  }), ...group.rest, ""].join("\n");
}

/** Whether the table is another than the description, and the ways out of that. */
function sayEdited() {
  put(by("circuit-edited"), about === base ? null : el("div", { class: "advice", role: "status" },
    el("p", {}, "Edited here. The address holds it; the other desks are about the description as it was."),
    el("p", { class: "buttons" },
      el("button", { type: "button", id: "circuit-use", onclick: () => { by("description-text").value = about; about = null; by("description-use").click(); } }, "Use it on every desk"),
      el("button", { type: "button", id: "circuit-back", onclick: () => { about = null; address.write("circuit", { toml: described.letters() }, { isNew: true }); show({}); } }, "Back to the description"))));
}

/** Puts what the table says into the address. */
async function keep() {
  const edited = await address.packed(about);
  if (!by("circuit").hidden) address.write("circuit", { edited, toml: described.letters() }, { isNew: false });
}

let settled = null;

/** The table was changed. */
function changed() {
  about = written();
  sayEdited();
  clearTimeout(settled);
  settled = setTimeout(keep, 300);
}

/** A problem of the table's text, by the row it stands in. */
function ofRow(problem) {
  if (!problem.line) return problem;
  const lines = (text) => text.split("\n").length;
  let first = lines(before);
  for (const [at, group] of groups.entries()) {
    const next = first + lines(row(group));
    if (problem.line > first && problem.line <= next) {
      const name = group.name ? `, ${group.name}` : "";
      return { ...problem, title: problem.title, detail: `row ${at + 1}${name}: ${problem.detail}`, line: undefined, column: undefined };
    }
    first = next;
  }
  return problem;
}

function draw() {
  const cell = (group, at, [key, words, kind]) => (kind === "choice"
    ? el("select", { "aria-label": `${words}, group ${at + 1}`, onchange: (event) => { group[key] = event.target.value; changed(); } }, KINDS.map((choice) => el("option", { value: choice, selected: (group[key] ?? "lamp") === choice }, choice)))
    : el("input", { type: "text", size: key === "name" ? 16 : 6, "aria-label": `${words}, group ${at + 1}`, inputmode: kind === "number" ? "decimal" : null, value: group[key] ?? "", oninput: (event) => { group[key] = event.target.value; changed(); } }));
  put(by("circuit-groups"), groups.length || before
    ? table("Groups of fixtures, in their order around the loop", [...COLUMNS.map(([, words]) => words), "Remove"], groups.map((group, at) => [
      ...COLUMNS.map((column) => cell(group, at, column)),
      el("button", { type: "button", class: "small", "aria-label": `Remove group ${at + 1}`, onclick: () => { groups.splice(at, 1); draw(); changed(); by("circuit-add").focus(); } }, "Remove"),
    ]), { id: "circuit-table" })
    : null);
}

async function calculate(event) {
  event.preventDefault();
  try {
    const found = await (await ask("/api/v1/field", { body: written(), kind: "application/toml", channel: "field" })).json();
    put(by("circuit-problem"));
    by("circuit-load").classList.remove("stale");
    const { load } = found;
    put(by("circuit-load"),
      el("h3", {}, `${found.regulator}: ${percent(load.share_of_rating_ratio)} of its rating`),
      table(`Load calculation at ${bare(load.current_rms_a, 2)} A`, ["Item", "Fixtures", "Each", "All", "Transformer loss", "Still fit"], load.items.map((one) => [one.name, String(one.count), voltAmperes(one.each_va), voltAmperes(one.apparent_va), watts(one.transformer_loss_w), one.spare_count === null ? "–" : String(one.spare_count)])),
      table("In all", ["Quantity", "Value"], [
        ["load", el("span", { id: "circuit-va" }, voltAmperes(load.apparent_va))], ["cable", watts(load.cable_loss_w)], ["output voltage", volts(load.voltage_rms_v)], ["rated", voltAmperes(load.rated_va)],
        ["share of the tap in use", percent(load.share_of_tap_ratio)], ["room left", voltAmperes(load.spare_va)], ["smallest size that carries it", voltAmperes(load.smallest_size_va)],
      ]),
      table("Every step solved with this field", ["Step", "Held", "Crest factor", "Average-responding error", "Output voltage", "Firing delay", "Apparent power", "Stability"], found.steps.map((step) => {
        const s = step.solved;
        return [`${step.step}: ${bare(step.nominal_rms_a, 2)} A`, step.held ? "✓ held" : `✗ ${step.limit ?? step.failure ?? "not held"}`, bare(s?.crest_factor), signed(s?.average_error_ratio), volts(s?.output_rms_v), shown(s?.delay_deg, 1, "°"), voltAmperes(s?.apparent_va), s?.stability ?? "–"];
      })),
      notes(found.notes));
  } catch (error) {
    if (isOvertaken(error)) return;
    by("circuit-load").classList.add("stale");
    put(by("circuit-problem"), problemBox(ofRow(error)));
  }
}

/** Begins an estimate; one that runs already makes room. */
async function estimate(event) {
  event.preventDefault();
  stop();
  follows?.source?.close();
  const mine = { number: null, source: null };
  follows = mine;
  const isMine = () => follows === mine;
  const say = (text) => { if (isMine()) by("circuit-progress-words").textContent = text; };
  const refuse = (problem) => put(by("circuit-estimate-problem"), problemBox(problem));
  by("circuit-estimated").classList.add("stale");
  put(by("circuit-estimate-problem"));
  by("circuit-cancel").hidden = true;
  say("Beginning");
  let status;
  try {
    status = await askJson(`/api/v1/estimates${query({ circuits: typed(by("circuit-circuits").value), pairs: "0" })}`, { body: written(), kind: "application/toml" });
  } catch (error) {
    if (!isMine()) return;
    follows = null;
    by("circuit-progress-words").textContent = "Not begun";
    refuse(ofRow(error));
    return;
  }
  mine.number = status.number;
  // Another was begun meanwhile.
  if (!isMine()) {
    end(mine);
    return;
  }
  const source = new EventSource(status.events);
  mine.source = source;
  by("circuit-cancel").hidden = false;
  const over = (text) => {
    source.close();
    if (!isMine()) return false;
    say(text);
    by("circuit-cancel").hidden = true;
    follows = null;
    return true;
  };
  source.addEventListener("progress", (message) => {
    if (!isMine()) return;
    const { state, done, total } = JSON.parse(message.data);
    say(total ? `${done} of ${total} circuits` : state);
    by("circuit-progress").max = total || 1;
    by("circuit-progress").value = done ?? 0;
  });
  source.addEventListener("done", async () => {
    if (!over("Done")) return;
    by("circuit-progress").value = by("circuit-progress").max;
    await askJson(status.result).then(estimated, refuse);
  });
  source.addEventListener("failed", (message) => { if (over("It did not work")) refuse(ofRow(JSON.parse(message.data))); });
  source.addEventListener("cancelled", () => over("Stopped"));
  source.onerror = () => {
    // Closed: something answers, but knows nothing of this estimate.
    if (source.readyState === EventSource.CLOSED) over("Lost: the program was begun anew meanwhile; begin the estimate again");
    else say("No connection to the program; trying again");
  };
}

const end = ({ number }) => ask(`/api/v1/estimates/${number}`, { method: "DELETE" }).catch(() => null);

function stop() {
  if (follows?.number) end(follows);
}

const WORDS = {
  crest_factor: ["crest factor", bare], average_error_ratio: ["error of an average-responding meter", signed], output_peak_v: ["output voltage, peak", volts],
};

function estimated(found) {
  const rows = found.steps.flatMap((step) => step.outputs.map((one) => {
    const [words, of] = WORDS[one.output] ?? [one.output.replaceAll("_", " "), (value) => bare(value, 4)];
    return [`${step.step}: ${bare(step.nominal_rms_a, 2)} A`, words, of(one.nominal), of(one.median), `${of(one.low.value)} to ${of(one.high.value)}`];
  }));
  by("circuit-estimated").classList.remove("stale");
  put(by("circuit-estimated"),
    found.steps.filter((step) => step.sentence).map((step) => el("p", {}, step.sentence)),
    table(`${found.circuits} circuits within the tolerances`, ["Step", "Quantity", "Described", "Half lie above", "95 of 100 lie"], rows, { id: "circuit-estimate-table" }),
    notes(found.notes));
}

/** Once, when the page begins. */
export function begin() {
  by("circuit-form").addEventListener("submit", calculate);
  by("circuit-add").addEventListener("click", () => { groups.push({ name: `group ${groups.length + 1}`, count: "1", power: "100 W", rating: "100 W", rest: [] }); draw(); changed(); by("circuit-table").querySelector("tbody tr:last-child input").focus(); });
  by("circuit-estimate").addEventListener("submit", estimate);
  by("circuit-cancel").addEventListener("click", stop);
}
