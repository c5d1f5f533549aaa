// Bring a part of the page up to date without moving what somebody looks at: focus, caret, what is open, what is typed.

const seen = new WeakMap();
const texts = 'input:not([type="hidden"], [type="checkbox"], [type="radio"]), textarea';

export function swap(holder, html) {
  if (seen.get(holder) === html) return false;
  const scrolled = [...document.querySelectorAll(".column, .pane")].map((each) => [each, each.scrollTop]);
  const before = remember(holder);
  holder.innerHTML = html;
  seen.set(holder, html);
  recall(holder, before);
  for (const [each, top] of scrolled) if (each.scrollTop !== top) each.scrollTop = top;
  return true;
}

function remember(holder) {
  const active = holder.contains(document.activeElement) ? document.activeElement : null;
  const caret = active?.matches?.(texts) && active.type !== "number" ? [active.selectionStart, active.selectionEnd] : null;
  const typed = [...holder.querySelectorAll(texts)].filter((each) => each.id && !each.matches("[data-habit]") && each.value !== each.defaultValue);
  return {
    focus: active?.id, caret,
    typed: typed.map((each) => [each.id, each.value, each.getAttribute("aria-invalid")]),
    picked: [...holder.querySelectorAll("select[id]:not([data-habit])")].filter((each) => !each.closest(".autosend")).map((each) => [each.id, each.value]),
    open: [...holder.querySelectorAll("details[open][id]")].map((each) => each.id),
    checked: [...holder.querySelectorAll('input[type="radio"]:checked')].map((each) => each.id),
  };
}

function recall(holder, before) {
  const at = (id) => document.getElementById(id);
  for (const id of before.open) if (at(id)) at(id).open = true;
  for (const id of before.checked) if (at(id)) at(id).checked = true;
  for (const [id, value] of before.picked) if (at(id) && [...at(id).options].some((each) => each.value === value)) at(id).value = value;
  for (const [id, value, invalid] of before.typed) {
    if (!at(id)) continue;
    at(id).value = value;
    if (invalid) at(id).setAttribute("aria-invalid", invalid);
  }
  const active = before.focus && at(before.focus);
  if (!active) return;
  active.focus({ preventScroll: true });
  if (before.caret) active.setSelectionRange(...before.caret);
}
