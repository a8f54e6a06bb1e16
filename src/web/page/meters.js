// The meter desk: a real meter by its data sheet.

import * as address from "./address.js";
import { isOvertaken, query } from "./api.js";
import * as described from "./described.js";
import { amperes, bare, by, cautionsBox, el, notes, percent, problemBox, put, signed, table, typed, verdict } from "./dom.js";
import { waterfall } from "./draw.js";

let values = {};
let sheet = null;
let reading = null;

const CONNECTIONS = { shorted: "output shorted", loaded: "field connected" };

/** Shows what the address says. */
export async function show(asked) {
  values = asked;
  const { meters, steps } = described.choices();
  sheet = asked.sheet ? await unpackedSheet(asked.sheet) : null;
  put(by("meters-meter"), meters.filter((meter) => meter.is !== "law").map((meter) => el("option", { value: meter.key, selected: asked.meter === meter.key }, meter.words)),
    sheet ? el("option", { value: "", selected: true }, "the sheet typed below") : null);
  if (!asked.meter && !sheet) by("meters-meter").value = meters.find((meter) => meter.key === "general-true-rms-clamp")?.key ?? meters[0].key;
  put(by("meters-step"), steps.map((step) => el("option", { value: String(step.number), selected: asked.step === String(step.number) }, `${step.number}: ${bare(step.nominal_rms_a, 2)} A`)));
  by("meters-probability").value = asked.probability?.replace(/\s*%$/, "") ?? "95";
  by("meters-ambient").value = asked.ambient?.replace(/\s*degC$/, "") ?? "";
  put(by("meters-requirement"));
  await judge();
}

const unpackedSheet = async (letters) => address.unpacked(letters);

async function judge() {
  const probability = `${typed(by("meters-probability").value)} %`;
  const ambient = typed(by("meters-ambient").value);
  const meter = by("meters-meter").value;
  const terms = { probability, ambient: ambient ? `${ambient} degC` : "" };
  const isSheet = sheet !== null && meter === "";
  try {
    const [fitness, cause] = await Promise.all([
      described.askWith(`/api/v1/fitness${query({ ...terms, meter: isSheet ? "" : meter })}`, { sheet: isSheet ? sheet : undefined, channel: "fitness" }),
      described.askWith(`/api/v1/reading${query({ step: by("meters-step").value, meter: isSheet ? "" : meter })}`, { sheet: isSheet ? sheet : undefined, channel: "reading" }),
    ]);
    const document_ = await fitness.json();
    reading = await cause.json();
    put(by("meters-problem"));
    put(by("meters-verdicts"), verdicts(document_.verdicts), notes(document_.notes));
    put(by("meters-cautions"), cautionsBox(document_.cautions));
    render();
  } catch (error) {
    if (isOvertaken(error)) return;
    put(by("meters-verdicts"));
    put(by("meters-waterfall"));
    put(by("meters-problem"), problemBox(error));
  }
}

/** What makes the meter a danger to whoever holds it, each place once. */
function dangers(list) {
  const places = list.filter((one) => one.danger).map((one) => `Step ${one.step.number}, ${CONNECTIONS[one.connection] ?? one.connection}: ${one.danger}`);
  return places.length ? el("div", { class: "problem", role: "alert" }, el("strong", {}, "Danger"), el("ul", {}, places.map((text) => el("li", {}, text)))) : null;
}

const band = (part) => (part ? `${bare(part.low_a)} to ${bare(part.high_a)} A` : "none");

function verdicts(list) {
  return [
    table(`May ${list[0]?.meter ?? "this meter"} set the steps?`, ["Step", "With", "Verdict", "Must show", "Reads dead centre: U", "In its band with", "Band of the step"],
      list.map((one) => [
        `${one.step.number}: ${bare(one.step.nominal_rms_a, 2)} A`, CONNECTIONS[one.connection] ?? one.connection, verdict(one.verdict), band(one.set_band),
        one.dead_centre ? `± ${amperes(one.dead_centre.expanded_uncertainty_a)}` : "–", percent(one.dead_centre?.conformance_probability),
        `${bare(one.step.band_low_a, 2)} to ${bare(one.step.band_high_a, 2)} A`,
      ]), { id: "meters-table" }),
    dangers(list),
    el("details", {}, el("summary", {}, "Why, step by step"), el("ul", { class: "reasons" }, list.map((one) =>
      el("li", {}, el("strong", {}, `Step ${one.step.number}, ${CONNECTIONS[one.connection] ?? one.connection}: `), one.sentence))),
      notes(list.flatMap((one) => one.notes))),
  ];
}

