// The bench: one situation, seen at once; or two, side by side.

import * as address from "./address.js";
import { isOvertaken, query } from "./api.js";
import * as described from "./described.js";
import { amperes, bare, by, cautionsBox, dangerBox, degrees, el, notes, percent, problemBox, put, save, signed, table, typed, verdict, voltAmperes, volts, watts } from "./dom.js";
import { harmonics, levels, roundUp, waveform } from "./draw.js";

const KEYS = ["step", "load", "lamps-out", "meter", "sense", "supply-voltage", "supply-frequency"];
/** Sliders: key, words, ends and step in percent, and where it stands when it is not chosen. */
const SLIDERS = {
  "lamps-out": { words: "Lamps out", least: 0, most: 30, step: 1, rest: 0 },
  "supply-voltage": { words: "Supply voltage, of rated", least: 90, most: 110, step: 0.5, rest: 100 },
  "supply-frequency": { words: "Supply frequency, of rated", least: 97, most: 103, step: 0.1, rest: 100 },
};

let values = {};
let pinned = null;
/** Why what was pinned cannot be seen. */
let pinnedProblem = null;
const seen = { live: null, pinned: null, differences: null };

/** Shows what the address says. */
export async function show(asked) {
  values = Object.fromEntries(KEYS.filter((key) => asked[key] !== undefined).map((key) => [key, asked[key]]));
  pinned = asked.a === undefined ? null : asked.a;
  if (!values.meter) values.meter = defaultMeters();
  build();
  await solvePinned();
  await solve();
}

function defaultMeters() {
  const all = described.choices().meters;
  const own = all.filter((meter) => meter.is === "described");
  return (own.length ? own : all.filter((meter) => meter.is === "kind")).slice(0, 3).map((meter) => meter.key).join(",");
}

const chosenMeters = () => (values.meter ?? "").split(",").filter(Boolean);

function toAddress(isNew) {
  address.write("bench", { ...values, a: pinned, toml: described.letters() }, { isNew });
}

let settled = null;

/** Takes a choice; `isMoving` while a slider is still held. */
function choose(key, value, isMoving = false) {
  if (value === "") delete values[key];
  else values[key] = value;
  const began = performance.now();
  clearTimeout(settled);
  // A slider's journey is one step back, not fifty.
  if (isMoving) settled = setTimeout(() => toAddress(true), 600);
  else toAddress(true);
  solve(began);
}

function build() {
  const { steps, meters, has_field: hasField } = described.choices();
  put(by("bench-controls"),
    el("div", { class: "control" },
      el("label", { for: "bench-step" }, "Brightness step"),
      el("input", {
        id: "bench-step", type: "range", min: 0, max: steps.length - 1, step: 1,
        value: String(steps.length - 1 - Math.max(steps.findIndex((step) => String(step.number) === values.step), 0)),
        oninput: (event) => { const step = steps[steps.length - 1 - Number(event.target.value)]; nameStep(step); choose("step", String(step.number), true); },
      }),
      el("output", { id: "bench-step-shown", for: "bench-step" })),
    loadControl(hasField),
    Object.entries(SLIDERS).map(([key, slider]) => sliderControl(key, slider)),
    el("div", { class: "control" },
      el("label", { for: "bench-sense" }, "The control senses"),
      el("select", { id: "bench-sense", onchange: (event) => choose("sense", event.target.value) },
        [["", "as described"], ["true-rms", "true RMS"], ["average", "the average"]].map(([value, words]) =>
          el("option", { value, selected: (values.sense ?? "") === value }, words)))),
    el("fieldset", { class: "control" },
      el("legend", {}, "Meters"),
      meters.map((meter, at) => [meter, at]).filter(([meter]) => meter.is !== "law").map(tick),
      el("details", { open: chosenMeters().some((key) => meters.some((meter) => meter.key === key && meter.is === "law")) },
        el("summary", {}, "Ideal meters, by their law alone"),
        meters.map((meter, at) => [meter, at]).filter(([meter]) => meter.is === "law").map(tick))));
  nameStep(steps.find((step) => String(step.number) === values.step) ?? steps[0]);
}

