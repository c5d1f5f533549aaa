// The field page: six steps of one case, everything kept on the phone as it is typed.

import { count } from "./phone-count.js";
import { measure } from "./phone-measure.js";
import { onChange, send, stopped, unsent } from "./phone-outbox.js";
import { el } from "./phone-parts.js";
import { photographs } from "./phone-photographs.js";
import { questions } from "./phone-questions.js";
import { sending } from "./phone-send.js";
import { stamp } from "./phone-stamp.js";
import { all, get, NotKept, ofCase, onTrouble, put, setting } from "./phone-store.js";

const root = document.getElementById("phone");
const mode = location.pathname === "/answer" ? "answer" : "work";
const name = root.dataset.case || (mode === "work" ? decodeURIComponent(location.pathname.split("/")[2] ?? "") : "");
const { asked, places, note } = JSON.parse(document.getElementById("phone-asked").textContent);
const badge = document.getElementById("phone-unsent");

const work = {
  name, mode, asked,
  may: (place) => places === null || places.includes(place),
  by: () => setting("by"),
  today: () => new Date(Date.now() - new Date().getTimezoneOffset() * 60000).toISOString().slice(0, 10),
};

const trouble = el("div", { role: "alert", class: "in-sight" });
const offline = el("div");
const door = el("div", { role: "status" });

async function count_unsent() {
  const number = (await unsent()).length;
  badge.textContent = number ? `not sent yet: ${number}` : navigator.onLine ? "all sent" : "no signal";
  show_door(number);
}

// The server does not know this phone any more: say so at once, on every step, with the way back in.
function show_door(number) {
  const out = stopped?.status === 401 && number > 0;
  if (out === door.hasChildNodes()) return;
  const kept = "Nothing is lost: what you entered stays on this phone and is sent by itself after that.";
  const ways = {
    answer: "Your link is not valid any more. Ask for a new one and open it on this phone.",
    local: "The server was started anew and does not know this phone. Open the address that it printed, on this phone.",
    accounts: "You are signed out.",
  };
  const back = el("a", { class: "button first", href: `/sign-in?to=${encodeURIComponent(location.pathname)}` }, "Sign in");
  const way = mode === "answer" ? "answer" : root.dataset.local === "true" ? "local" : "accounts";
  door.replaceChildren(...(out ? [el("div", { class: "mind notice" }, el("p", {}, `${ways[way]} ${kept}`), way === "accounts" ? back : "")] : []));
}

onTrouble((words) => trouble.replaceChildren(words ? el("p", { class: "fault notice" }, words) : ""));
addEventListener("unhandledrejection", (event) => event.reason instanceof NotKept && event.preventDefault());

function worker() {
  if (!("serviceWorker" in navigator)) {
    offline.append(el("p", { class: "mind notice" }, "This address cannot work without a signal: a browser allows that only over https or on this computer. What you type is kept all the same; keep this page open."));
    return;
  }
  navigator.serviceWorker.register("/phone-worker.js").then(() => navigator.serviceWorker.ready).then((ready) => {
    ready.active?.postMessage({ keep: location.pathname });
    document.documentElement.dataset.offline = "ready";
  }).catch((fault) => console.info("no worker:", fault.message));
}

// The version that the page was made from is what this hand has seen, also when the page comes from the phone's own store.
async function seen(version) {
  const known = await get("cases", name);
  if (version > (known?.version ?? 0)) await put("cases", { ...known, case: name, version });
}

async function list() {
  const known = [...new Set([...(await all("cases")).map((each) => each.case), ...(await all("events")).map((each) => each.case)])].sort();
  const field = el("input", { type: "text", id: "number", autocapitalize: "characters", autocomplete: "off", required: true });
  const form = el("form", { onsubmit: (event) => { event.preventDefault(); location.href = `/phone/${encodeURIComponent(field.value.trim())}`; } },
    el("div", { class: "field" }, el("label", { for: "number" }, "Number of the case"), field), el("button", { type: "submit", class: "first wide-button" }, "Open"));
  root.replaceChildren(offline, el("h1", {}, "Which case?"), form,
    known.length ? el("h2", {}, "On this phone") : "", el("ul", { class: "entered" }, ...known.map((each) => el("li", {}, el("a", { href: `/phone/${encodeURIComponent(each)}` }, each)))));
}

async function begin() {
  worker();
  onChange(count_unsent);
  count_unsent();
  if (!name && mode === "work") return list();
  document.getElementById("phone-case").textContent = name;
  await seen(Number(root.dataset.version));
  const kit = await (await fetch("/phone/kit.json")).json();
  const mine = (entries, path) => entries.filter((entry) => entry.event.path === path).sort((a, b) => (a.id < b.id ? -1 : 1));
  const steps = [stamp, photographs, measure, count, questions, sending].map((make) => make(work, kit, mine)).filter(Boolean);
  const sections = steps.map((step, i) => el("section", { id: `step-${i}`, class: "step", "aria-labelledby": `head-${i}` },
    el("h1", { id: `head-${i}` }, step.title), el("p", { class: "second" }, step.lead), ...step.body));
  const tabs = steps.map((step, i) => el("a", { href: `#step-${i}` }, step.title));
  root.replaceChildren(offline, trouble, door, note ? el("p", { class: "notice" }, note) : "", ...sections);
  document.body.append(el("nav", { class: "steps-nav", "aria-label": "Steps" }, ...tabs));

  function showStep() {
    const at = Math.max(sections.findIndex((section) => `#${section.id}` === location.hash), 0);
    sections.forEach((section, i) => (section.hidden = i !== at));
    tabs.forEach((tab, i) => (i === at ? tab.setAttribute("aria-current", "step") : tab.removeAttribute("aria-current")));
    scrollTo(0, 0);
  }
  async function refresh() {
    const entries = await ofCase("events", name);
    for (const step of steps) step.update(entries);
  }
  addEventListener("hashchange", showStep);
  badge.addEventListener("click", () => (location.hash = `#step-${steps.length - 1}`));
  addEventListener("offline", () => { count_unsent(); refresh(); });
  addEventListener("online", count_unsent);
  onChange(refresh);
  showStep();
  await refresh();
  root.dataset.ready = "yes";
  send();
}

begin().catch((fault) => {
  root.replaceChildren(el("p", { class: "fault notice" }, `The page could not start: ${fault.message}. What was typed before is kept; open it again with a signal.`));
  console.error(fault);
});
