// The bench: every entry is sent by itself, and the parts of the page come back with the answer.

import { client, uuid7 } from "./events.js";
import { asked, beside, habits, keepHabits, place, restoreHabits, show } from "./bench-figure.js";
import { drafts, outbox } from "./bench-outbox.js";
import { listen } from "./bench-stamp.js";
import { swap } from "./bench-swap.js";

const bench = document.getElementById("bench");
const caseId = bench.dataset.case;
const address = `/bench/${encodeURIComponent(caseId)}`;
const unsent = outbox(caseId);
const typed = drafts(caseId);
const others = "BroadcastChannel" in self ? new BroadcastChannel(`chaincase:${caseId}`) : null;
const WAIT = [1000, 2000, 5000, 10000, 20000];
const LOOK_EVERY = 15000;
let version = Number(bench.dataset.version);
let sending = null;
let tries = 0;
let retry = 0;
let began = 0;

document.documentElement.classList.add("with-js");

// Sending.

function enter(fields, from, text, base) {
  const entry = { id: uuid7(), base: base ?? version, client: client(), client_at: new Date().toISOString(), fields };
  unsent.add({ ...entry, from, text });
  if (from) typed.drop(from);
  began = performance.now();
  return flush();
}

function flush() {
  sending ??= send().finally(() => { sending = null; if (!retry && unsent.all().length) flush(); });
  return sending;
}

async function send() {
  clearTimeout(retry);
  retry = 0;
  const waiting = unsent.all();
  if (!waiting.length) return tell();
  const entries = waiting.map(({ id, base, client: by, client_at, fields }) => ({ id, base, client: by, client_at, fields }));
  try {
    const answer = await post("/entries", { entries, version, client: client(), kind: bench.dataset.kind });
    tries = 0;
    answered(waiting, answer);
  } catch (fault) {
    retry = setTimeout(flush, WAIT[Math.min(tries++, WAIT.length - 1)]);
    tell(fault.words);
  }
}

async function post(path, body) {
  const answer = await fetch(address + path, {
    method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body), signal: AbortSignal.timeout(20000),
  });
  if (answer.ok) return answer.json();
  const fault = new Error("refused");
  fault.words = answer.status < 500 ? await wordsOf(answer) : "";
  throw fault;
}

async function wordsOf(answer) {
  const found = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("h1");
  return found?.textContent ?? "";
}

function answered(waiting, answer) {
  const sent = new Map(waiting.map((each) => [each.id, each]));
  for (const each of waiting) unsent.remove(each.id);
  refresh(answer);
  for (const result of answer.results) {
    const entry = sent.get(result.id);
    const outcome = result.outcome === "repeated" ? result.first : result.outcome;
    if (outcome === "refused") refuse(entry, result.why);
    else if (outcome === "conflict") conflict(entry, result);
  }
  if (answer.said) document.getElementById("said").textContent = answer.said;
  if (answer.results.some((each) => each.outcome === "applied")) others?.postMessage(answer.version);
  tell();
}

function refresh(answer) {
  version = answer.version;
  bench.dataset.version = version;
  for (const [name, html] of Object.entries(answer.parts)) swap(document.querySelector(`[data-part="${name}"]`), html);
  settleIn();
  meanwhile(answer.meanwhile);
  if (began) requestAnimationFrame(() => { bench.dataset.took = Math.round(performance.now() - began); began = 0; });
}

function settleIn() {
  for (const each of document.querySelectorAll("[data-paper]")) each.value = localStorage.getItem(`chaincase:${each.name}`) ?? each.value;
  place();
  restoreHabits();
  show();
}

// Give back what was not taken, with the reason beside it.
function refuse(entry, why) {
  const field = entry.from && document.getElementById(entry.from);
  const fault = document.createElement("p");
  fault.className = "fault entry-fault";
  fault.setAttribute("role", "alert");
  fault.textContent = why;
  if (!field) return notice("meanwhile", [`${entry.text ?? "An entry"}: ${why}`]);
  if (!field.value && entry.text) field.value = entry.text;
  field.setAttribute("aria-invalid", "true");
  typed.keep(field.id, field.value, entry.base);
  if (field.closest(".size")) {
    field.focus();
    show(field);
    const how = document.getElementById("strip-how");
    how.textContent = why;
    how.classList.add("fault");
  } else {
    const form = field.closest("form");
    form.querySelector(".entry-fault")?.remove();
    form.append(fault);
    field.focus();
  }
}

// Banners.