const tick = ([meter, at]) => el("label", { class: "tick" },
  el("input", { type: "checkbox", id: `bench-meter-${at}`, "data-key": meter.key, checked: chosenMeters().includes(meter.key), onchange: pickMeter }),
  el("span", {}, meter.words));

function nameStep(step) {
  const words = `step ${step.number}: ${bare(step.nominal_rms_a, 2)} A, ${bare(step.band_low_a, 2)} to ${bare(step.band_high_a, 2)} A`;
  by("bench-step-shown").textContent = words;
  by("bench-step").setAttribute("aria-valuetext", words);
}

function pickMeter() {
  const ticked = [...document.querySelectorAll("#bench-controls input[data-key]")].filter((box) => box.checked);
  choose("meter", ticked.map((box) => box.dataset.key).join(",") || "none");
}

function loadControl(hasField) {
  const load = values.load ?? "";
  const isShare = /^[\d.]/.test(load);
  const kinds = [["", "as described"], ["shorted", "output shorted"], ["share", "a share of the rated load"], ["full", "full load"], ...(hasField ? [["field", "the field described"]] : [])];
  const kind = el("select", { id: "bench-load", onchange: () => {
    slider.box.hidden = kind.value !== "share";
    by("bench-load-moved").hidden = true;
    choose("load", kind.value === "share" ? `${slider.range.value} %` : kind.value);
  } }, kinds.map(([value, words]) => el("option", { value, selected: isShare ? value === "share" : value === load }, words)));
  const slider = rangeWithBox("bench-load-share", "Load, of rated", 2, 100, 1, isShare ? Number.parseFloat(load) : 60, (text, isMoving) => choose("load", `${text} %`, isMoving));
  slider.box.hidden = !isShare;
  return [el("div", { class: "control" }, el("label", { for: "bench-load" }, "Connected"), kind, el("span", { id: "bench-load-moved", role: "status", hidden: true }, "Moved here: with the output shorted no lamp is lit.")), slider.box];
}

/** Lamps can be out only where some are lit: the load moves with them, and says so. */
function connectLamps() {
  const { has_field: hasField, lamps_can_be_out: isLit } = described.choices();
  if (values.load !== "shorted" && (values.load !== undefined || isLit)) return;
  values.load = hasField ? "field" : "full";
  by("bench-load").value = values.load;
  by("bench-load-moved").hidden = false;
}

function sliderControl(key, { words, least, most, step, rest }) {
  const given = values[key];
  const slider = rangeWithBox(`bench-${key}`, words, least, most, step, given === undefined ? rest : Number.parseFloat(given), (text, isMoving) => {
    reset.hidden = false;
    if (key === "lamps-out") connectLamps();
    choose(key, `${text} %`, isMoving);
  });
  const reset = el("button", { type: "button", class: "small", hidden: given === undefined, onclick: () => {
    slider.set(rest);
    reset.hidden = true;
    slider.range.focus();
    choose(key, "");
  } }, "as described", el("span", { class: "unseen" }, `: ${words}`));
  slider.box.append(reset);
  return slider.box;
}

/** A slider in percent with a box to type the same number into. */
function rangeWithBox(id, words, least, most, step, at, moved) {
  const range = el("input", { id, type: "range", min: least, max: most, step, value: String(at), oninput: () => {
    set(range.value);
    moved(range.value, true);
  } });
  const box = el("input", { id: `${id}-typed`, type: "text", inputmode: "decimal", size: 5, autocomplete: "off", "aria-label": `${words}, in percent`, onchange: () => {
    const text = typed(box.value).replace(/\s*%$/, "");
    range.value = text;
    range.setAttribute("aria-valuetext", `${text} %`);
    moved(text, false);
  } });
  const set = (value) => {
    range.value = String(value);
    box.value = String(value);
    range.setAttribute("aria-valuetext", `${value} %`);
  };
  set(at);
  return { range, set, box: el("div", { class: "control" }, el("label", { for: id }, words), range, el("span", { class: "typed" }, box, " %")) };
}

