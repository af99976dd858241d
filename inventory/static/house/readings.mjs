// Photos that are not read yet: what is noticed on them, and their pictures, appear as
// soon as the server has read them. Without this file a reload shows the same.

const AGAIN = 600; // milliseconds between two questions
const MOST = 100;
const STAND_IN = 321; // the width of the picture that stands in for one not read yet

// Returns what is known of the photo once it is read, or null where that takes too long.
export async function whenRead(address) {
  for (let asked = 0; asked < MOST; asked += 1) {
    const answer = await fetch(address, { headers: { Accept: "application/json" } }).catch(() => null);
    if (answer && !answer.ok) return null;
    const told = await answer?.json().catch(() => null);
    if (told?.is_read) return told;
    await new Promise((resolve) => setTimeout(resolve, asked < 20 ? AGAIN : 5 * AGAIN));
  }
  return null;
}

const ofPhoto = (image) => image.getAttribute("src")?.match(/^(.*\/evidence\/[0-9a-f-]{36}\/)\d+\/$/)?.[1];

async function bringIn(image) {
  const address = ofPhoto(image);
  if (!address || image.naturalWidth !== STAND_IN) return;
  const told = await whenRead(`${address}reading/`);
  if (told) image.src = `${image.getAttribute("src")}?read`;
}

function noticed({ name, remarks, thumbnail, page }) {
  const item = document.createElement("li");
  item.className = "notice running";
  if (thumbnail) {
    const image = document.createElement("img");
    Object.assign(image, { src: thumbnail, alt: "", width: 96 });
    item.append(image);
  }
  const words = document.createElement("p");
  const first = document.createElement("span");
  first.className = "notice-word";
  first.textContent = "Check this.";
  const link = document.createElement("a");
  link.href = page;
  link.textContent = name;
  words.append(first, " ", link, `: ${remarks.join(" ")}`);
  item.append(words);
  return item;
}

// A message that names photos is replaced by one for each on which something was noticed.
async function fillIn(message) {
  const keys = message.dataset.readings.match(/[0-9a-f-]{36}/g) ?? [];
  for (const key of keys) {
    const told = await whenRead(`/evidence/${key}/reading/`);
    if (told?.remarks?.length) message.before(noticed(told));
  }
}

// The page of one photo: it is fetched again and takes the place of what waited.
async function replace(box) {
  if (!(await whenRead(box.dataset.reading))) return;
  const answer = await fetch(location.href).catch(() => null);
  if (!answer?.ok) return;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const fresh = page.getElementById(box.id);
  if (fresh) box.replaceWith(fresh);
}

for (const image of document.querySelectorAll('img[src*="/evidence/"]')) {
  if (image.complete) bringIn(image);
  image.addEventListener("load", () => bringIn(image));
}
for (const message of document.querySelectorAll("[data-readings]")) fillIn(message);
for (const box of document.querySelectorAll("[data-reading]")) replace(box);