function tell(words = "") {
  const banner = document.getElementById("unsent");
  const waiting = unsent.all();
  banner.hidden = !waiting.length || !(retry || words);
  if (banner.hidden) return;
  banner.replaceChildren(
    text("strong", `Not saved yet: ${waiting.length}. `),
    text("span", words || "The server does not answer. What you enter is kept here and sent when it does. "),
    button("Try now", () => { clearTimeout(retry); retry = 0; flush(); }),
    ...(words ? [button("Give it up", () => { for (const each of waiting) unsent.remove(each.id); tell(); })] : []),
  );
}

function meanwhile(lines) {
  if (lines?.length) notice("meanwhile", lines, "Changed meanwhile. ");
}

function notice(id, lines, head = "") {
  const banner = document.getElementById(id);
  banner.replaceChildren(text("strong", head), text("span", lines.join("; ")), button("Seen", () => { banner.hidden = true; }));
  banner.hidden = false;
}

function conflict(entry, result) {
  const banner = document.getElementById("settle");
  const close = (fields, base) => { banner.hidden = true; enter(fields, entry.from, entry.text, base); };
  const side = (label, value, words, act) => {
    const box = text("div", "");
    box.className = "side";
    box.append(text("p", label), text("p", value), button(words, act));
    box.children[0].className = "label";
    box.children[1].className = "value";
    return box;
  };
  const title = text("p", `Two people wrote here: ${result.what}`);
  title.id = "settle-title";
  const sides = text("div", "");
  sides.className = "sides";
  sides.append(
    side(`In force, ${result.theirs_by}`, result.theirs || "removed", "Let it stand", () => close({ sort: "keep", conflict: result.id }, version)),
    side("Yours", result.yours || entry.text, "Take mine", () => close(entry.fields, version)),
  );
  banner.replaceChildren(title, sides);
  banner.hidden = false;
}

function text(tag, words) {
  const made = document.createElement(tag);
  made.textContent = words;
  return made;
}

function button(words, act) {
  const made = text("button", words);
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}

// What others change.

async function look(anyway = false) {
  if (document.hidden || sending || unsent.all().length) return;
  const query = new URLSearchParams({ version, client: client(), kind: bench.dataset.kind, ...(anyway ? { anyway: "true" } : {}) });
  const answer = await fetch(`${address}/parts?${query}`).catch(() => null);
  if (!answer?.ok || sending) return;
  const data = await answer.json();
  if (data.version !== version || anyway) refresh(data);
}

// Forms.

function fieldsOf(form) {
  const fields = {};
  for (const [name, value] of new FormData(form)) {
    if (name === "base") continue;
    if (name === "word") (fields.word ??= []).push(value);
    else fields[name] = value;
  }
  if (form.dataset.entry === "construction") fields.word ??= [];
  return fields;
}

const firstText = (form) => form.querySelector('input:not([type="hidden"], [type="checkbox"]), textarea, select');

function submitted(event) {
  const form = event.target;
  if (form.matches("[data-undo]")) { event.preventDefault(); undo(); return; }
  if (form.matches("[data-measure]")) { event.preventDefault(); return; }
  if (!form.matches("[data-entry]")) return;
  event.preventDefault();
  form.querySelector(".entry-fault")?.remove();
  const field = form.matches(".particulars") ? null : firstText(form);
  if (form.matches(".particulars")) { particulars(form); return; }
  if (form.matches(".fact") && field.value === field.defaultValue && field.tagName === "INPUT") return;
  const fields = fieldsOf(form);
  const words = field?.value ?? "";
  const base = field?.id ? typed.base(field.id) : undefined;
  field?.removeAttribute("aria-invalid");
  emptied(form);
  enter(fields, field?.id, words, base);
}

// An entry that is on its way leaves its fields; a value that only stands there stays.
function emptied(form) {
  for (const each of form.querySelectorAll('input:not([type="hidden"], [type="checkbox"]), textarea')) typed.drop(each.id);
  if (form.matches(".autosend, .inline, .particulars")) {
    for (const each of form.querySelectorAll("input")) if (each.type !== "checkbox" && each.type !== "hidden") each.defaultValue = each.value;
  } else form.reset();
}

function particulars(form) {
  for (const field of form.querySelectorAll(".field > input:not([type=hidden]), .field > select")) {
    const was = form.elements[`was.${field.name}`];
    if (!was || was.value === field.value) continue;
    was.value = field.value;
    field.defaultValue = field.value;
    enter({ sort: "set", path: field.name, value: field.value }, field.id, field.value, typed.base(field.id));
  }
  form.closest("details").open = false;
}

