// What is entered but not acknowledged, and what is typed but not entered: both outlive this page.

const root = (caseId) => `chaincase:${caseId}:`;

function kept(prefix) {
  const found = [];
  for (let i = 0; i < localStorage.length; i++) {
    const key = localStorage.key(i);
    if (key.startsWith(prefix)) found.push([key.slice(prefix.length), JSON.parse(localStorage.getItem(key))]);
  }
  return found.sort(([one], [other]) => (one < other ? -1 : 1));
}

function put(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // The store of the browser is full or shut: the entry is still sent, it only would not outlive a crash.
  }
}

// Entries on their way, one key each, so that two tabs do not write over each other. Ids sort by time.
export function outbox(caseId) {
  const prefix = `${root(caseId)}unsent:`;
  const here = new Map();
  return {
    add(entry) { here.set(entry.id, entry); put(prefix + entry.id, entry); },
    all() { return [...new Map([...kept(prefix), ...here]).values()].sort((a, b) => (a.id < b.id ? -1 : 1)); },
    remove(id) { here.delete(id); localStorage.removeItem(prefix + id); },
  };
}

// Texts in fields, with the version that was seen when somebody began to type.
export function drafts(caseId) {
  const prefix = `${root(caseId)}draft:`;
  return {
    keep(id, value, base) {
      const known = JSON.parse(localStorage.getItem(prefix + id) ?? "null");
      put(prefix + id, { value, base: known?.base ?? base });
    },
    base(id) { return JSON.parse(localStorage.getItem(prefix + id) ?? "null")?.base; },
    drop(id) { localStorage.removeItem(prefix + id); },
    all() { return kept(prefix); },
  };
}
