// What cannot be seen: only an answer makes it "none". And how many are needed.

import { keep, takeBack } from "./phone-outbox.js";
import { choice, el, entered, keeping, labeled } from "./phone-parts.js";

const STATES = [["reported", "somebody knows it"], ["observed", "I saw or tested it"], ["ruled out", "it has none"], ["unknown", "nobody knows"]];

export function questions(work, kit, mine) {
  if (!["quantity", "strands", "features", "records"].some(work.may)) return null;
  const strands = keeping(work, "quantity strands", { type: "number", min: "1", max: "100000", inputmode: "numeric" });
  const number = keeping(work, "strands number", { type: "number", min: "1", max: "1000", inputmode: "numeric" });
  const record = keeping(work, "record", { rows: "3" });
  const quantity = el("form", { onsubmit: async (event) => {
    event.preventDefault();
    if (number.value) await keep(work, "set", "strands.number", Number(number.value));
    if (strands.value) await keep(work, "set", "quantity.strands", Number(strands.value));
    [number, strands].forEach((each) => each.emptied());
  } },
    el("h3", {}, "How many"),
    work.may("strands") ? labeled("Strands side by side on the machine", number) : null,
    work.may("quantity") ? labeled("Strands to buy", strands, "Made-to-order chain is priced by the quantity.") : null,
    el("button", { type: "submit", class: "wide-button" }, "Keep"));
  const papers = el("form", { onsubmit: async (event) => {
    event.preventDefault();
    if (!record.value.trim()) return;
    await keep(work, "add", "records", { text: record.value.trim(), where: "typed on the phone", by: work.by(), on: work.today() });
    record.emptied();
  } },
    el("h3", {}, "Old papers"),
    labeled("Anything written about this chain", record, "An old order, a parts list, the title of a drawing: type it as it stands."),
    el("button", { type: "submit", class: "wide-button" }, "Keep"));

  const asked = new Set(work.asked.map((key) => key.replace("features.", "")));
  const features = [...kit.features].sort((a, b) => asked.has(b.key) - asked.has(a.key));
  const items = features.map((feature) => question(feature, asked.has(feature.key)));

  function question(feature, first) {
    let state = "reported";
    let part = "";
    const value = keeping(work, `feature ${feature.key}`, { type: "text" });
    const how = keeping(work, `how ${feature.key}`, { type: "text", placeholder: "who said so, or how you found out" });
    const form = el("form", { onsubmit: async (event) => {
      event.preventDefault();
      if (!value.value.trim() && state !== "unknown" && state !== "ruled out") return value.focus();
      await keep(work, "add", "features", {
        feature: feature.key, part, state, value: value.value.trim(), how: how.value.trim(), by: work.by(), on: work.today(),
      });
      value.emptied();
      how.emptied();
    } },
      el("p", {}, feature.question), el("p", { class: "hint" }, feature.matters),
      feature.parts.length > 1 ? labeled("Of which part?", choice([["", "all of them"], ...feature.parts.map((each) => [each, each])], "", (chosen) => (part = chosen))) : null,
      labeled("How is it known?", choice(STATES, state, (chosen) => (state = chosen))),
      labeled("What is it?", value), labeled("How do you know?", how),
      el("button", { type: "submit", class: "wide-button" }, "Keep this answer"));
    return el("details", { class: "question", open: first }, el("summary", {}, feature.label, first ? " (asked for)" : ""), form);
  }

  const list = el("div");
  const words = ({ event: { path, value } }) => {
    if (path === "strands.number") return `${value} strands side by side`;
    if (path === "quantity.strands") return `${value} strands to buy`;
    if (path === "records") return value.text;
    const label = kit.features.find((each) => each.key === value.feature)?.label ?? value.feature;
    return `${label}${value.part ? ` of ${value.part}` : ""}: ${value.value || value.state}`;
  };
  return {
    title: "Questions",
    lead: "\"Nobody knows\" is an answer, too: it says that somebody asked.",
    body: [
      ...(work.may("quantity") || work.may("strands") ? [quantity] : []), ...(work.may("records") ? [papers] : []),
      ...(work.may("features") ? [el("h3", {}, "What does not show"), ...items] : []), list,
    ],
    update: (entries) => {
      const paths = ["features", "records", "quantity.strands", "strands.number"];
      const own = paths.flatMap((path) => mine(entries, path)).sort((a, b) => (a.id < b.id ? -1 : 1));
      list.replaceChildren(entered(own, words, (entry) => takeBack(work, entry)));
    },
  };
}
