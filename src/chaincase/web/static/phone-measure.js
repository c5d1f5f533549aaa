// Measuring with the figure in reach: one dimension at a time, the next one by Enter, as a caliper with a cable sends it.

import { both, millimeters, withUnit } from "./phone-lengths.js";
import { keep, takeBack } from "./phone-outbox.js";
import { choice, drawn, el, entered, keeping, labeled } from "./phone-parts.js";
import { draft, keepDraft, keepSetting, setting } from "./phone-store.js";

const KEYS = ["7", "8", "9", "1/2", "4", "5", "6", "1/4", "1", "2", "3", "/8", "0", ".", "space", "/16", "erase", "/", "-", "/32"];

export function measure(work, kit, mine) {
  if (!work.may("evidence")) return null;
  const asked = new Set(work.asked);
  let kind = kit.kinds.find((each) => each.name === draft(work.name, "kind")) ?? null;
  let place = 0;
  let unit = setting("unit", "in");
  let entries = [];
  const pick = el("div", { class: "kinds" });
  const bench = el("div", { class: "measure" });
  const list = el("div");

  function choose(chosen) {
    kind = chosen;
    place = 0;
    keepDraft(work.name, "kind", chosen.name);
    keep(work, "set", "evidence.construction", [chosen.name]);
    show();
  }

  function showKinds() {
    pick.replaceChildren(
      el("h3", {}, "Which of these does it look like?"),
      el("p", { class: "hint" }, "What the eye sees is a hint, no more. Choose the nearest; it can be changed."),
      el("div", { class: "kind-list" }, ...kit.kinds.map((each) =>
        el("button", { type: "button", class: "kind", onclick: () => choose(each) }, drawn(each.figure, each.label), el("span", {}, each.label)))),
    );
    bench.replaceChildren();
  }

  // Readings on this phone of one row of the sheet, and by whom they stand.
  const taken = (row) => mine(entries, "evidence.readings").filter((entry) => entry.event.kind === "add" && !entry.taken && entry.event.value.note?.split(";")[0] === row.label);

  function show() {
    if (!kind) return showKinds();
    pick.replaceChildren();
    const row = kind.rows[Math.min(place, kind.rows.length - 1)];
    const figure = drawn(kind.figure, kind.label);
    for (const part of figure.querySelectorAll("[data-dimension]")) {
      part.classList.toggle("now", part.dataset.dimension === row.dimension);
      part.addEventListener("click", () => {
        const found = kind.rows.findIndex((each) => each.dimension === part.dataset.dimension);
        if (found >= 0) go(found);
      });
    }
    const value = keeping(work, `reading ${row.key}`, {
      type: "text", inputmode: setting("keys", "own") === "own" ? "none" : "text", enterkeyhint: "next", class: "value", "aria-label": `${row.label} (${row.letter})`,
    });
    const other = el("output", { class: "both" });
    const echo = () => {
      const mm = millimeters(value.value, unit);
      other.textContent = value.value.trim() ? (both(mm) || "keep typing: 4 1/16, 4.063, 103.2 mm") : "\u00a0";
    };
    value.addEventListener("input", echo);
    const over = row.over === null ? keeping(work, `over ${row.key}`, { type: "number", min: "2", max: "200", inputmode: "numeric", required: true }) : null;
    const instrument = choice(kit.instruments.map((each) => [each, each]), setting(`instrument ${row.instrument}`, row.instrument), (chosen) => keepSetting(`instrument ${row.instrument}`, chosen));

    const form = el("form", { class: "entry", onsubmit: (event) => { event.preventDefault(); enter(row, value, over, instrument.value); } },
      el("div", { class: "ask" },
        el("span", { class: "letter", "aria-hidden": "true" }, row.letter),
        el("div", {}, el("strong", {}, row.label, asked.has(row.dimension) ? " (asked for)" : ""), el("span", { class: "hint" }, `${row.how}. ${row.place}.`)),
        drawnPictogram(row)),
      value, el("div", { class: "row apart" }, other, units()),
      over ? labeled("Over how many pitches?", over) : null,
      keypad(value), 
      el("div", { class: "row apart" },
        el("button", { type: "button", onclick: () => go(place - 1), disabled: place === 0 }, "Back"),
        el("button", { type: "button", onclick: () => go(place + 1), disabled: place >= kind.rows.length - 1 }, "Skip"),
        el("button", { type: "submit", class: "first" }, "Keep, next")),
      labeled("Measured with", instrument),
    );
    bench.replaceChildren(
      el("div", { class: "row apart" }, el("h3", {}, kind.label), el("button", { type: "button", class: "quiet", onclick: () => { kind = null; show(); } }, "Another kind")),
      el("div", { class: "figure" }, figure), form, steps());
    echo();
    if (document.activeElement === document.body || bench.dataset.typing) value.focus({ preventScroll: true });
  }

  const drawnPictogram = (row) => el("span", { class: "pictogram" }, drawn(kit.pictograms[row.pictogram]));

  function units() {
    const choose = (to) => el("button", { type: "button", class: "unit", "aria-pressed": String(unit === to), onclick: () => { unit = to; keepSetting("unit", to); show(); } }, to);
    return el("div", { class: "row", role: "group", "aria-label": "Unit of a bare number" }, choose("in"), choose("mm"));
  }

  function keypad(value) {
    const press = (key) => {
      const at = value.selectionStart ?? value.value.length;
      const head = value.value.slice(0, at);
      const tail = value.value.slice(value.selectionEnd ?? at);
      const typed = key === "erase" ? "" : key === "space" ? " " : key.length > 1 && /^\d\//.test(key) && /\d$/.test(head) ? ` ${key}` : key;
      const kept = key === "erase" ? head.slice(0, -1) : head;
      value.value = kept + typed + tail;
      value.setSelectionRange((kept + typed).length, (kept + typed).length);
      value.dispatchEvent(new Event("input"));
    };
    const own = setting("keys", "own") === "own";
    const change = el("button", { type: "button", class: "quiet", onclick: () => { keepSetting("keys", own ? "phone" : "own"); show(); } }, own ? "Use the phone's keys" : "Use these keys");
    if (!own) return change;
    const words = { erase: "\u232b", space: "\u2423" };
    const names = { erase: "Erase", space: "Space" };
    return el("div", {}, el("div", { class: "keys", role: "group", "aria-label": "Keys" }, ...KEYS.map((key) =>
      el("button", { type: "button", "aria-label": names[key] ?? key, onpointerdown: (event) => event.preventDefault(), onclick: () => press(key) }, words[key] ?? key))), change);
  }

  // Keep a reading and go on; its text stays in its field until it is kept for good.
  async function enter(row, value, over, instrument) {
    if (millimeters(value.value, unit) === null) {
      value.setAttribute("aria-invalid", "true");
      return value.focus();
    }
    if (over && !over.value) return over.focus();
    const reading = {
      dimension: row.dimension, value: withUnit(value.value, unit), instrument, technique: row.technique, link: row.link || "unknown",
      reference: row.reference || "unknown", over: over ? Number(over.value) : row.over, note: row.label, by: work.by(), on: work.today(),
    };
    bench.dataset.typing = "yes";
    go(place + 1); // at once: a caliper with a cable does not wait, its next digits must find the next field
    try {
      await keep(work, "add", "evidence.readings", reading);
      [value, over].forEach((each) => each?.emptied());
    } catch (fault) {
      list.prepend(el("p", { class: "fault notice", role: "alert" }, `${row.label} ${reading.value} could not be kept: ${fault.message}. It stands in its field.`));
    }
  }

  function go(to) {
    place = Math.max(0, Math.min(to, kind.rows.length - 1));
    show();
    bench.querySelector("input.value")?.focus({ preventScroll: true });
  }

  function steps() {
    return el("ol", { class: "steps", "aria-label": "What to measure" }, ...kind.rows.map((row, i) => {
      const found = taken(row);
      const words = found.length ? found.map((entry) => entry.event.value.value).join(", ") : asked.has(row.dimension) ? "asked for" : "";
      return el("li", {}, el("button", { type: "button", "aria-current": i === place ? "step" : null, class: found.length ? "done" : "", onclick: () => go(i) },
        el("span", { class: "letter" }, row.letter), el("span", {}, row.label), el("span", { class: "got" }, words)));
    }));
  }

  const words = (entry) => {
    const { note, dimension, value, over } = entry.event.value;
    return `${note || kit.labels[dimension] || dimension}: ${value}${over > 1 ? ` over ${over} pitches` : ""}`;
  };
  show();
  return {
    title: "Measure",
    lead: "Measure twice at two places where you can. A worn spot is fine to measure, say where.",
    body: [caution(work, kit), pick, bench, el("h3", {}, "Entered on this phone"), list],
    update: (all) => {
      entries = all;
      list.replaceChildren(entered(mine(all, "evidence.readings"), words, (entry) => takeBack(work, entry)));
      bench.querySelector(".steps")?.replaceWith(steps());
    },
  };
}

// Read once in full; afterwards one line that opens again.
function caution(work, kit) {
  const read = draft(work.name, "caution read") === "yes";
  return el("details", { class: "caution mind-notice", open: !read, ontoggle: (event) => {
    if (!event.target.open) keepDraft(work.name, "caution read", "yes");
  } }, el("summary", {}, "Before you measure: lock out, tag, support the chain"), el("p", {}, kit.caution));
}
