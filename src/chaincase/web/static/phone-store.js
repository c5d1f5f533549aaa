// What the phone keeps: every change as an event of its own, photographs until they are sent, and what is half typed.
// Events and photographs lie in IndexedDB; half-typed text in localStorage, which is written before the next key.

const NAME = "chaincase-phone";
const listeners = new Set();

// Told in words when something could not be kept: a phone without room must not look as if it had kept it.
export const onTrouble = (listener) => listeners.add(listener);
const tell = (words) => listeners.forEach((listener) => listener(words));

// Something was kept: what was told before holds no more.
export const allWell = () => tell("");

export class NotKept extends Error {}

const NO_ROOM = "There is no room left on this phone: the last entry was NOT kept. Leave it in its field, make room (photographs and films take most), then keep it again.";

function notKept(fault) {
  const full = fault?.name === "QuotaExceededError" || /quota|disk|space/i.test(fault?.message ?? "");
  const words = full ? NO_ROOM : `This phone could not keep the last entry (${fault?.message ?? "no reason given"}). Leave it in its field and try again.`;
  tell(words);
  throw new NotKept(words);
}
let opening = null;

function opened() {
  opening ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("events", { keyPath: "id" }).createIndex("case", "case");
      request.result.createObjectStore("photos", { keyPath: "id" }).createIndex("case", "case");
      request.result.createObjectStore("cases", { keyPath: "case" });
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  return opening;
}

// Run one transaction; it has ended, and so is kept, when the promise resolves.
async function within(stores, mode, work) {
  const db = await opened();
  return new Promise((resolve, reject) => {
    const deal = db.transaction(stores, mode, mode === "readwrite" ? { durability: "strict" } : undefined);
    let result;
    deal.oncomplete = () => resolve(result?.result ?? result);
    deal.onerror = deal.onabort = () => reject(deal.error);
    result = work(deal);
  });
}

export const put = (store, value) => within([store], "readwrite", (deal) => deal.objectStore(store).put(value)).catch(notKept);
export const get = (store, key) => within([store], "readonly", (deal) => deal.objectStore(store).get(key));
export const drop = (store, key) => within([store], "readwrite", (deal) => deal.objectStore(store).delete(key));
export const all = (store) => within([store], "readonly", (deal) => deal.objectStore(store).getAll());
export const ofCase = (store, name) =>
  within([store], "readonly", (deal) => deal.objectStore(store).index("case").getAll(name));

// Keep a photograph and the event that names it in one transaction: both are there or neither is.
export const putPhoto = (photo, kept) =>
  within(["photos", "events"], "readwrite", (deal) => {
    deal.objectStore("photos").put(photo);
    return deal.objectStore("events").put(kept);
  }).catch(notKept);

const draftKey = (name, field) => `draft ${name} ${field}`;

export function draft(name, field) {
  return localStorage.getItem(draftKey(name, field)) ?? "";
}

export function keepDraft(name, field, text) {
  if (text) keepText(draftKey(name, field), text);
  else localStorage.removeItem(draftKey(name, field));
}

function keepText(key, text) {
  try {
    localStorage.setItem(key, text);
  } catch {
    tell("There is no room left on this phone: what you type would be lost if the page closed. Make room, or keep this entry now.");
  }
}

// A name that stays with this phone: whose hand it is, which unit its caliper shows.
export const setting = (key, otherwise = "") => localStorage.getItem(`phone ${key}`) ?? otherwise;
export const keepSetting = (key, value) => keepText(`phone ${key}`, value);
export const dropSetting = (key) => localStorage.removeItem(`phone ${key}`);

// Ask the browser not to clear what is kept here when space runs short.
export async function keepForGood() {
  return (await navigator.storage?.persist?.()) ?? false;
}
