/* A button that does one thing at the address in its data-send, and says beside it what came. */
"use strict";

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-send]");
  if (!button) return;
  const said = button.parentElement.querySelector("[data-sent]");
  said.textContent = "";
  button.disabled = true;
  try {
    const answer = await fetch(button.dataset.send, { method: "POST" });
    said.textContent = await answer.text();
    if (answer.ok && button.dataset.then === "book") {
      document.dispatchEvent(new Event("unspool:imported"));
    }
  } catch {
    said.textContent = _("Not written: this page has lost its connection to unspool.");
  }
  button.disabled = false;
});
