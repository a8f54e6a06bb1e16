// The capture desk: a recorded current, how it was understood, what it holds. The bytes go to the program on this
// machine and nowhere else.

import { ask, isOvertaken, query } from "./api.js";
import * as described from "./described.js";
import { amperes, bare, by, cautionsBox, el, notes, percent, problemBox, put, shown, signed, table, typed } from "./dom.js";
import { harmonics } from "./draw.js";
import { joined, partOf } from "./pair.js";

let file = null;
let found = null;
let corrections = {};

/** What may be corrected: key, words, and how it is written. */
const FIELDS = [
  ["column", "Column with the current (name or number from 1)"], ["unit", "Its unit"], ["time-column", "Column with the time, or none"],
  ["time-unit", "Unit of the time"], ["sample-rate", "Samples per second, such as 30 kHz"], ["clamp", "Output of the clamp, such as 100 mV/A"],
  ["separator", "Between columns", ["", "comma", "semicolon", "tab", "blanks", "none"]], ["decimal", "Decimal mark", ["", "point", "comma"]],
  ["full-scale", "Full scale, such as 20 A"], ["side", "Side", ["", "primary", "secondary"]], ["section", "Section, from 1"],
  ["lowest", "Lowest mains frequency, such as 45 Hz"], ["highest", "Highest mains frequency"], ["from", "From, seconds after the first sample"],
  ["to", "To, seconds after the first sample"], ["step", "Step to judge against"],
];

/** Shows what was read before; a file cannot stand in an address. */
export async function show() {
  described.choices();
  render();
}

async function analyse() {
  if (!file) return;
  if (file.size > described.choices().most_capture_bytes) {
    put(by("capture-problem"), problemBox({ title: "too large", detail: `The file has ${file.size} bytes; the program takes ${described.choices().most_capture_bytes}.`, hint: "loopcrest capture reads files of any size" }));
    return;
  }
  by("capture-seen").classList.add("stale");
  try {
    found = await (await ask(`/api/v1/captures${query({ ...corrections, name: file.name })}`, { body: file, kind: "application/octet-stream", channel: "capture" })).json();
    put(by("capture-problem"));
  } catch (error) {
    if (isOvertaken(error)) return;
    found = null;
    put(by("capture-problem"), problemBox(error), halfBox());
  }
  by("capture-seen").classList.remove("stale");
  form();
  render();
}

function form() {
  const target = by("capture-form");
  const wasOpen = target.querySelector("details")?.open ?? !found;
  target.hidden = false;
  put(target, el("details", { open: wasOpen || !found }, el("summary", {}, "Was it understood wrongly? Correct it"),
    el("div", { class: "row" }, FIELDS.map(([key, words, choices]) => el("div", { class: "control" }, el("label", { for: `capture-${key}` }, words),
      choices
        ? el("select", { id: `capture-${key}` }, choices.map((choice) => el("option", { value: choice, selected: (corrections[key] ?? "") === choice }, choice || "as found")))
        : el("input", { id: `capture-${key}`, type: "text", size: 14, value: corrections[key] ?? "" })))),
    el("p", { class: "buttons" }, el("button", { type: "submit" }, "Read it again"))));
}

const PLACES = { low: "below", inside: "inside", high: "above" };

/** The true RMS against the band of a step. */
function against(step) {
  const head = `${step.asked_for ? "Against" : "Nearest"} step ${step.number}, ${bare(step.nominal_rms_a, 2)} A, band ${bare(step.band_low_a, 2)} to ${bare(step.band_high_a, 2)} A`;
  return step.placement === null ? `${head}: not judged, ${step.no_verdict}.` : `${head}: the true RMS is ${PLACES[step.placement]} the band.`;
}

/** A file that may be half of a record is not passed off as a whole one. */
const halfBox = () => (partOf(file.name) === "dat"
  ? el("div", { class: "problem", role: "note" }, el("strong", {}, "Half of a record?"), el("p", {}, `If ${file.name} belongs to a COMTRADE record, choose its .cfg file together with it: alone, its numbers are read as they stand and are no amperes.`))
  : null);

/** What was found, drawn; also when the window changes its width. */
export function render() {
  if (!found) {
    put(by("capture-seen"));
    put(by("capture-cautions"));
    return;
  }
  const { understood, periods, measures, step } = found;
  const width = Math.min(by("capture-seen").clientWidth, 900);
  put(by("capture-seen"),
    el("h3", {}, found.file),
    halfBox(),
    table("How it was understood", ["What", "Found", "From", "To change it"], understood.explained.map((one) => [one.what, one.found, one.from, one.change_with?.replaceAll("--", "") ?? "–"])),
    el("p", { class: "headline" }, `${understood.samples} samples at ${shown(understood.sample_rate_hz, 0, "per second")}; ${periods.cycles} whole periods of ${shown(periods.frequency_hz, 4, "Hz")} from ${shown(periods.from_s, 4, "s")} to ${shown(periods.to_s, 4, "s")}.`),
    step ? el("p", { class: "headline", id: "capture-judged" }, against(step)) : null,
    table("The current", ["Quantity", "Value"], [
      ["true RMS", el("span", { id: "capture-rms" }, amperes(measures.rms_a))], ["crest factor", bare(measures.crest_factor)], ["form factor", bare(measures.form_factor)], ["peak", amperes(measures.peak_a)],
      ["mean", amperes(measures.mean_a)], ["total harmonic distortion", percent(measures.thd_ratio, 2)],
    ]),
    table("What each kind of meter would show", ["Detector", "Indicates", "Shows", "Error"], found.readings.map((one) => [one.detector, one.indication, amperes(one.shown_a), signed(one.error_ratio)])),
    harmonics(width, measures.harmonics),
    notes(found.notes));
  put(by("capture-cautions"), cautionsBox(found.cautions));
}

async function take(chosen) {
  if (!chosen.length) return;
  try {
    file = await joined([...chosen]);
  } catch (problem) {
    if (!problem.detail) throw problem;
    found = null;
    put(by("capture-problem"), problemBox(problem));
    by("capture-form").hidden = true;
    render();
    return;
  }
  corrections = {};
  await analyse();
}

/** Once, when the page begins. */
export function begin() {
  const drop = by("capture-drop");
  by("capture-file").addEventListener("change", (event) => take(event.target.files));
  // A file dropped beside the place must not make the browser leave the page.
  for (const kind of ["dragover", "drop"]) addEventListener(kind, (event) => event.preventDefault());
  drop.addEventListener("dragover", () => drop.classList.add("over"));
  drop.addEventListener("dragleave", () => drop.classList.remove("over"));
  drop.addEventListener("drop", (event) => { drop.classList.remove("over"); take(event.dataTransfer.files); });
  by("capture-form").addEventListener("submit", (event) => {
    event.preventDefault();
    corrections = Object.fromEntries(FIELDS.map(([key]) => [key, typed(by(`capture-${key}`).value)]).filter(([, value]) => value));
    analyse();
  });
}
