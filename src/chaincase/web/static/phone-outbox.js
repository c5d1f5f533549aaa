// Sending: every change once, in order, whenever there is a signal. The server knows an event by its id, so that one
// that was sent and never acknowledged can be sent again.

import { ask, uuid7 } from "./events.js";
import * as store from "./phone-store.js";

const BATCH = 50;
const UNSENT = new Set(["waiting", "photo"]);
const listeners = new Set();

export const onChange = (listener) => listeners.add(listener);
const tell = () => listeners.forEach((listener) => listener());

// This phone, for the register: its own earlier changes count as seen.
function phone() {
  let id = store.setting("id");
  if (!id) store.keepSetting("id", (id = uuid7()));
  return id;
}

export async function version(name) {
  return (await store.get("cases", name))?.version ?? 0;
}

async function made(work, kind, path, value) {
  const event = {
    id: uuid7(), kind, path, value: value ?? null, base: await version(work.name), client: phone(),
    client_at: new Date().toISOString(),
  };
  return { id: event.id, case: work.name, mode: work.mode, event, state: "waiting", why: "", at: Date.now() };
}

// Keep a change; it is on the phone for good when this returns.
export async function keep(work, kind, path, value) {
  const entry = await made(work, kind, path, value);
  await store.put("events", entry);
  store.allWell();
  tell();
  send();
  return entry;
}

export async function keepPhoto(work, file, shows, by) {
  const value = { file: file.name || "photograph.jpg", shows, by, on: new Date().toISOString().slice(0, 10) };
  const entry = { ...(await made(work, "add", "photographs", value)), state: "photo" };
  const photo = { id: entry.id, case: work.name, mode: work.mode, blob: file, name: value.file, sha256: "" };
  await store.putPhoto(photo, entry);
  store.allWell();
  tell();
  send();
}

// Take back an entry of one's own: what was not sent yet simply goes, what was sent is removed by a further event.
export async function takeBack(work, entry) {
  const now = await store.get("events", entry.id);
  if (now && UNSENT.has(now.state) && !now.tried) {
    await store.drop("photos", entry.id).catch(() => {});
    await store.drop("events", entry.id);
    tell();
    return;
  }
  await store.put("events", { ...now, taken: true });
  await keep(work, "remove", `${entry.event.path}[${entry.event.value?.id ?? entry.id}]`);
}

export async function unsent() {
  return (await store.all("events")).filter((entry) => UNSENT.has(entry.state));
}

// Only one tab sends at a time; another one finds nothing left to do.
let again = false;
// Why nothing goes out, as the server's fault; null while it does.
export let stopped = null;

export function send(anyway = false) {
  if (!navigator.onLine && anyway !== true) return Promise.resolve();
  again = true;
  return alone(async () => {
    while (again) {
      again = false;
      await sendAll().then(() => (stopped = null), (fault) => (stopped = fault));
      tell();
    }
  });
}

const TAB = uuid7();
const TURN = 90000;
const SETTLES = 60;
let busy = false;

// A page from another computer by plain http has no locks: there a note with an end serves. Should two tabs slip
// through it, nothing is lost or doubled either, as the server takes each change once.
async function alone(work) {
  if (navigator.locks) return navigator.locks.request("chaincase sending", { ifAvailable: true }, (lock) => lock && work());
  const [tab, until] = store.setting("sending").split(" ");
  if (busy || (tab && tab !== TAB && Number(until) > Date.now())) return;
  busy = true;
  const turn = () => store.keepSetting("sending", `${TAB} ${Date.now() + TURN}`);
  turn();
  const staying = setInterval(turn, TURN / 3);
  try {
    await new Promise((resolve) => setTimeout(resolve, SETTLES));
    if (store.setting("sending").startsWith(TAB)) await work();
  } finally {
    clearInterval(staying);
    if (store.setting("sending").startsWith(TAB)) store.dropSetting("sending");
    busy = false;
  }
}

// A phone that slept in the middle of a request may wait for ever; then it is sent again.
const within = (seconds) => AbortSignal.timeout?.(seconds * 1000);

async function sendAll() {
  const waiting = (await unsent()).sort((a, b) => (a.id < b.id ? -1 : 1));
  for (const [name, mode] of new Map(waiting.map((entry) => [entry.case, entry.mode]))) {
    const own = waiting.filter((entry) => entry.case === name);
    for (const entry of own.filter((each) => each.state === "photo")) await sendPhoto(entry, mode);
    const ready = own.filter((entry) => entry.state === "waiting");
    for (let i = 0; i < ready.length; i += BATCH) await sendBatch(name, mode, ready.slice(i, i + BATCH));
  }
}

async function sendPhoto(entry, mode) {
  const photo = await store.get("photos", entry.id);
  const path = mode === "answer" ? "/answer/photographs" : `/cases/${encodeURIComponent(entry.case)}/photographs`;
  try {
    const kept = await ask("POST", `${path}?name=${encodeURIComponent(photo.name)}`, photo.blob, within(300));
    const event = { ...entry.event, value: { ...entry.event.value, sha256: kept.id } };
    Object.assign(entry, { event, state: "waiting" });
    await store.put("events", entry);
    await store.put("photos", { ...photo, sha256: kept.id });
  } catch (fault) {
    if (!refused(fault)) throw fault;
    await store.put("events", { ...entry, state: "refused", why: fault.message });
  }
  tell();
}

// A fault that sending again cannot mend; signing in again, a full disk or a busy server can be waited for.
const refused = (fault) => [400, 404, 409, 413, 415, 422].includes(fault.status);

async function sendBatch(name, mode, entries) {
  for (const entry of entries) await store.put("events", { ...entry, tried: true });
  const path = mode === "answer" ? "/answer/events" : `/cases/${encodeURIComponent(name)}/events`;
  let answer;
  try {
    answer = await ask("POST", path, { events: entries.map((entry) => entry.event) }, within(60));
  } catch (fault) {
    if (!refused(fault)) throw fault;
    if (entries.length > 1) {
      for (const entry of entries) await sendBatch(name, mode, [entry]);
      return;
    }
    await store.put("events", { ...entries[0], tried: true, state: "refused", why: fault.message });
    tell();
    return;
  }
  await settle(entries, answer);
}

async function settle(entries, answer) {
  // The holder of a link gets the results alone: which version the case has is none of their business.
  const results = new Map((answer.results ?? answer).map((result) => [result.id, result]));
  for (const entry of entries) {
    const result = results.get(entry.id);
    const outcome = result?.outcome === "repeated" ? (result.first ?? "applied") : result?.outcome;
    const state = { conflict: "conflict", refused: "refused" }[outcome] ?? "sent";
    const now = await store.get("events", entry.id);
    await store.put("events", { ...now, state, why: result?.why ?? "", theirs: result?.theirs ?? null });
  }
  // The answer's version is not what this hand has seen: others' changes are in it that this page does not show.
  tell();
}

addEventListener("online", () => send());
addEventListener("pageshow", () => send());
document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && send());
setInterval(async () => (await unsent()).length && send(), 20000);
