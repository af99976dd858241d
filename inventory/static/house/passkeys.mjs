// Passkeys: a form that says data-passkey asks the device, then sends its answer.

const bytes = (text) =>
  Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (one) => one.charCodeAt(0));

const text = (buffer) =>
  btoa(String.fromCharCode(...new Uint8Array(buffer)))
    .replaceAll("+", "-")
    .replaceAll("/", "_")
    .replaceAll("=", "");

const named = (keys) => keys?.map((key) => ({ ...key, id: bytes(key.id) }));

async function optionsOf(form) {
  const body = new FormData();
  body.append("wants", form.dataset.passkey);
  body.append("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
  const answer = await fetch(form.dataset.options, { method: "POST", body });
  const { publicKey } = await answer.json();
  publicKey.challenge = bytes(publicKey.challenge);
  if (publicKey.user) publicKey.user.id = bytes(publicKey.user.id);
  publicKey.excludeCredentials = named(publicKey.excludeCredentials);
  publicKey.allowCredentials = named(publicKey.allowCredentials);
  return { publicKey };
}

function told(key) {
  const response = { clientDataJSON: text(key.response.clientDataJSON) };
  for (const name of ["attestationObject", "authenticatorData", "signature", "userHandle"]) {
    if (key.response[name]) response[name] = text(key.response[name]);
  }
  return JSON.stringify({ id: key.id, rawId: text(key.rawId), type: key.type, response, clientExtensionResults: {} });
}

async function ask(form) {
  const options = await optionsOf(form);
  const keys = navigator.credentials;
  const key = form.dataset.passkey === "add" ? await keys.create(options) : await keys.get(options);
  form.elements.answer.value = told(key);
}

for (const form of document.querySelectorAll("form[data-passkey]")) {
  if (!window.PublicKeyCredential || /^[\d.]+$|:/.test(location.hostname)) continue;
  form.hidden = false;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    // Without an answer the server says what to do.
    await ask(form).catch(() => {});
    form.submit();
  });
}
