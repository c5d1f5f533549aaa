// Attachment spacing, counted: walk along the chain and tap once for every link. And how long the strands are.

import { keep, takeBack } from "./phone-outbox.js";
import { el, entered, keeping, labeled } from "./phone-parts.js";
import { draft, keepDraft } from "./phone-store.js";
import { millimeters } from "./phone-lengths.js";

export function count(work, kit, mine) {
  if (!work.may("spacing") && !work.may("strands")) return null;
  let walk = JSON.parse(draft(work.name, "walk") || "[]"); // one entry a link: true where it carries an attachment
  const shown = el("div", { class: "walk", role: "img" });
  const said = el("output", { class: "read" });

  function step(carries) {
    walk.push(carries);
    kept();
  }
  function kept() {
    keepDraft(work.name, "walk", walk.length ? JSON.stringify(walk) : "");
    shown.replaceChildren(...walk.slice(-24).map((carries) => el("span", { class: carries ? "link carries" : "link" })));
    shown.setAttribute("aria-label", `${walk.length} links, ${walk.filter(Boolean).length} with attachment`);
    const at = walk.flatMap((carries, i) => (carries ? [i + 1] : []));
    const gaps = at.slice(1).map((each, i) => each - at[i]);
    said.textContent = walk.length ? `${walk.length} links; attachments on ${at.join(", ") || "none"}${gaps.length ? `; gaps of ${gaps.join(", ")} pitches` : ""}` : "";
  }

  const counted = keeping(work, "counted", { type: "number", min: "1", max: "2000", inputmode: "numeric" });
  const taped = keeping(work, "taped", { type: "text", placeholder: "48 1/2 in" });
  const gaps = keeping(work, "gaps", { type: "number", min: "1", max: "1000", inputmode: "numeric", placeholder: "1" });
  const pitches = keeping(work, "pitches", { type: "number", min: "2", max: "100000", inputmode: "numeric" });
  const whole = keeping(work, "whole", { type: "text", placeholder: "41 ft 4 in" });
  const note = () => ({ by: work.by(), on: work.today() });
  const observe = (value) => keep(work, "add", "spacing.observations", { ...value, ...note() });

  const walked = el("section", {},
    el("h3", {}, "Walk along the chain"),
    el("p", { class: "hint" }, "One tap for every link, inner and outer alike."),
    el("div", { class: "row pair" },
      el("button", { type: "button", class: "tall", onclick: () => step(false) }, "Plain link"),
      el("button", { type: "button", class: "tall first", onclick: () => step(true) }, "Link with attachment")),
    shown, said,
    el("div", { class: "row apart" },
      el("button", { type: "button", onclick: () => { walk.pop(); kept(); } }, "One back"),
      el("button", { type: "button", onclick: async () => {
        if (!walk.length) return;
        const at = walk.flatMap((carries, i) => (carries ? [i + 1] : []));
        await observe({ sample_links: walk.length, attachments_at: at });
        walk = [];
        kept();
      } }, "Keep this walk")));

  const form = el("form", { onsubmit: async (event) => {
    event.preventDefault();
    if (taped.value && millimeters(taped.value, "") === null && !/[a-z'"]/i.test(taped.value)) return taped.focus();
    const gap = gaps.value ? { gaps: Number(gaps.value) } : {};
    if (counted.value) await observe({ counted: Number(counted.value), ...gap });
    if (taped.value) await observe({ taped: taped.value.trim(), instrument: "tape", ...gap });
    [counted, taped, gaps].forEach((each) => each.emptied());
  } },
    el("h3", {}, "Or count and tape between two attachments"),
    labeled("Pitches from one attachment to the next", counted),
    labeled("Taped from one attachment to the same place of the next", taped, "With its unit: 48 1/2 in, 1230 mm."),
    labeled("Gaps between the two, if more than one", gaps),
    el("button", { type: "submit", class: "wide-button" }, "Keep"));

  const strand = el("form", { onsubmit: async (event) => {
    event.preventDefault();
    if (pitches.value) await keep(work, "add", "strands.observations", { counted: Number(pitches.value), ...note() });
    if (whole.value) await keep(work, "add", "strands.observations", { taped: whole.value.trim(), instrument: "tape", ...note() });
    [pitches, whole].forEach((each) => each.emptied());
  } },
    el("h3", {}, "The whole strand"),
    labeled("Pitches, counted all around", pitches),
    labeled("Length, taped along the chain", whole, "With its unit."),
    el("button", { type: "submit", class: "wide-button" }, "Keep"));

  const list = el("div");
  const words = ({ event: { value } }) =>
    value.sample_links ? `${value.sample_links} links walked, attachments on ${value.attachments_at.join(", ") || "none"}`
      : value.counted ? `counted ${value.counted}${value.gaps > 1 ? ` over ${value.gaps} gaps` : ""}` : `taped ${value.taped}${value.gaps > 1 ? ` over ${value.gaps} gaps` : ""}`;
  kept();
  return {
    title: "Count",
    lead: "A short piece only bounds the spacing from below. Count it on the machine, locked out, or tape it there.",
    body: [...(work.may("spacing") ? [walked, form] : []), ...(work.may("strands") ? [strand] : []), list],
    update: (entries) => list.replaceChildren(entered([...mine(entries, "spacing.observations"), ...mine(entries, "strands.observations")], words, (entry) => takeBack(work, entry))),
  };
}
