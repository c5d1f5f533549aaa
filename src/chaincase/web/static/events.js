// Events: one for each change, with an id made here, so that the same one sent twice counts once.

// A UUID of version 7 (RFC 9562): milliseconds, a count that goes up within one of them, then chance.
let last = 0n;
export function uuid7() {
  const chance = crypto.getRandomValues(new Uint8Array(8));
  let stamp = BigInt(Date.now()) << 12n;
  if (stamp <= last) stamp = last + 1n;
  last = stamp;
  const hex = [...chance].map((byte) => byte.toString(16).padStart(2, "0"));
  const head = (stamp >> 12n).toString(16).padStart(12, "0");
  const count = (stamp & 0xfffn).toString(16).padStart(3, "0");
  hex[0] = ((chance[0] & 0x3f) | 0x80).toString(16);
  const tail = hex.join("");
  return `${head.slice(0, 8)}-${head.slice(8)}-7${count}-${tail.slice(0, 4)}-${tail.slice(4)}`;
}

// The id of this tab, kept as long as it is open.
export function client() {
  let id = sessionStorage.getItem("client");
  if (!id) sessionStorage.setItem("client", (id = uuid7()));
  return id;
}

// One change: set a field, add an entry to a list, remove either. `base` is the version that was seen.
export function event(kind, path, value, base) {
  return { id: uuid7(), kind, path, value: value ?? null, base, client: client(), client_at: new Date().toISOString() };
}

// A fault of the server, in its one shape: status, what, where, right.
export class Refused extends Error {
  constructor(error) {
    super(error.right ? `${error.what} ${error.right}` : error.what);
    Object.assign(this, error);
  }
}

// Ask the API; `body` is sent as JSON, unless it is a file or a form.
export async function ask(method, path, body, signal) {
  const plain = body === undefined || body instanceof Blob || body instanceof FormData;
  const answer = await fetch(`/api/v1${path}`, {
    method,
    signal,
    headers: plain ? {} : { "content-type": "application/json" },
    body: plain ? body : JSON.stringify(body),
  });
  const kind = answer.headers.get("content-type") ?? "";
  const data = kind.includes("json") ? await answer.json() : await answer.text();
  if (!answer.ok) throw new Refused(data.error ?? { status: answer.status, what: "The server did not answer.", right: "" });
  return data;
}

// Add events to a case; the answer has `version` and one result for each.
export function append(caseId, events) {
  return ask("POST", `/cases/${encodeURIComponent(caseId)}/events`, { events });
}