async function undo() {
  await flush();
  try {
    const answer = await post("/undo", { entries: [], version, client: client(), kind: bench.dataset.kind });
    refresh(answer);
    document.getElementById("said").textContent = answer.said;
    others?.postMessage(answer.version);
  } catch (fault) {
    notice("meanwhile", [fault.words || "The server does not answer."]);
  }
}

// Keys.

function measured(input, event) {
  const value = input.value.trim();
  if (value) {
    const item = input.closest(".size");
    const base = typed.base(input.id);
    input.value = "";
    input.removeAttribute("aria-invalid");
    input.placeholder = value;
    item.classList.add("pending");
    document.getElementById("strip-how").classList.remove("fault");
    enter({ sort: "reading", dimension: item.dataset.dimension, value, ...habits() }, input.id, value, base);
  }
  if (!event.ctrlKey && !event.metaKey) beside(input, 1, true).focus();
}

const jumps = {
  1: () => asked(),
  2: () => document.getElementById("e-line"),
  3: () => document.getElementById("evidence-column"),
  4: () => document.getElementById("lineup-pane"),
  5: () => document.getElementById("gaps-pane"),
};

function pressed(event) {
  const size = event.target.closest?.("#measure .size input");
  if (size && event.key === "Enter") { event.preventDefault(); measured(size, event); return; }
  if (size && ["ArrowUp", "ArrowDown"].includes(event.key)) { event.preventDefault(); beside(size, event.key === "ArrowUp" ? -1 : 1, false).focus(); return; }
  if (event.altKey && !event.ctrlKey && jumps[event.key]) { event.preventDefault(); jumps[event.key]()?.focus(); return; }
  const writing = event.target.matches?.("input, textarea, select") && event.target.value !== (event.target.defaultValue ?? "");
  if ((event.ctrlKey || event.metaKey) && !event.shiftKey && event.key === "z" && !writing && "writes" in bench.dataset) { event.preventDefault(); undo(); return; }
  if (event.key === "Escape") closeDrops();
}

function closeDrops(but) {
  for (const each of document.querySelectorAll("details.drop[open]")) {
    if (each === but) continue;
    const inside = each.contains(document.activeElement);
    each.open = false;
    if (inside) each.querySelector("summary").focus();
  }
}

// Listening, once for the whole page, as its parts come and go.

listen(bench);
bench.addEventListener("submit", submitted);
bench.addEventListener("keydown", pressed);
document.addEventListener("keydown", (event) => { if (!bench.contains(event.target)) pressed(event); });
bench.addEventListener("input", ({ target }) => {
  if (!target.id || target.matches('[type="hidden"], [type="checkbox"], [type="radio"], [data-habit], select')) return;
  if (target.value && target.value !== target.defaultValue) typed.keep(target.id, target.value, version);
  else typed.drop(target.id);
});
bench.addEventListener("change", ({ target }) => {
  if (target.matches("[data-habit]")) keepHabits();
  else if (target.matches("[data-paper]")) localStorage.setItem(`chaincase:${target.name}`, target.value);
  else if (target.id === "kind") target.form.submit();
  else if (target.form?.matches(".autosend")) target.form.requestSubmit();
});
bench.addEventListener("focusin", ({ target }) => { if (target.matches("#measure .size input")) { document.getElementById("strip-how").classList.remove("fault"); show(target); } });
bench.addEventListener("click", (event) => {
  const go = event.target.closest("[data-focus]");
  const label = event.target.closest("#keyed g.dimension");
  if (go) { event.preventDefault(); document.getElementById(go.dataset.focus)?.focus(); }
  else if (label) document.getElementById(`size-${label.dataset.dimension}`)?.focus();
});
document.addEventListener("click", (event) => closeDrops(event.target.closest("details.drop")));
document.addEventListener("visibilitychange", () => look());
addEventListener("online", () => { clearTimeout(retry); retry = 0; flush(); });
others?.addEventListener("message", ({ data }) => { if (data > version) look(); });
new ResizeObserver(() => place()).observe(document.getElementById("figure-column"));
setInterval(() => look(), LOOK_EVERY);

settleIn();
for (const [id, { value }] of typed.all()) {
  const field = document.getElementById(id);
  if (field) field.value = value;
}
if (unsent.all().length) flush();
bench.dataset.ready = "";
