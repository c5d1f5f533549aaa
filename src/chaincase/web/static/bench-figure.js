// The figure with its inputs: where they stand, which comes next, and the bar below that belongs to one of them.

const NARROW = 560;
const HABITS = "chaincase:habits";
let shown = "";

const inputs = () => [...document.querySelectorAll("#measure .size input:not([disabled])")];

// Put each input at its letter; on a narrow screen they stay a list below the figure.
export function place() {
  const keyed = document.getElementById("keyed");
  if (!keyed) return;
  const wide = keyed.clientWidth;
  keyed.classList.toggle("placed", wide >= NARROW);
  for (const item of keyed.querySelectorAll(".size[data-x]")) {
    item.style.left = wide < NARROW ? "" : `${item.dataset.x}%`;
    item.style.top = wide < NARROW ? "" : `${item.dataset.y}%`;
    item.style.width = wide < NARROW ? "" : `max(4.25rem, min(5.25rem, calc(${item.dataset.wide}% - 6px)))`;
  }
}

// The dimension after (or before) one; after an entry the next that nobody has read yet.
export function beside(input, step, unread) {
  const all = inputs();
  const at = all.indexOf(input);
  const rest = [...all.slice(at + 1), ...all.slice(0, at)];
  if (unread) return rest.find((each) => !each.closest(".size").matches(".read, .pending")) ?? rest[0] ?? input;
  return all[(at + step + all.length) % all.length];
}

export function asked() {
  return document.querySelector("#measure .size.asked input") ?? inputs().find((each) => !each.closest(".read")) ?? inputs()[0];
}

// Show how to measure the dimension that has the focus, and its readings.
export function show(input) {
  if (input) shown = input.closest(".size").dataset.dimension;
  const field = document.getElementById(`size-${shown}`);
  const how = document.getElementById("strip-how");
  if (!field || !how) return;
  const item = field.closest(".size");
  how.textContent = `${item.querySelector(".letter").textContent} ${item.querySelector(".name").textContent}: ${field.dataset.how}.`;
  for (const list of document.querySelectorAll("#chips-bar .chips")) list.hidden = list.dataset.for !== shown;
  for (const group of document.querySelectorAll("#keyed g.dimension")) group.classList.toggle("lit", group.dataset.dimension === shown);
}

export function restoreHabits() {
  const habits = JSON.parse(localStorage.getItem(HABITS) ?? "{}");
  for (const field of document.querySelectorAll("[data-habit]")) if (field.name in habits) field.value = habits[field.name];
}

export function keepHabits() {
  const habits = {};
  for (const field of document.querySelectorAll("[data-habit]")) if (field.name !== "over") habits[field.name] = field.value;
  localStorage.setItem(HABITS, JSON.stringify(habits));
}

export function habits() {
  return Object.fromEntries([...document.querySelectorAll("[data-habit]")].map((field) => [field.name, field.value]));
}