async function solve(began = performance.now()) {
  let answer;
  try {
    answer = await (await described.askAbout(`/api/v1/situation${query(values)}`, { channel: "bench" })).json();
  } catch (error) {
    if (isOvertaken(error)) return;
    seen.live = null;
    put(by("bench-problem"), problemBox(error));
    by("bench-seen").classList.add("stale");
    return;
  }
  put(by("bench-problem"), pinnedProblem ? problemBox(pinnedProblem) : null);
  by("bench-seen").classList.remove("stale");
  seen.live = answer;
  seen.differences = null;
  render();
  // From the hand's move to the new picture laid out.
  void by("bench-seen").offsetHeight;
  performance.measure("situation", { start: began, end: performance.now() });
  await subtract();
}

/** How a choice that was let go is written, where there is a way to write it. */
const LET_GO = { step: "brightest", load: "as-set", "lamps-out": "as-counted" };

/** What B is less A, from the program; left out where the program cannot be asked for it. */
async function subtract() {
  const live = seen.live;
  if (pinned === null || described.isPasted()) return;
  const own = Object.fromEntries(new URLSearchParams(pinned));
  const keys = new Set([...Object.keys(own), ...Object.keys(values)]);
  const against = [...keys].filter((key) => own[key] !== values[key]).map((key) => [`against.${key}`, values[key] ?? LET_GO[key]]);
  if (against.some(([, value]) => value === undefined)) return;
  try {
    const pair = await (await described.askAbout(`/api/v1/situation/pair${query({ ...own, ...Object.fromEntries(against) })}`, { channel: "pair" })).json();
    if (seen.live !== live) return;
    seen.differences = pair.differences;
    render();
  } catch (error) {
    if (!isOvertaken(error) && !error.detail) throw error;
  }
}

async function solvePinned() {
  seen.pinned = null;
  pinnedProblem = null;
  if (pinned === null) return;
  try {
    seen.pinned = await (await described.askAbout(`/api/v1/situation?${pinned}`)).json();
  } catch (error) {
    pinned = null;
    pinnedProblem = { ...error, title: "A, pinned, cannot be shown", detail: error.detail ?? String(error) };
  }
}

/** What was last seen, drawn; also when the window changes its width. */
export function render() {
  if (!seen.live) return;
  const both = seen.pinned ? [["A, pinned", seen.pinned], ["B, in hand", seen.live]] : [["", seen.live]];
  const endA = roundUp(Math.max(...both.map(([, one]) => one.situation.measures.peak_a)));
  const target = by("bench-seen");
  target.classList.toggle("two", both.length > 1);
  const width = Number.parseFloat(getComputedStyle(target).gridTemplateColumns);
  put(by("bench-title"), seen.live.title, seen.live.situation.invented ? el("span", { class: "tag" }, "invented") : null);
  put(target,
    both.map(([name, one], at) => el("section", { class: "seen", "aria-label": name || "what is seen" },
      name ? el("h3", {}, name) : null,
      el("p", { class: "headline" }, headline(one.situation)),
      waveform(width, one, endA),
      levels(width, one.situation),
      meterTable(one.situation, at, name))),
    el("section", { class: "numbers" },
      numbers(both),
      harmonicsBox(both, width),
      both.map(([name, one]) => one.situation.notes.length ? [name ? el("h3", {}, name) : null, notes(one.situation.notes)] : null)));
  if (!by("bench-cautions").hasChildNodes()) put(by("bench-cautions"), cautionsBox(seen.live.cautions));
  by("bench-unpin").hidden = pinned === null;
  say(seen.live.situation);
}

