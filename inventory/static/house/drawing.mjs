// A document that is being made: the page says how far it is, asked for again until it is
// ready. Then the form that needs it is sent again, or the page shows what is ready.
// Without this file the page loads itself again, or has a button that does.

const AGAIN = 700; // milliseconds
const SAID_EVERY = 5_000;
const PASSING = [429, 502, 503, 504]; // no server behind the door: it is still being made

let said = 0;

async function follow(box) {
  const { follow: from } = box.dataset;
  while ("drawing" in box.dataset) {
    await pause();
    const fresh = await asked(from ?? location.href, box.id);
    if (fresh === undefined) continue; // no connection
    if (fresh === null || (from && !("drawing" in fresh.dataset))) return goOn();
    box.replaceWith(fresh);
    box = fresh;
    say(box.textContent.trim());
  }
}

const pause = () => new Promise((resolve) => setTimeout(resolve, AGAIN));

// Returns the box as it is now; null where the page has none: signed out, or refused.
async function asked(address, id) {
  try {
    const answer = await fetch(address);
    if (PASSING.includes(answer.status)) return undefined;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    return answer.ok ? page.getElementById(id) : null;
  } catch {
    return undefined;
  }
}

function say(words) {
  const line = document.getElementById("house-says");
  if (!line || Date.now() - said < SAID_EVERY) return;
  said = Date.now();
  line.textContent = words;
}

async function goOn() {
  const form = document.getElementById("again");
  if (!form) return location.reload();
  const page = await confirmed(form);
  if (page) location.replace(page); // Back leads to the form, not to this page
  else form.submit(); // the page that answers says what is wrong
}

async function confirmed(form) {
  try {
    const answer = await fetch(location.href, {
      method: "POST",
      body: new FormData(form),
      headers: { "Dock-Phone": "1" },
    });
    return answer.ok && answer.status !== 202 ? (await answer.json()).page : "";
  } catch {
    return "";
  }
}

const box = document.getElementById("drawing");
if (box) follow(box);
