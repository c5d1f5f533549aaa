// What the phone keeps: every change as an event of its own, photographs until they are sent, and what is half typed.
// Events and photographs lie in IndexedDB; half-typed text in localStorage, which is written before the next key.

const NAME = "chaincase-phone";
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

export const put = (store, value) => within([store], "readwrite", (deal) => deal.objectStore(store).put(value));
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
  });

const draftKey = (name, field) => `draft ${name} ${field}`;

export function draft(name, field) {
  return localStorage.getItem(draftKey(name, field)) ?? "";
}

export function keepDraft(name, field, text) {
  if (text) localStorage.setItem(draftKey(name, field), text);
  else localStorage.removeItem(draftKey(name, field));
}

// A name that stays with this phone: whose hand it is, which unit its caliper shows.
export const setting = (key, otherwise = "") => localStorage.getItem(`phone ${key}`) ?? otherwise;
export const keepSetting = (key, value) => localStorage.setItem(`phone ${key}`, value);

// Ask the browser not to clear what is kept here when space runs short.
export async function keepForGood() {
  return (await navigator.storage?.persist?.()) ?? false;
}