function headline(situation) {
  const { step } = situation;
  const held = situation.held
    ? `held at ${amperes(situation.measures.rms_a)} true RMS`
    : `out of reach: ${situation.limit ?? "not held"}${situation.limit_a === null ? "" : ` at ${amperes(situation.limit_a)}`}`;
  return `Step ${step.number}, ${situation.regulator}: ${held}`;
}

/** Words, key, the number of a situation, and of the differences between two. */
const NUMBERS = [
  ["true RMS", "rms", (s) => amperes(s.measures.rms_a), (d) => amperes(d.rms_a)],
  ["crest factor", "crest", (s) => bare(s.measures.crest_factor), (d) => bare(d.crest_factor)],
  ["form factor", "form", (s) => bare(s.measures.form_factor)],
  ["peak", "peak", (s) => amperes(s.measures.peak_a)],
  ["total harmonic distortion", "thd", (s) => percent(s.measures.thd_ratio, 2), (d) => signed(d.thd_ratio).replace("%", "points of %")],
  ["firing delay", "delay", (s) => degrees(s.delay_deg), (d) => degrees(d.delay_deg)],
  ["output voltage, RMS", "voltage", (s) => volts(s.output_rms_v), (d) => volts(d.output_rms_v)],
  ["output voltage, peak", "voltage-peak", (s) => volts(s.output_peak_v)],
  ["open secondary, peak", "open-peak", (s) => volts(s.open_secondary_peak_v)],
  ["apparent power", "apparent", (s) => voltAmperes(s.output_apparent_va), (d) => voltAmperes(d.output_apparent_va)],
  ["active power", "active", (s) => watts(s.output_active_w)],
  ["power factor", "power-factor", (s) => bare(s.output_power_factor)],
  ["share of the rating", "share", (s) => percent(s.share_of_rating_ratio)],
  ["stability", "stability", (s) => s.stability],
  ["band of the step", "band", (s) => `${bare(s.step.band_low_a, 2)} to ${bare(s.step.band_high_a, 2)} A`],
  ["source of the band", "band-source", (s) => s.step.band_source],
];

function numbers(both) {
  const differences = both.length > 1 ? seen.differences : null;
  const head = ["Quantity", ...both.map(([name]) => name || "Value"), ...(differences ? ["B less A"] : [])];
  const rows = NUMBERS.map(([words, key, of, less]) => [
    words, ...both.map(([, one], at) => el("span", { id: `seen-${key}-${at}` }, of(one.situation))),
    ...(differences ? [less ? el("span", { id: `less-${key}` }, less(differences)) : ""] : []),
  ]);
  return table("The current and the regulator", head, rows, { class: "wide" });
}

const LIFE = { "much-longer": "much longer", "much-shorter": "much shorter", "not-governing": "current does not govern it" };
const life = (part) => (part ? (part.says === "ratio" ? percent(part.ratio, 0) : LIFE[part.says]) : "–");

/** The same caption for both would name two things alike. */
const captioned = (words, name) => (name ? `${words}: ${name}` : words);

function meterTable(situation, at, name) {
  const rows = situation.meters.map((meter, place) => [
    el("span", {}, el("span", { class: "key" }, `${place + 1} `), meter.name),
    el("span", { id: `meter-verdict-${at}-${place}` }, meter.danger === null ? null : el("strong", { class: "verdict bad" }, "DANGER, "), verdict(meter.verdict)),
    el("span", { id: `meter-band-${at}-${place}` }, meter.must_show_low_a === null ? "no number proves it" : `${bare(meter.must_show_low_a)} to ${bare(meter.must_show_high_a)} A`),
    el("span", { id: `meter-shown-${at}-${place}` }, meter.shown_a === null ? "overload" : amperes(meter.shown_a)),
    el("span", { id: `meter-error-${at}-${place}` }, signed(meter.error_ratio)),
    amperes(meter.law?.trimmed_true_rms_a),
    percent(meter.law?.trimmed_light_ratio),
    life(meter.law?.trimmed_life),
  ]);
  if (!situation.meters.length) return el("p", { class: "headline" }, "No meter is chosen.");
  return [
    dangerBox(situation.meters.filter((meter) => meter.danger !== null).map((meter) => `${meter.name}: ${meter.danger}`), "note"),
    table(captioned("What each meter shows", name), ["Meter", "Verdict", "Must show", "Shows", "Error", "Set with it, law alone", "Light then", "Lamp life then"], rows, { class: "meters" }),
    el("ul", { class: "reasons" }, situation.meters.map((meter, place) =>
      el("li", {}, el("span", { class: "key" }, `${place + 1} ${meter.name}: `), meter.reason))),
    notes(situation.meters.flatMap((meter) => meter.notes)),
  ];
}

