/* Who may do what: gives somebody a PIN, shows it once, and takes one away. */
"use strict";

(() => {
  const again = () => window.dash_clientside.set_props("again", { data: Date.now() });
  const part = (name) => document.querySelector(`[data-who-${name}]`);

  async function send(path, sent, button) {
    const said = part("said");
    said.textContent = "";
    button.disabled = true;
    try {
      const answer = await fetch(path, { method: "POST", body: JSON.stringify(sent) });
      const text = await answer.text();
      const found = text.startsWith("{") ? JSON.parse(text) : { text };
      said.textContent = found.text;
      if (answer.ok) return found;
    } catch {
      said.textContent = _("Not done: this page has lost its connection to unspool.");
    } finally {
      button.disabled = false;
    }
    return null;
  }

  async function give(button) {
    const form = part("form");
    const name = form.querySelector("[name=name]").value;
    const role = form.querySelector("[name=role]").value;
    const found = await send("/access/give", { name, role }, button);
    if (!found) return;
    const half = found.pin.length / 2;
    part("pin").textContent = `${found.pin.slice(0, half)} ${found.pin.slice(half)}`;
    show(true);
    part("done").focus();
  }

  /* As long as the PIN is shown, nobody else's can be made in its place. */
  function show(shown) {
    part("pin").hidden = part("done").hidden = !shown;
    part("give").hidden = shown;
  }

  document.addEventListener("click", async (event) => {
    const button = event.target.closest("[data-who-give], [data-who-done], [data-take-away]");
    if (!button) return;
    if (button.matches("[data-who-give]")) await give(button);
    else if (button.matches("[data-who-done]")) location.reload();
    else if (await send("/access/take-away", { name: button.dataset.takeAway }, button)) again();
  });
})();
