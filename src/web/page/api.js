// Questions to the server. A newer question of the same channel aborts the older one, here and there.

const page = crypto.getRandomValues(new Uint32Array(2)).join("-");
const channels = new Map();

/** What the server answers when it cannot do what was asked. */
export class Problem extends Error {
  constructor(body) {
    super(body.detail);
    Object.assign(this, body);
  }
}

async function problemOf(answer) {
  try {
    return new Problem(await answer.json());
  } catch {
    return new Problem({ title: "no answer that can be read", status: answer.status, detail: `status ${answer.status}` });
  }
}

/**
 * Asks; gives the response, or throws a Problem. `channel` names questions of which only the newest counts.
 */
export async function ask(path, { method, body, kind, channel, headers } = {}) {
  const options = { method: method ?? (body === undefined ? "GET" : "POST"), headers: { ...headers }, body, cache: "no-store" };
  if (kind) options.headers["content-type"] = kind;
  if (channel) {
    const before = channels.get(channel);
    before?.abort.abort();
    const now = { abort: new AbortController(), number: (before?.number ?? 0) + 1 };
    channels.set(channel, now);
    options.signal = now.abort.signal;
    options.headers["loopcrest-client"] = `${page}-${channel}`;
    options.headers["loopcrest-sequence"] = String(now.number);
  }
  let answer;
  try {
    answer = await fetch(path, options);
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Problem({ title: "no connection to the program", detail: "The program on this machine does not answer.", hint: "see whether `loopcrest page` still runs", isOffline: true });
  }
  if (!answer.ok) throw await problemOf(answer);
  return answer;
}

/** The same, as JSON. */
export const askJson = async (path, options) => (await ask(path, options)).json();

/** Whether a failure only says that something newer was asked. */
export const isOvertaken = (error) => error.name === "AbortError" || error.type?.endsWith("/overtaken");

/** A query of pairs that have a value. */
export function query(pairs) {
  const text = new URLSearchParams(Object.entries(pairs).filter(([, value]) => value !== "" && value !== null && value !== undefined)).toString();
  return text ? `?${text}` : "";
}