const harmonicTable = (situation, name) => table(captioned("Harmonics, RMS", name), ["Order", "RMS", "Phase"],
  situation.measures.harmonics.filter((one) => one.order <= 25).map((one) => [String(one.order), amperes(one.rms_a), degrees(one.phase_deg)]));

let isHarmonicsOpen = false;

/** The harmonics; drawn only while someone looks at them, so that a slider stays quick. */
function harmonicsBox(both, width) {
  const content = () => both.map(([name, one]) => [name ? el("h3", {}, name) : null, harmonics(width, one.situation.measures.harmonics), harmonicTable(one.situation, name)]);
  const inside = el("div", {}, isHarmonicsOpen ? content() : null);
  return el("details", { id: "bench-harmonics", open: isHarmonicsOpen, ontoggle: (event) => {
    isHarmonicsOpen = event.target.open;
    if (isHarmonicsOpen && !inside.hasChildNodes()) put(inside, content());
  } }, el("summary", {}, "Harmonics"), inside);
}

let toSay = null;

/** For those who listen: once the hand rests. */
function say(situation) {
  clearTimeout(toSay);
  toSay = setTimeout(() => {
    const meters = situation.meters.map((meter) => `${meter.name} shows ${meter.shown_a === null ? "overload" : amperes(meter.shown_a)}, error ${signed(meter.error_ratio)}, ${meter.danger === null ? "" : "DANGER, "}${meter.verdict}`);
    by("said").textContent = `${headline(situation)}. Crest factor ${bare(situation.measures.crest_factor, 2)}. ${meters.join(". ")}`;
  }, 700);
}

async function exported(kind) {
  const about = (path) => described.askAbout(`/api/v1/situation/${path}${query(values)}`);
  if (kind === "json" && seen.live === null) throw Object.assign(new Error(), { title: "nothing to save", detail: "What is chosen now has no answer: see the problem above, choose otherwise, then save." });
  if (kind === "json") save("situation.json", "application/json", `${JSON.stringify(seen.live, null, 2)}\n`);
  else if (kind === "toml") {
    const chosen = Object.entries(values).map(([key, value]) => `#   --${key}="${value}"`);
    save("situation.toml", "application/toml", [`# Seen at the bench with: loopcrest situation THIS-FILE`, ...chosen, "", await described.text()].join("\n"));
  } else save(`current.${kind}`, { svg: "image/svg+xml", png: "image/png", csv: "text/csv" }[kind], await (await about(`current.${kind}`)).arrayBuffer());
}

/** Once, when the page begins. */
export function begin() {
  by("bench-pin").addEventListener("click", async () => {
    pinned = query(values).slice(1);
    toAddress(true);
    await solvePinned();
    render();
    await subtract();
    by("said").textContent = "Pinned as A. Change B.";
  });
  by("bench-unpin").addEventListener("click", () => {
    pinned = null;
    seen.pinned = null;
    toAddress(true);
    render();
    by("bench-pin").focus();
  });
  for (const button of document.querySelectorAll("[data-export]")) {
    button.addEventListener("click", () => exported(button.dataset.export).catch((error) => put(by("bench-problem"), seen.live === null ? by("bench-problem").firstChild : null, problemBox(error))));
  }
}
