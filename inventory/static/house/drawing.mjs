// A document that is being made: the page says how far it is, asked for again until it is
// ready. Then the form that needs it is sent again, or the page shows what is ready.
// Without this file the page loads itself again, or has a button that does.

const AGAIN = 700; // milliseconds

async function follow(box) {
  const { follow: from } = box.dataset;
  while ("drawing" in box.dataset) {
    await new Promise((resolve) => setTimeout(resolve, AGAIN));
    const answer = await fetch(from ?? location.href).catch(() => null);
    if (!answer) continue; // no connection: it is still being made
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = answer.ok && page.getElementById(box.id);
    if (!fresh) return goOn(); // signed out, or refused: the page says so
    if (from && !("drawing" in fresh.dataset)) return goOn();
    box.replaceWith(fresh);
    box = fresh;
  }
}

function goOn() {
  const form = document.getElementById("again");
  if (form) form.submit();
  else location.reload();
}

const box = document.getElementById("drawing");
if (box) follow(box);
