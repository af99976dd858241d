// A document that is being made: what the page says of it is asked for again until it
// is ready. Without this file the page loads itself again.

const AGAIN = 700; // milliseconds

async function follow(box) {
  while (box && "drawing" in box.dataset) {
    await new Promise((resolve) => setTimeout(resolve, AGAIN));
    const answer = await fetch(location.href).catch(() => null);
    if (!answer) continue; // no connection: it is still being made
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = answer.ok && page.getElementById(box.id);
    if (!fresh) return location.reload(); // signed out, or refused: the page says so
    box.replaceWith(fresh);
    box = fresh;
  }
}

follow(document.getElementById("drawing"));
