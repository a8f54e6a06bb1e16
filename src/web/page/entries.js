// The entries of a visit in words and tables: those on their way, those written, the readings with what they mean.

import { amperes, el, percent, table, typed } from "./dom.js";

export const MOMENTS = { "as-found": "as found", "as-left": "as left" };
export const OUTPUTS = { shorted: "output shorted", field: "field connected" };

/** What was typed into a field for amperes, without the unit. */
export const amperesTyped = (field) => typed(field.value).replace(/\s*A$/i, "");

/** What an entry says, while it is on its way. */
export function saying(entry) {
  const { kind, item, holds, text, step, moment, output, typed: shows, reason, remark } = entry;
  if (kind === "answer") return `${item}: ${holds === undefined ? text ?? "" : holds ? "yes" : "no"}`;
  if (kind === "reading") return `step ${step}, ${MOMENTS[moment]}, ${OUTPUTS[output]}: ${shows} A`;
  if (kind === "leave-step") return `step ${step}, ${MOMENTS[moment]}, left as it is: ${reason ?? ""}`;
  if (kind === "proof") return `${item}: ${entry.acted ? "it acted" : "it did not act"}`;
  if (kind === "remark") return `remark: ${text}`;
  if (kind === "correction") return `entry ${entry.entry} corrected: ${shows} A`;
  if (kind === "take-back") return `entry ${entry.entry} taken back`;
  return `closing${remark ? `: ${remark}` : ""}`;
}

/** What an entry answers: another answer to the same takes the place of one that was refused. */
export const questionOf = ({ kind, item, step, moment, output, entry }) => [kind, item, step, moment, output, entry].join(" ");

/** What was read, with what it means. */
export function readings(far) {
  if (!far?.readings.length) return null;
  return table("Readings so far", ["Step", "Good", "When", "Output", "Shown", "True RMS then", "± (U)", "In its band with"], far.readings.map((one) => [
    String(one.step), el("span", { class: `verdict ${one.is_accepted ? "good" : "bad"}` }, one.is_accepted ? "✓ accepted" : "✗ not accepted"), MOMENTS[one.moment] ?? one.moment, OUTPUTS[one.output] ?? one.output, `${one.typed} A`.replace(/A A$/, "A"), amperes(one.true_rms_a), amperes(one.expanded_uncertainty_a),
    percent(one.conformance_probability),
  ]));
}

/** Every entry under its number; one that counts no more says what stands in its place. */
export function written(row, enter) {
  const kindOf = (number) => row.entries.find((one) => one.number === number)?.entry.kind;
  const state = (one) => (one.replaced_by === null ? null
    : el("strong", {}, ` (counts no more: ${kindOf(one.replaced_by) === "withdrawal" ? "taken back by" : "corrected by"} entry ${one.replaced_by})`));
  const isReading = (one) => one.entry.kind === "reading" && one.replaced_by === null;
  return el("details", { id: "worksheet-entries" }, el("summary", {}, `All ${row.entries.length} entries`),
    el("ol", {}, row.entries.map((one) => el("li", { value: one.number, class: one.replaced_by === null ? null : "replaced" },
      one.says, one.entry.kind === "reading" ? `, typed ${one.entry.typed}` : null, one.replaces === null ? null : ` (in the place of entry ${one.replaces})`, state(one),
      enter && isReading(one) ? correction(one, enter) : null))));
}

/** The way to another number in the place of a reading. */
function correction(one, enter) {
  const id = `correct-${one.number}`;
  const field = el("input", { id, type: "text", inputmode: "decimal", class: "number", required: true, autocomplete: "off" });
  const form = el("form", { hidden: true, onsubmit: (event) => { event.preventDefault(); enter({ kind: "correction", entry: one.number, typed: amperesTyped(field) }); } },
    el("div", { class: "control" }, el("label", { for: id }, `What the display showed, instead of ${one.entry.typed}`), el("span", { class: "typed" }, field, " A")),
    el("p", { class: "buttons" }, el("button", { type: "submit" }, "Write the correction down")));
  return [" ", el("button", { type: "button", "data-correct": one.number, onclick: (event) => { event.target.hidden = true; form.hidden = false; field.focus(); } }, "Correct", el("span", { class: "unseen" }, ` entry ${one.number}`)), form];
}