/** The error of the step chosen, drawn; also when the window changes its width. */
export function render() {
  if (!reading) return;
  const width = Math.min(by("meters-waterfall").clientWidth, 900);
  put(by("meters-waterfall"),
    el("h3", {}, `Step ${reading.step.number}: where the error comes from`),
    el("p", {}, `True RMS ${amperes(reading.true_rms_a)}, shows ${reading.shown_a === null ? "overload" : amperes(reading.shown_a)}, error ${signed(reading.error_ratio)}. ${reading.origin}`),
    waterfall(width, reading),
    table("Limits of the sheet at this current", ["Part", "Limit"], [
      ["accuracy", "accuracy_a"], ["crest factor", "crest_a"], ["clamp", "clamp_a"], ["position in the clamp", "position_a"], ["temperature", "temperature_a"], ["resolution", "resolution_a"],
    ].map(([words, key]) => [words, reading.limits[key] === null ? "not stated" : `± ${amperes(reading.limits[key])}`])),
    notes(reading.notes));
}

async function go(more) {
  const ambient = typed(by("meters-ambient").value);
  values = {
    meter: by("meters-meter").value, step: by("meters-step").value, probability: `${typed(by("meters-probability").value)} %`,
    ambient: ambient ? `${ambient} degC` : "", sheet: by("meters-meter").value === "" ? values.sheet : "", toml: described.letters(), ...more,
  };
  address.write("meters", values, { isNew: true });
  await show(values);
}

async function require_() {
  try {
    const found = await (await described.askWith(`/api/v1/requirement${query({ probability: `${typed(by("meters-probability").value)} %` })}`, { channel: "requirement" })).json();
    put(by("meters-requirement"),
      el("h3", {}, `The least demanding meter that is fit at every step, with ${percent(found.terms.conformance_probability)}`),
      el("ol", { class: "reasons" }, found.demands.map((text) => el("li", {}, text))),
      notes(found.notes));
  } catch (error) {
    if (!isOvertaken(error)) put(by("meters-requirement"), problemBox(error));
  }
}

const EXAMPLE = `[[meter]]
name = "my clamp"
detector = "true-rms"

[meter.sheet]
range-choice = "10 A"
bandwidth = ["500 Hz"]
position = "0.5 %"
clamp = "direct"
converter = "analogue"

[[meter.sheet.range]]
full-scale = "10 A"
resolution = "0.01 A"

[meter.sheet.crest]
at-full-scale = 1.5

[[meter.sheet.accuracy]]
from = "54 Hz"
to = "66 Hz"
reading = "1 %"
digits = "3 counts"
`;

/** Once, when the page begins. */
export function begin() {
  by("meters-form").addEventListener("submit", (event) => { event.preventDefault(); go(); });
  by("meters-meter").addEventListener("change", () => go());
  by("meters-step").addEventListener("change", () => go());
  by("meters-require").addEventListener("click", require_);
  by("meters-own").addEventListener("toggle", () => {
    if (by("meters-own").open && !by("meters-sheet").value) by("meters-sheet").value = sheet ?? EXAMPLE;
  });
  by("meters-use-sheet").addEventListener("click", async () => {
    if (!by("meters-sheet").value.trim()) {
      put(by("meters-problem"), problemBox({ title: "nothing to judge", detail: "The data sheet is empty.", hint: "type one, or choose a meter above" }));
      return;
    }
    await go({ meter: "", sheet: await address.packed(by("meters-sheet").value) });
  });
}
