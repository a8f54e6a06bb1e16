// The circuit desk: the groups of fixtures on the loop, their load, every step solved, and what tolerances do.

import { ask, askJson, isOvertaken, query } from "./api.js";
import * as described from "./described.js";
import { amperes, bare, by, cautionsBox, el, notes, percent, problemBox, put, shown, signed, table, typed, voltAmperes, volts, watts } from "./dom.js";

/** Columns of the table: key in the description, words, whether it is a text and, if so, what a bare number means. */
const COLUMNS = [
  ["name", "Name", "text", ""], ["kind", "Kind", "choice", ""], ["count", "Fixtures", "number", ""], ["power", "Power of one", "text", " W"],
  ["power-factor", "Power factor", "number", ""], ["rating", "Transformer", "text", " W"], ["open", "Lamps out", "number", ""], ["shorted", "Shorted", "number", ""],
];
const KINDS = ["lamp", "constant-power", "rectifier", "apparent"];

let groups = [];
let before = "";
let after = "";
let about = null;
let follows = null;

/** Shows the field of the description in use. */
export async function show() {
  const text = await described.text();
  if (text !== about) {
    about = text;
    read(text);
    draw();
    put(by("circuit-load"));
    put(by("circuit-estimated"));
  }
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
  const quoted = (text) => JSON.stringify(text);
  const one = (group) => ["[[field.group]]", ...COLUMNS.filter(([key]) => group[key]).map(([key, , kind, unit]) => {
    const text = key === "name" ? group[key] : typed(group[key]);
    const withUnit = unit && /^[\d.]+$/.test(text) ? text + unit : text;
    if (key === "rating") return `transformer = { rating = ${quoted(withUnit)} }`;
    return `${key} = ${kind === "number" ? text : quoted(withUnit)}`;
  }), ...group.rest, ""].join("\n");
  return [before, ...groups.map(one), after].join("\n");
}

function draw() {
  const cell = (group, at, [key, words, kind]) => (kind === "choice"
    ? el("select", { "aria-label": `${words}, group ${at + 1}`, onchange: (event) => { group[key] = event.target.value; } }, KINDS.map((choice) => el("option", { value: choice, selected: (group[key] ?? "lamp") === choice }, choice)))
    : el("input", { type: "text", size: key === "name" ? 16 : 6, "aria-label": `${words}, group ${at + 1}`, inputmode: kind === "number" ? "decimal" : null, value: group[key] ?? "", oninput: (event) => { group[key] = event.target.value; } }));
  put(by("circuit-groups"), groups.length || before
    ? table("Groups of fixtures, in their order around the loop", [...COLUMNS.map(([, words]) => words), "Remove"], groups.map((group, at) => [
      ...COLUMNS.map((column) => cell(group, at, column)),
      el("button", { type: "button", class: "small", "aria-label": `Remove group ${at + 1}`, onclick: () => { groups.splice(at, 1); draw(); by("circuit-add").focus(); } }, "Remove"),
    ]), { id: "circuit-table" })
    : null);
}

async function calculate(event) {
  event.preventDefault();
  try {
    const found = await (await ask("/api/v1/field", { body: written(), kind: "application/toml", channel: "field" })).json();
    put(by("circuit-problem"));
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
    if (!isOvertaken(error)) put(by("circuit-problem"), problemBox(error));
  }
}

async function estimate(event) {
  event.preventDefault();
  stop();
  const words = by("circuit-progress-words");
  let status;
  try {
    status = await askJson(`/api/v1/estimates${query({ circuits: typed(by("circuit-circuits").value), pairs: "0" })}`, { body: written(), kind: "application/toml" });
  } catch (error) {
    put(by("circuit-problem"), problemBox(error));
    return;
  }
  put(by("circuit-problem"));
  by("circuit-cancel").hidden = false;
  follows = { number: status.number, source: new EventSource(status.events) };
  const { source } = follows;
  const tell = (data) => {
    const { state, done, total } = JSON.parse(data);
    words.textContent = total ? `${done} of ${total} circuits` : state;
    by("circuit-progress").max = total || 1;
    by("circuit-progress").value = done ?? 0;
  };
  const over = () => { source.close(); by("circuit-cancel").hidden = true; follows = null; };
  source.addEventListener("progress", (message) => tell(message.data));
  source.addEventListener("done", async () => { over(); words.textContent = "Done"; by("circuit-progress").value = by("circuit-progress").max; estimated(await askJson(status.result)); });
  source.addEventListener("failed", (message) => { over(); words.textContent = "It did not work"; put(by("circuit-problem"), problemBox(JSON.parse(message.data))); });
  source.addEventListener("cancelled", () => { over(); words.textContent = "Stopped"; });
  source.onerror = () => { words.textContent = "No connection to the program; trying again"; };
}

async function stop() {
  if (follows) await ask(`/api/v1/estimates/${follows.number}`, { method: "DELETE" }).catch(() => null);
}

const WORDS = {
  crest_factor: ["crest factor", bare], average_error_ratio: ["error of an average-responding meter", signed], output_peak_v: ["output voltage, peak", volts],
};

function estimated(found) {
  const rows = found.steps.flatMap((step) => step.outputs.map((one) => {
    const [words, of] = WORDS[one.output] ?? [one.output.replaceAll("_", " "), (value) => bare(value, 4)];
    return [`${step.step}: ${bare(step.nominal_rms_a, 2)} A`, words, of(one.nominal), of(one.median), `${of(one.low.value)} to ${of(one.high.value)}`];
  }));
  put(by("circuit-estimated"),
    found.steps.filter((step) => step.sentence).map((step) => el("p", {}, step.sentence)),
    table(`${found.circuits} circuits within the tolerances`, ["Step", "Quantity", "Described", "Half lie above", "95 of 100 lie"], rows, { id: "circuit-estimate-table" }),
    notes(found.notes));
}

/** Once, when the page begins. */
export function begin() {
  by("circuit-form").addEventListener("submit", calculate);
  by("circuit-add").addEventListener("click", () => { groups.push({ name: `group ${groups.length + 1}`, count: "1", power: "100 W", rating: "100 W", rest: [] }); draw(); by("circuit-table").querySelector("tbody tr:last-child input").focus(); });
  by("circuit-estimate").addEventListener("submit", estimate);
  by("circuit-cancel").addEventListener("click", stop);
}
