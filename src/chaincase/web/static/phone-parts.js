// Small pieces of the field page: elements, sections, choices, and a field that keeps every key that is pressed.

import { draft, keepDraft } from "./phone-store.js";

// el("button", {type: "button", onclick: f, class: "first"}, "Keep"); attributes by name, handlers by function.
export function el(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (typeof value === "function") made.addEventListener(key.replace(/^on/, ""), value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) made.setAttribute(key, value);
  }
  made.append(...children.filter((child) => child !== null && child !== undefined && child !== ""));
  return made;
}

// A figure of our own writer, as an element.
export function drawn(svg, label = "") {
  const made = document.importNode(new DOMParser().parseFromString(svg, "image/svg+xml").documentElement, true);
  made.removeAttribute("width");
  made.removeAttribute("height");
  if (label) made.setAttribute("aria-label", label);
  return made;
}

let count = 0;

export function labeled(label, control, hint = "") {
  control.id ||= `field-${(count += 1)}`;
  const under = hint ? el("p", { class: "hint", id: `${control.id}-hint` }, hint) : null;
  if (under) control.setAttribute("aria-describedby", under.id);
  return el("div", { class: "field" }, el("label", { for: control.id }, label), control, under);
}

export function choice(options, chosen, onchange) {
  const made = el("select", { onchange: (event) => onchange(event.target.value) });
  made.append(...options.map(([value, words]) => el("option", { value, selected: value === chosen }, words)));
  return made;
}

// A field whose text is kept with every key, and comes back after the page was closed or the battery died.
export function keeping(work, field, attributes = {}) {
  const tag = attributes.rows ? "textarea" : "input";
  const made = el(tag, { autocomplete: "off", autocapitalize: "off", spellcheck: "false", ...attributes });
  made.value = draft(work.name, field);
  made.addEventListener("input", () => keepDraft(work.name, field, made.value));
  made.emptied = () => {
    made.value = "";
    keepDraft(work.name, field, "");
    made.dispatchEvent(new Event("input"));
  };
  return made;
}

// What this phone entered in one list, newest first, each with what became of it and a way to take it back.
export function entered(entries, words, onback) {
  const own = entries.filter((entry) => entry.event.kind !== "remove" && !entry.taken);
  if (!own.length) return el("p", { class: "hint" }, "Nothing entered on this phone yet.");
  const rows = own.reverse().map((entry) => {
    const back = el("button", { type: "button", class: "quiet", onclick: () => onback(entry) }, "Take back");
    back.setAttribute("aria-label", `Take back ${words(entry)}`);
    return el("li", {}, el("span", { class: "said" }, words(entry)), state(entry), back);
  });
  return el("ul", { class: "entered" }, ...rows);
}

const STATES = {
  waiting: ["on this phone", "second"],
  photo: ["on this phone", "second"],
  sent: ["sent", "good"],
  conflict: ["somebody else entered something different; the desk sees both", "mind"],
  refused: ["not taken", "fault"],
};

function state(entry) {
  const [words, look] = STATES[entry.state] ?? STATES.waiting;
  return el("span", { class: look }, entry.why ? `${words}: ${entry.why}` : words);
}
