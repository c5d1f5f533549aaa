// The stamp: one box for each character, a mark for what cannot be read, and where on the chain it stands.

import { keep, takeBack } from "./phone-outbox.js";
import { choice, el, entered, keeping, labeled } from "./phone-parts.js";
import { draft, keepDraft } from "./phone-store.js";

const BOXES = 12;
const FIELD = "stamp";

export function stamp(work, kit, mine) {
  if (!work.may("evidence")) return null;
  let text = draft(work.name, FIELD);
  let before = draft(work.name, "stamp before") === "yes";
  let after = draft(work.name, "stamp after") === "yes";
  let legibility = draft(work.name, "stamp legibility") || "worn";
  const line = el("div", { class: "boxes", role: "group", "aria-label": "Characters of the stamp" });
  const shown = el("output", { class: "read" });

  const boxes = Array.from({ length: BOXES }, (_, place) => box(place));
  function box(place) {
    const made = el("input", {
      type: "text", maxlength: "1", "aria-label": `Character ${place + 1}`, autocomplete: "off",
      autocapitalize: "characters", spellcheck: "false",
    });
    made.value = text[place]?.trim() ?? "";
    made.addEventListener("input", () => {
      made.value = made.value.toUpperCase().slice(-1);
      collect();
      if (made.value) boxes[place + 1]?.focus();
    });
    made.addEventListener("focus", () => made.select());
    made.addEventListener("keydown", (event) => {
      if (event.key === "Backspace" && !made.value) boxes[place - 1]?.focus();
      if (event.key === "ArrowLeft") boxes[place - 1]?.focus();
      if (event.key === "ArrowRight") boxes[place + 1]?.focus();
    });
    return made;
  }
  line.append(...boxes);

  function collect() {
    text = boxes.map((each) => each.value || " ").join("").trimEnd();
    keepDraft(work.name, FIELD, text);
    keepDraft(work.name, "stamp before", before ? "yes" : "");
    keepDraft(work.name, "stamp after", after ? "yes" : "");
    const read = whole();
    shown.textContent = read ? `Reads: ${read}` : "";
  }
  const whole = () => {
    const inside = text.trim();
    return inside ? `${before ? "*" : ""}${inside}${after ? "*" : ""}` : "";
  };

  const illegible = el("button", { type: "button", onclick: () => {
    const place = Math.max(boxes.findIndex((each) => !each.value), 0);
    const target = boxes.includes(last) && !last.value ? last : boxes[place];
    target.value = "?";
    target.dispatchEvent(new Event("input"));
  } }, "Can't read this one");
  let last = boxes[0];
  line.addEventListener("focusin", (event) => (last = event.target));

  const missing = (words, start, set) => {
    const tick = el("input", { type: "checkbox", checked: start, onchange: () => { set(tick.checked); collect(); } });
    return el("label", { class: "tap" }, tick, words);
  };
  const where = keeping(work, "stamp where", { type: "text", placeholder: "inner sidebar, every link" });
  const form = el("form", { onsubmit: async (event) => {
    event.preventDefault();
    if (!whole()) return boxes[0].focus();
    const value = { text: whole(), where: where.value.trim(), legibility, by: work.by(), on: work.today() };
    await keep(work, "add", "evidence.marks", value);
    boxes.forEach((each) => (each.value = ""));
    where.emptied();
    collect();
    boxes[0].focus();
  } },
    line, shown,
    el("div", { class: "row" }, illegible,
      missing("more before it", before, (on) => (before = on)), missing("more after it", after, (on) => (after = on))),
    labeled("How well can it be read?", choice(kit.legibility.map((each) => [each, each]), legibility, (value) => {
      legibility = value;
      keepDraft(work.name, "stamp legibility", value);
    })),
    labeled("Where does it stand?", where, "Some chain bears it on every link, some once in 5 to 10 ft."),
    el("button", { type: "submit", class: "first wide-button" }, "Keep this stamp"),
  );
  collect();
  const list = el("div");
  const words = (entry) => `${entry.event.value.text}${entry.event.value.where ? `, ${entry.event.value.where}` : ""}`;
  return {
    title: "Stamp",
    lead: "Brush it clean and hold a lamp flat to it. One character a box; write only what you see, never what you expect.",
    body: [form, list],
    update: (entries) => list.replaceChildren(entered(mine(entries, "evidence.marks"), words, (e) => takeBack(work, e))),
  };
}
