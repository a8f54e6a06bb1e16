// Drawings as SVG, in the pixels there are, so that text keeps its size. Places on the paper are reckoned here;
// the numbers drawn and written are the server's.

import { amperes, bare, signed, svg } from "./dom.js";

/** Narrower than this nothing can be read; a place that is not laid out yet has no width at all. */
const LEAST = 280;

/** Where the page's text is larger, as on a projector, drawings are too. */
const scale = () => Number.parseFloat(getComputedStyle(document.documentElement).fontSize) / 16;
const inside = (room) => Math.max(room / scale(), LEAST);
const frame = (width, height) => ({ viewBox: `0 0 ${width} ${height}`, width: width * scale(), height: height * scale() });

/** The next round number at or above, for the end of an axis. */
export function roundUp(value) {
  if (!(value > 0)) return 1;
  const unit = 10 ** Math.floor(Math.log10(value));
  return [1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10].map((step) => step * unit).find((round) => round >= value * 0.9999);
}

const text = (x, y, words, attributes = {}) => svg("text", { x, y, ...attributes }, words);
const line = (x1, y1, x2, y2, kind) => svg("line", { x1, y1, x2, y2, class: kind });

/** Places moved apart until none is nearer to the next than a gap, in their order. */
function apart(places, gap, top, bottom) {
  const sorted = places.map((y, at) => ({ y, at })).sort((a, b) => a.y - b.y);
  sorted.forEach((place, at) => { if (at > 0) place.y = Math.max(place.y, sorted[at - 1].y + gap); });
  let limit = bottom;
  for (const place of [...sorted].reverse()) {
    place.y = Math.min(place.y, limit);
    limit = place.y - gap;
  }
  const result = [];
  for (const place of sorted) result[place.at] = Math.max(place.y, top);
  return result;
}

/** A current over two periods, with its true RMS and what each meter shows. */
export function waveform(room, document_, endA) {
  const width = inside(room);
  const { current, situation } = document_;
  const isNarrow = width < 560;
  const height = isNarrow ? 300 : Math.min(420, Math.max(320, width * 0.42));
  const levels = [
    { words: `true RMS ${amperes(situation.measures.rms_a)}`, a: situation.measures.rms_a, kind: "rms", mark: "" },
    ...situation.meters.filter((meter) => meter.shown_a !== null).map((meter, at) => ({
      words: `${at + 1}  ${amperes(meter.shown_a)}`, a: meter.shown_a, kind: `meter meter-${at % 4}`, mark: String(at + 1),
    })),
  ];
  const left = 48, right = width - (isNarrow ? 116 : 150), top = 14, bottom = height - 44;
  const x = (share) => left + share * (right - left);
  const y = (a) => (top + bottom) / 2 - (a / endA) * (bottom - top) / 2;
  const values = current.values_a;
  const period = values.length - 1;
  const two = [...values.slice(0, -1), ...values];
  const path = two.map((a, at) => `${at ? "L" : "M"}${x(at / (2 * period)).toFixed(1)} ${y(a).toFixed(1)}`).join("");
  const spanMs = current.interval_s * 2e3 * period;
  const stepMs = roundUp(spanMs / (isNarrow ? 4 : 7));
  const ticks = Array.from({ length: Math.floor(spanMs / stepMs) + 1 }, (_, at) => at * stepMs);
  const marks = [-1, -0.5, 0, 0.5, 1].map((share) => share * endA);
  const names = apart(levels.map((level) => y(level.a)), 17, top + 6, bottom);
  const drawn = svg("svg", { class: "figure", ...frame(width, height), role: "img" },
    svg("title", {}, "Current over two periods"),
    svg("desc", {}, `${levels.map((level) => level.words).join("; ")}; peak ${amperes(situation.measures.peak_a)}`),
    marks.map((a) => [line(left, y(a), right, y(a), a === 0 ? "axis" : "grid"), text(left - 6, y(a) + 4, bare(a, endA < 2 ? 2 : 1), { "text-anchor": "end" })]),
    ticks.map((ms) => [line(x(ms / spanMs), bottom, x(ms / spanMs), bottom + 5, "axis"), text(x(ms / spanMs), bottom + 19, bare(ms, stepMs < 1 ? 1 : 0), { "text-anchor": "middle" })]),
    text((left + right) / 2, height - 8, "time, ms", { "text-anchor": "middle", class: "label" }),
    text(14, (top + bottom) / 2, "current, A", { "text-anchor": "middle", class: "label", transform: `rotate(-90 14 ${(top + bottom) / 2})` }),
    levels.map((level, at) => [
      line(left, y(level.a), right, y(level.a), `level ${level.kind}`),
      svg("path", { d: `M${right} ${y(level.a)}L${right + 10} ${names[at]}`, class: `level ${level.kind}` }),
      text(right + 13, names[at] + 4, isNarrow ? level.words.replace("true RMS", "RMS") : level.words, { class: `name ${level.kind}` }),
    ]),
    svg("path", { d: path, class: "trace" }));
  return drawn;
}

