// The duty page: it works without this; with it nothing typed is lost, and the page stays where it is while it answers.

import { client } from "./events.js";

const form = () => document.getElementById("duty");
const caseId = form().dataset.case;
const key = `chaincase:${caseId}:duty`;
const NOISE = ["do", "client"];
let sending = false;
// A page that came back with what was typed shows nothing that is kept.
let seen = "typed" in form().dataset ? null : fieldsOf();

function fieldsOf(submitter) {
  const data = new FormData(form(), submitter);
  return [...data].filter(([name, value]) => typeof value === "string" && (submitter || !NOISE.includes(name)));
}

const changed = () => JSON.stringify(fieldsOf()) !== JSON.stringify(seen);

function store() {
  try {
    if (changed()) localStorage.setItem(key, JSON.stringify(fieldsOf()));
    else localStorage.removeItem(key);
  } catch {
    // The store of the browser is full or shut; what is typed still stands on the page.
  }
  tell();
}

function tell(words = "") {
  const line = document.getElementById("unkept");
  line.textContent = words || (changed() ? "Not kept yet." : "");
}

async function send(address, fields) {
  if (sending) return;
  sending = true;
  tell("Working it out...");
  let page = null;
  let answer = null;
  try {
    answer = await fetch(address, { method: "POST", body: new URLSearchParams(fields), signal: AbortSignal.timeout(30000) });
    page = new DOMParser().parseFromString(await answer.text(), "text/html");
  } catch {
    page = null;
  }
  sending = false;
  if (!page?.getElementById("duty")) {
    tell(page?.querySelector("h1")?.textContent ?? "The server does not answer. What is typed stays here; try again.");
    return;
  }
  show(page, answer);
}

// Put the answer in the place of the page: what is open stays open, the focus stays where it was.
function show(page, answer) {
  const kept = answer.redirected;
  const open = new Map([...form().querySelectorAll("details[id]")].map((each) => [each.id, each.open]));
  const focus = document.activeElement?.id;
  const rows = new Map([...form().querySelectorAll(".duty-rows")].map((each) => [each.id, each.children.length]));
  form().replaceWith(page.getElementById("duty"));
  for (const [id, was] of open) {
    const each = document.getElementById(id);
    if (each && !each.querySelector("[aria-invalid]")) each.open = was || (each.open && !open.get(id) && each.matches(".duty-part > details"));
  }
  if (kept) seen = fieldsOf();
  store();
  const more = [...form().querySelectorAll(".duty-rows")].find((each) => rows.get(each.id) < each.children.length);
  const faults = document.getElementById("faults");
  if (faults) { faults.focus(); faults.scrollIntoView({ block: "center" }); }
  else if (more) more.lastElementChild.querySelector("input:not([type=hidden])").focus();
  else if (focus) document.getElementById(focus)?.focus({ preventScroll: true });
  if (document.getElementById("tried")) document.getElementById("verdict").scrollIntoView({ block: "nearest" });
}

document.addEventListener("submit", (event) => {
  if (event.target !== form()) return;
  event.preventDefault();
  document.getElementById("client").value = client();
  const by = event.submitter;
  send(by?.hasAttribute("formaction") ? by.formAction : form().action, fieldsOf(by ?? undefined));
});
document.addEventListener("input", ({ target }) => { if (form().contains(target)) { target.removeAttribute("aria-invalid"); store(); } });
document.addEventListener("change", ({ target }) => { if (form().contains(target)) store(); });
document.addEventListener("click", (event) => {
  const link = event.target.closest("#faults a[href^='#']");
  const field = link && document.getElementById(decodeURIComponent(link.hash.slice(1)));
  if (!field) return;
  event.preventDefault();
  for (let each = field.closest("details"); each; each = each.parentElement.closest("details")) each.open = true;
  field.focus();
});

// What was typed before the page was closed comes back as it was typed, with the version that was seen then.
const left = localStorage.getItem(key);
if (!seen) store();
else if (left && "writes" in form().dataset) await send(`${new URL(form().action).pathname}/try`, [...JSON.parse(left), ["do", "show"]]);
tell();
form().dataset.ready = "";
