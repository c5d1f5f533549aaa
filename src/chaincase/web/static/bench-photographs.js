// Photographs: move and enlarge them, and mark what is to be seen. There is no ruler here on purpose.

import { append, ask, event } from "./events.js";

const page = document.getElementById("photographs");
const LARGEST = 12;

for (const look of document.querySelectorAll(".look")) opened(look);
document.getElementById("photo-file")?.addEventListener("change", added);

function opened(look) {
  const plate = look.querySelector(".plate");
  const image = look.querySelector("img");
  const section = look.closest(".photo");
  const form = section.querySelector(".mark-form");
  const view = { scale: 1, x: 0, y: 0, least: 1 };
  let held = null;
  let moved = false;

  for (const pin of plate.querySelectorAll(".pin")) at(pin, pin.dataset.x, pin.dataset.y);
  section.querySelector(".photo-tools").hidden = false;
  image.decode().then(whole, () => { look.textContent = "The photograph cannot be shown."; });
  new ResizeObserver(whole).observe(look);

  function whole() {
    if (!image.naturalWidth) return;
    view.least = Math.min(look.clientWidth / image.naturalWidth, look.clientHeight / image.naturalHeight);
    view.scale = view.least;
    view.x = (look.clientWidth - image.naturalWidth * view.scale) / 2;
    view.y = (look.clientHeight - image.naturalHeight * view.scale) / 2;
    draw();
  }

  function draw() {
    plate.style.transform = `translate(${view.x}px, ${view.y}px) scale(${view.scale})`;
    plate.style.setProperty("--undo", 1 / view.scale);
  }

  function zoom(factor, x = look.clientWidth / 2, y = look.clientHeight / 2) {
    const scale = Math.min(Math.max(view.scale * factor, view.least), view.least * LARGEST);
    view.x = x - ((x - view.x) * scale) / view.scale;
    view.y = y - ((y - view.y) * scale) / view.scale;
    view.scale = scale;
    draw();
  }

  function mark(x, y) {
    if (!form) return;
    const [across, down] = [(x - view.x) / view.scale / image.naturalWidth, (y - view.y) / view.scale / image.naturalHeight];
    if (across < 0 || across > 1 || down < 0 || down > 1) return;
    plate.querySelector(".pin.new")?.remove();
    const pin = document.createElement("span");
    pin.className = "pin new";
    pin.textContent = "?";
    at(pin, 100 * across, 100 * down);
    plate.append(pin);
    form.elements.x.value = across.toFixed(4);
    form.elements.y.value = down.toFixed(4);
    form.hidden = false;
    form.elements.note.focus();
  }

  look.addEventListener("wheel", (turn) => {
    turn.preventDefault();
    const box = look.getBoundingClientRect();
    zoom(turn.deltaY < 0 ? 1.2 : 1 / 1.2, turn.clientX - box.left, turn.clientY - box.top);
  }, { passive: false });
  look.addEventListener("pointerdown", (down) => { held = [down.clientX, down.clientY]; moved = false; look.setPointerCapture(down.pointerId); });
  look.addEventListener("pointermove", (move) => {
    if (!held) return;
    const [x, y] = [move.clientX - held[0], move.clientY - held[1]];
    if (!moved && Math.hypot(x, y) < 4) return;
    moved = true;
    held = [move.clientX, move.clientY];
    view.x += x;
    view.y += y;
    draw();
  });
  look.addEventListener("pointerup", (up) => {
    const box = look.getBoundingClientRect();
    if (held && !moved) mark(up.clientX - box.left, up.clientY - box.top);
    held = null;
  });
  look.addEventListener("keydown", (key) => {
    const steps = { ArrowLeft: [40, 0], ArrowRight: [-40, 0], ArrowUp: [0, 40], ArrowDown: [0, -40] };
    if (steps[key.key]) { view.x += steps[key.key][0]; view.y += steps[key.key][1]; draw(); }
    else if (key.key === "+" || key.key === "=") zoom(1.25);
    else if (key.key === "-") zoom(0.8);
    else if (key.key === "0") whole();
    else if (key.key === "Enter") mark(look.clientWidth / 2, look.clientHeight / 2);
    else return;
    key.preventDefault();
  });
  section.querySelector(".photo-tools").addEventListener("click", ({ target }) => {
    if (target.dataset.zoom === "in") zoom(1.4);
    else if (target.dataset.zoom === "out") zoom(1 / 1.4);
    else if (target.dataset.zoom === "whole") whole();
  });
  form?.querySelector("[data-drop]").addEventListener("click", () => { plate.querySelector(".pin.new")?.remove(); form.hidden = true; look.focus(); });
}

function at(pin, x, y) {
  pin.style.left = `${x}%`;
  pin.style.top = `${y}%`;
}

async function added({ target }) {
  const said = document.getElementById("photo-said");
  const shows = document.getElementById("photo-shows").value.trim();
  try {
    for (const file of target.files) {
      said.textContent = "Keeping it ...";
      const kept = await ask("POST", `/cases/${encodeURIComponent(page.dataset.case)}/photographs?name=${encodeURIComponent(file.name.slice(0, 150))}`, file);
      const value = { file: file.name.slice(0, 150) || "photograph", sha256: kept.id, ...(shows ? { shows } : {}) };
      await append(page.dataset.case, [event("add", "photographs", value, Number(page.dataset.version))]);
    }
    location.reload();
  } catch (fault) {
    said.textContent = fault.message;
    target.value = "";
  }
}
