// What is still on this phone, what became of the rest, and a file for when there is never a signal.

import { keep, send, stopped } from "./phone-outbox.js";
import { el, labeled, keeping } from "./phone-parts.js";
import { keepForGood, ofCase, setting, keepSetting } from "./phone-store.js";

const MOST = 1000;

export function sending(work) {
  const state = el("p", { class: "notice", "aria-live": "polite" });
  const faults = el("ul", { class: "faults" });
  const name = el("input", { type: "text", autocomplete: "name", value: setting("by"), oninput: () => keepSetting("by", name.value.trim()) });
  const message = keeping(work, "message", { rows: "2" });
  const file = el("button", { type: "button", onclick: async () => (left.textContent = await saveFile(work)) }, "Save a file to mail");
  const now = el("button", { type: "button", class: "first", onclick: () => send(true) }, "Send now");
  const left = el("p", { class: "hint", "aria-live": "polite" });
  return {
    title: "Send",
    lead: "Everything you keep stays on this phone until the office has it; then it is sent by itself.",
    body: [
      state, el("div", { class: "row" }, now, file), left, faults,
      labeled("Who measures?", name, "Written beside what you enter, such as: millwright, day shift."),
      work.may("records") ? el("form", { onsubmit: async (event) => {
        event.preventDefault();
        if (!message.value.trim()) return;
        await keep(work, "add", "records", { text: message.value.trim(), where: "note from the field", by: work.by(), on: work.today() });
        message.emptied();
      } }, labeled("Anything else the engineer should know?", message), el("button", { type: "submit" }, "Keep this note")) : "",
    ],
    update: async (entries) => {
      const waiting = entries.filter((entry) => entry.state === "waiting" || entry.state === "photo").length;
      const words = waiting ? `${waiting} not sent yet. ${navigator.onLine ? stopped?.message || "They are sent as soon as the server answers." : "No signal: they are sent when there is one."}` : "Everything is sent.";
      state.textContent = entries.length ? words : "Nothing entered yet.";
      state.className = waiting ? "notice mind" : "notice good";
      faults.replaceChildren(...entries.filter((entry) => entry.state === "refused" || entry.state === "conflict").map((entry) =>
        el("li", {}, `${entry.event.path}: ${entry.state === "refused" ? entry.why : `somebody else entered ${JSON.stringify(entry.theirs)} first; the desk sees both`}`)));
      if (waiting) keepForGood();
    },
  };
}

// The events as they would be sent, in one file that `chaincase case add CASE --from FILE` and the desk's import read.
// A photograph that was not sent yet is no part of it: its event goes when the picture does.
async function saveFile(work) {
  const all = await ofCase("events", work.name);
  const photos = all.filter((entry) => entry.state === "photo").length;
  const whole = all.filter((entry) => entry.state !== "photo");
  const entries = whole.length > MOST ? whole.filter((entry) => entry.state === "waiting").slice(0, MOST) : whole;
  const data = { schema: "chaincase/events-1", case: work.name, events: entries.map((entry) => entry.event) };
  const address = URL.createObjectURL(new Blob([JSON.stringify(data, null, 1)], { type: "application/json" }));
  el("a", { href: address, download: `${work.name}-field.json` }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
  const pictures = photos ? ` ${photos} photograph${photos > 1 ? "s are" : " is"} not in it: mail pictures by themselves, or send them when there is a signal.` : "";
  return `Saved: ${entries.length} change${entries.length === 1 ? "" : "s"} in ${work.name}-field.json. Mail it to the office; sending it again later does no harm.${pictures}`;
}
