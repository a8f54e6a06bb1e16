// The address after `#` holds the whole state: `#desk?key=value&…`; back and forward go through states.

let heard = () => {};

/** Desk and values of the address now. */
export function read() {
  const [desk, rest] = decodeHash().split(/\?(.*)/s);
  return { desk: desk || "bench", values: Object.fromEntries(new URLSearchParams(rest ?? "")) };
}

const decodeHash = () => location.hash.slice(1);

/** The address of a state. */
export function of(desk, values) {
  const kept = Object.entries(values).filter(([, value]) => value !== "" && value !== null && value !== undefined);
  const text = new URLSearchParams(kept).toString();
  return `#${desk}${text ? `?${text}` : ""}`;
}

/** Writes a state: as a new one to come back to, or in the place of the present one while something is moved. */
export function write(desk, values, { isNew }) {
  const address = of(desk, values);
  if (address === location.hash) return;
  if (isNew) history.pushState(null, "", address);
  else history.replaceState(null, "", address);
}

/** Calls back whenever the person goes to another address. */
export function listen(callback) {
  heard = callback;
  addEventListener("popstate", () => heard());
  addEventListener("hashchange", () => heard());
}

/** A text small enough for an address: deflated, in letters that need no escape. */
export async function packed(text) {
  const stream = new Blob([text]).stream().pipeThrough(new CompressionStream("deflate-raw"));
  const bytes = new Uint8Array(await new Response(stream).arrayBuffer());
  const letters = Array.from(bytes, (byte) => String.fromCharCode(byte)).join("");
  return btoa(letters).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}

/** The text that was packed. */
export async function unpacked(letters) {
  const bytes = Uint8Array.from(atob(letters.replaceAll("-", "+").replaceAll("_", "/")), (letter) => letter.charCodeAt(0));
  return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"))).text();
}
