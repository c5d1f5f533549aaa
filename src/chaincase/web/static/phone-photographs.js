// Photographs show what the chain looks like. They are made smaller here, and they are never a ruler.

import { keepPhoto, takeBack } from "./phone-outbox.js";
import { el, entered, keeping, labeled } from "./phone-parts.js";
import { get } from "./phone-store.js";

const LONGEST = 2400;
const SHOTS = [
  "the whole piece from the side", "the same piece from above", "the stamp, lamp held flat", "an attachment, square on",
  "the end of a pin", "the chain on its sprocket", "the machine and its name plate",
];

export function photographs(work, kit, mine) {
  if (!work.may("photographs")) return null;
  const shows = keeping(work, "photo shows", { type: "text", list: "shots", placeholder: SHOTS[0] });
  const said = el("p", { class: "hint", "aria-live": "polite" });
  const pick = el("input", { type: "file", accept: "image/jpeg,image/png,image/webp", capture: "environment", class: "unseen", id: "photo-pick" });
  pick.addEventListener("change", async () => {
    for (const file of pick.files) {
      said.textContent = "Keeping it ...";
      await keepPhoto(work, await smaller(file), shows.value.trim() || "not said", work.by()).catch((fault) => {
        said.textContent = "Not kept.";
        throw fault;
      });
    }
    pick.value = "";
    shows.emptied();
    said.textContent = "Kept on this phone.";
  });
  const thumbs = el("ul", { class: "thumbs" });
  const list = el("div");
  const addresses = new Map();

  async function update(entries) {
    const own = mine(entries, "photographs").filter((entry) => entry.event.kind !== "remove" && !entry.taken);
    list.replaceChildren(entered(own, (entry) => entry.event.value.shows, (entry) => takeBack(work, entry)));
    const pictures = await Promise.all(own.map((entry) => get("photos", entry.id)));
    thumbs.replaceChildren(...pictures.filter(Boolean).map((photo) => {
      if (!addresses.has(photo.id)) addresses.set(photo.id, URL.createObjectURL(photo.blob));
      const name = own.find((entry) => entry.id === photo.id)?.event.value.shows ?? "";
      return el("li", {}, el("img", { src: addresses.get(photo.id), alt: name, width: "96", height: "96" }));
    }));
  }
  return {
    title: "Photos",
    lead: "They show construction and attachments. A ruler in the picture does not make it a measurement: what stands nearer looks larger. Measure with tape and caliper.",
    body: [
      el("datalist", { id: "shots" }, ...SHOTS.map((each) => el("option", { value: each }))),
      labeled("What does the next one show?", shows),
      el("label", { for: "photo-pick", class: "button first wide-button" }, "Take or choose a photograph"), pick, said, thumbs, list,
    ],
    update,
  };
}

// A smaller copy without place and camera data; where the phone cannot make one, the picture as it is.
async function smaller(file) {
  try {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
    const canvas = el("canvas", { width: Math.round(picture.width * scale), height: Math.round(picture.height * scale) });
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.85));
    return blob ? new File([blob], file.name.replace(/\.\w+$/, "") + ".jpg", { type: "image/jpeg" }) : file;
  } catch {
    return file;
  }
}
