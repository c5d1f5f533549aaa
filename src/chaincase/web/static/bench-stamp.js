// The stamp, one box a character: a comfort beside its text field, which stays what is sent.

const field = () => document.getElementById("e-mark");
const boxes = () => [...document.querySelectorAll("[data-box]")];
const ticked = (id) => document.getElementById(id).checked;
let last = 0;

function collect() {
  const inside = boxes().map((each) => each.value || " ").join("").trim().replaceAll(" ", "?");
  field().value = inside ? `${ticked("box-before") ? "*" : ""}${inside}${ticked("box-after") ? "*" : ""}` : "";
  field().dispatchEvent(new Event("input", { bubbles: true }));
}

// Show in the boxes what somebody typed into the text field; a longer text has no room there and stays as it is.
function spread() {
  const text = field().value.trim().toUpperCase();
  const inside = text.replace(/^\*/, "").replace(/\*$/, "");
  const all = boxes();
  const fits = inside.length <= all.length && !inside.includes("*");
  all.forEach((each, place) => { each.value = fits ? (inside[place] ?? "").trim() : ""; });
  document.getElementById("box-before").checked = text.length > 1 && text.startsWith("*");
  document.getElementById("box-after").checked = text.length > 1 && text.endsWith("*");
}

function put(box, letter) {
  box.value = letter;
  collect();
  if (letter) boxes()[boxes().indexOf(box) + 1]?.focus();
}

export function listen(bench) {
  bench.addEventListener("input", (event) => {
    if (event.target.matches("[data-box]")) { event.stopPropagation(); put(event.target, event.target.value.toUpperCase().slice(-1).trim()); }
    else if (event.target.id === "e-mark" && event.isTrusted) spread();
  }, true);
  bench.addEventListener("change", ({ target }) => { if (target.matches("[data-box-more]")) collect(); });
  bench.addEventListener("toggle", ({ target }) => { if (target.id === "stamp-boxes" && target.open) { spread(); boxes()[0].focus(); } }, true);
  bench.addEventListener("focusin", ({ target }) => { if (target.matches("[data-box]")) { last = boxes().indexOf(target); target.select(); } });
  bench.addEventListener("click", ({ target }) => {
    if (!target.closest("[data-box-lost]")) return;
    const all = boxes();
    put(all[last]?.value ? (all.find((each) => !each.value) ?? all[last]) : all[last], "?");
  });
  bench.addEventListener("keydown", (event) => {
    if (!event.target.matches("[data-box]")) return;
    const at = boxes().indexOf(event.target);
    if (event.key === "ArrowLeft" || (event.key === "Backspace" && !event.target.value)) boxes()[at - 1]?.focus();
    else if (event.key === "ArrowRight") boxes()[at + 1]?.focus();
  });
}