/** Harmonics beside the fundamental, in amperes. */
export function harmonics(room, lines, most = 25) {
  const width = inside(room);
  const shownLines = lines.filter((one) => one.order >= 2 && one.order <= most);
  const height = 220, left = 62, right = width - 8, top = 12, bottom = height - 42;
  const end = roundUp(Math.max(...shownLines.map((one) => one.rms_a), 1e-3));
  const digits = end < 0.5 ? 3 : 2;
  const slot = (right - left) / shownLines.length;
  const y = (a) => bottom - (a / end) * (bottom - top);
  return svg("svg", { class: "figure", ...frame(width, height), role: "img" },
    svg("title", {}, "Harmonics of the current"),
    svg("desc", {}, shownLines.filter((one) => one.rms_a > end / 50).map((one) => `order ${one.order}: ${amperes(one.rms_a)}`).join("; ")),
    [0, 0.5, 1].map((share) => [line(left, y(share * end), right, y(share * end), share === 0 ? "axis" : "grid"), text(left - 6, y(share * end) + 4, bare(share * end, digits), { "text-anchor": "end" })]),
    shownLines.map((one, at) => [
      svg("rect", { x: left + at * slot + slot * 0.2, width: slot * 0.6, y: y(one.rms_a), height: Math.max(bottom - y(one.rms_a), 0), class: "bar" }),
      one.order % 2 ? text(left + (at + 0.5) * slot, bottom + 16, String(one.order), { "text-anchor": "middle" }) : null,
    ]),
    text((left + right) / 2, height - 8, "harmonic order", { "text-anchor": "middle", class: "label" }),
    text(14, (top + bottom) / 2, "RMS, A", { "text-anchor": "middle", class: "label", transform: `rotate(-90 14 ${(top + bottom) / 2})` }));
}

/** From the true current to the number on the display, cause by cause. */
export function waterfall(room, reading) {
  const width = inside(room);
  const causes = reading.causes;
  const row = 30, top = 8, left = Math.min(150, width * 0.36), right = width - 84;
  const height = top + row * causes.length + 40;
  const ends = causes.flatMap((cause) => [cause.after_a, cause.after_a - cause.error_a]);
  const middle = reading.true_rms_a;
  const end = roundUp(Math.max(...ends.map((a) => Math.abs(a - middle)), 1e-4));
  const x = (a) => (left + right) / 2 + ((a - middle) / end) * (right - left) / 2;
  return svg("svg", { class: "figure", ...frame(width, height), role: "img" },
    svg("title", {}, "Where the error comes from"),
    svg("desc", {}, causes.map((cause) => `${cause.words}: ${signed(cause.error_ratio, 3)}`).join("; ")),
    line(x(middle), top, x(middle), height - 36, "axis"),
    causes.map((cause, at) => {
      const y = top + at * row;
      const [from, to] = [x(cause.after_a - cause.error_a), x(cause.after_a)];
      return [
        text(left - 8, y + 19, cause.words, { "text-anchor": "end" }),
        svg("rect", { x: Math.min(from, to), width: Math.max(Math.abs(to - from), 1.5), y: y + 6, height: row - 12, class: cause.error_a < 0 ? "bar low" : "bar" }),
        text(right + 6, y + 19, signed(cause.error_ratio, 3)),
      ];
    }),
    [-end, 0, end].map((a) => text(x(middle + a), height - 22, a === 0 ? "0" : `${a > 0 ? "+" : ""}${bare(a, end < 0.001 ? 5 : end < 0.1 ? 4 : 2)}`, { "text-anchor": a < 0 ? "start" : a > 0 ? "end" : "middle" })),
    text((left + right) / 2, height - 5, "indication less the true RMS, A", { "text-anchor": "middle", class: "label" }));
}

/** The band of the step, enlarged, with the true RMS and what each meter shows. */
export function levels(place, situation) {
  const width = inside(place);
  const { step, measures, meters } = situation;
  const rows = [
    { words: "true RMS", a: measures.rms_a, kind: "rms" },
    ...meters.map((meter, at) => ({ words: `${at + 1} shows`, a: meter.shown_a, kind: `meter meter-${at % 4}` })),
  ];
  const known = rows.map((row) => row.a).filter((a) => a !== null);
  const low = Math.min(step.band_low_a, ...known), high = Math.max(step.band_high_a, ...known);
  const margin = (high - low) * 0.08 || 0.1;
  const left = 84, right = width - 84, top = 26, row = 26;
  const bottom = top + row * rows.length;
  const x = (a) => left + ((a - low + margin) / (high - low + 2 * margin)) * (right - left);
  return svg("svg", { class: "figure", ...frame(width, bottom + 44), role: "img" },
    svg("title", {}, "The band of the step, enlarged"),
    svg("desc", {}, `band ${bare(step.band_low_a, 2)} to ${bare(step.band_high_a, 2)} A; ${rows.map((one) => `${one.words} ${one.a === null ? "overload" : amperes(one.a)}`).join("; ")}`),
    svg("rect", { x: x(step.band_low_a), width: x(step.band_high_a) - x(step.band_low_a), y: top, height: bottom - top, class: "band" }),
    line(x(step.nominal_rms_a), top, x(step.nominal_rms_a), bottom, "axis"),
    text((x(step.band_low_a) + x(step.band_high_a)) / 2, top - 8, "band of the step", { "text-anchor": "middle", class: "label" }),
    rows.map((one, at) => {
      const y = top + (at + 0.5) * row;
      return [
        text(left - 8, y + 4, one.words, { "text-anchor": "end", class: `name ${one.kind}` }),
        one.a === null
          ? text(left + 4, y + 4, "overload", {})
          : [line(x(step.nominal_rms_a), y, x(one.a), y, `level ${one.kind}`), svg("circle", { cx: x(one.a), cy: y, r: 5, class: `dot ${one.kind}` }), text(right + 8, y + 4, amperes(one.a), { class: `name ${one.kind}` })],
      ];
    }),
    [step.band_low_a, step.band_high_a].map((a) => [line(x(a), bottom, x(a), bottom + 5, "axis"), text(x(a), bottom + 18, bare(a, 2), { "text-anchor": "middle" })]),
    text((left + right) / 2, bottom + 38, "current, A", { "text-anchor": "middle", class: "label" }));
}
