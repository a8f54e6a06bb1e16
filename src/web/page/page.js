// The page: which desk is open, the description in use, light or dark.

import * as address from "./address.js";
import * as bench from "./bench.js";
import * as capture from "./capture.js";
import * as circuit from "./circuit.js";
import * as described from "./described.js";
import { by, el, problemBox, put } from "./dom.js";
import * as meters from "./meters.js";
import * as waits from "./waits.js";
import * as worksheet from "./worksheet.js";

const DESKS = { bench, meters, circuit, capture, worksheet };
let open = null;

async function go() {
  const { desk: name, values } = address.read();
  const desk = DESKS[name] ? name : "bench";
  for (const key of Object.keys(DESKS)) by(key).hidden = key !== desk;
  for (const link of document.querySelectorAll("nav a")) {
    const isOpen = link.dataset.desk === desk;
    if (isOpen) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  document.title = `${by(desk).querySelector("h2").textContent} · loopcrest`;
  waits.show();
  const hasMoved = open !== null && open !== desk;
  open = desk;
  try {
    await described.follow(values.toml);
    put(by("problem"));
    nameDescription();
    await DESKS[desk].show(values);
  } catch (error) {
    put(by("problem"), problemBox(error));
    for (const link of document.querySelectorAll("nav a")) link.href = `#${link.dataset.desk}`;
    if (!error.detail) throw error;
  }
  if (hasMoved) by(desk).querySelector("h2").focus();
}

function nameDescription() {
  const { title, invented } = described.choices();
  put(by("description-title"), title, invented ? el("span", { class: "tag" }, "invented") : null, described.isPasted() ? el("span", { class: "tag" }, "pasted") : null);
  for (const link of document.querySelectorAll("nav a")) link.href = address.of(link.dataset.desk, { toml: described.letters() });
}

async function useDescription(text) {
  try {
    await described.use(text);
  } catch (error) {
    put(by("description-problem"), problemBox(error));
    return;
  }
  put(by("description-problem"));
  by("description").open = false;
  address.write(open, { toml: described.letters() }, { isNew: true });
  await go();
}

function theme() {
  const kept = localStorage.getItem("loopcrest.theme") ?? "system";
  const use = (value) => {
    if (value === "system") document.documentElement.removeAttribute("data-theme");
    else document.documentElement.dataset.theme = value;
    localStorage.setItem("loopcrest.theme", value);
  };
  use(kept);
  by("theme").value = kept;
  by("theme").addEventListener("change", (event) => use(event.target.value));
}

theme();
for (const desk of Object.values(DESKS)) desk.begin?.();
by("description").addEventListener("toggle", async () => {
  if (by("description").open && !by("description-text").value) by("description-text").value = await described.text();
});
by("description-use").addEventListener("click", () => useDescription(by("description-text").value));
by("description-own").addEventListener("click", () => {
  by("description-text").value = "";
  useDescription(null);
});
by("skip").addEventListener("click", (event) => {
  event.preventDefault();
  by("main").focus();
});
address.listen(go);
let width = 0;
new ResizeObserver(() => {
  const now = document.body.clientWidth;
  if (now !== width && width !== 0) DESKS[open]?.render?.();
  width = now;
}).observe(document.body);
go();
