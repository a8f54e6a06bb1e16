// Elements, and numbers as they are shown. Numbers come from the server; here they only get their digits and units.

const SVG = "http://www.w3.org/2000/svg";

function fill(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name === "value" && "value" in element) element.value = value;
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

/** An element with attributes and children. */
export const el = (tag, attributes, ...children) => fill(document.createElement(tag), attributes, children);

/** An element of a drawing. */
export const svg = (tag, attributes, ...children) => fill(document.createElementNS(SVG, tag), attributes, children);

/** The element of an id. */
export const by = (id) => document.getElementById(id);

/** Puts children in the place of what an element holds. */
export function put(element, ...children) {
  element.replaceChildren(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false));
}

const known = (value) => value !== null && value !== undefined;
const DASH = "–";

/** A number with so many digits after the point, and its unit. */
export const shown = (value, digits, unit) => (known(value) ? `${tidy(value.toFixed(digits))} ${unit}` : DASH);

const tidy = (text) => (/^-0(\.0*)?$/.test(text) ? text.slice(1) : text).replace("-", "−");

export const amperes = (value) => shown(value, 3, "A");
export const volts = (value) => shown(value, 0, "V");
export const watts = (value) => shown(value, 0, "W");
export const voltAmperes = (value) => shown(value, 0, "VA");
export const degrees = (value) => shown(value, 1, "°");
export const bare = (value, digits = 3) => (known(value) ? tidy(value.toFixed(digits)) : DASH);

/** A ratio in percent. */
export const percent = (ratio, digits = 1) => (known(ratio) ? shown(ratio * 100, digits, "%") : DASH);

/** A ratio in percent with its sign. */
export function signed(ratio, digits = 2) {
  const text = percent(ratio, digits);
  return known(ratio) && !text.startsWith("−") && Number.parseFloat(text) !== 0 ? `+${text}` : text;
}

/** What was typed, with a point where a decimal comma was. */
export const typed = (text) => text.trim().replace(/(\d),(?=\d)/g, "$1.").replace(/^,(?=\d)/, "0.");

/** What went wrong, for people. */
export function problemBox(problem) {
  const where = problem.line ? ` (line ${problem.line}${problem.column ? `, column ${problem.column}` : ""})` : "";
  return el("div", { class: "problem", role: "alert" },
    el("strong", {}, problem.title ?? "it did not work"),
    el("p", {}, `${problem.field && !problem.detail?.startsWith(`${problem.field}:`) ? `${problem.field}: ` : ""}${problem.detail ?? ""}${where}`),
    problem.allowed ? el("p", {}, `Allowed: ${problem.allowed}`) : null,
    problem.hint ? el("p", {}, `Try: ${problem.hint}`) : null);
}

/** What is a danger to people, before anything else; or nothing. */
export const dangerBox = (list, role = "alert") => (list?.length
  ? el("div", { class: "problem danger", role }, el("strong", {}, "DANGER"), el("ul", {}, list.map((text) => el("li", {}, text))))
  : null);

const MARKS = { fit: "✓", "fit with care": "!", "fit-with-correction": "!", "not fit": "✗", "not-fit": "✗", undecided: "?" };

/** A verdict: a mark and words, never colour alone. */
export function verdict(words) {
  const key = words.replaceAll("-", " ");
  const kind = key === "fit" ? "good" : key.startsWith("not fit") || key === "unfit" ? "bad" : "open";
  return el("span", { class: `verdict ${kind}` }, el("span", { "aria-hidden": "true" }, `${MARKS[words] ?? (kind === "bad" ? "✗" : "?")} `), key);
}

/** A table with a caption; the first column heads its row. */
export function table(caption, head, rows, attributes = {}) {
  return el("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": caption },
    el("table", attributes,
      el("caption", {}, caption),
      el("thead", {}, el("tr", {}, head.map((text) => el("th", { scope: "col" }, text)))),
      el("tbody", {}, rows.map((row) => el("tr", {}, row.map((cell, at) =>
        at === 0 ? el("th", { scope: "row" }, cell) : el("td", {}, cell)))))));
}

/** Notes as a list, or nothing. */
export const notes = (list) => (list?.length
  ? el("ul", { class: "notes" }, [...new Set(list.map((note) => note.text ?? note))].map((text) => el("li", {}, text)))
  : null);

/** The cautions that go with everything that leads to the equipment. */
export const cautionsBox = (list) => el("details", { class: "cautions", open: true },
  el("summary", {}, "Before anyone goes to the equipment"),
  el("ul", {}, (list ?? []).map((text) => el("li", {}, text))));

/** Hands bytes to the person as a file. */
export function save(name, kind, bytes) {
  const address = URL.createObjectURL(new Blob([bytes], { type: kind }));
  const link = el("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
