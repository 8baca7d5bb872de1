/* Saves the builder's note of a run, and says beside the button whether it did. */
"use strict";

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-note]");
  if (!button) return;
  const form = button.closest(".noting");
  const said = form.querySelector("[data-noted]");
  said.textContent = "";
  try {
    const note = form.querySelector("textarea").value;
    const answer = await fetch(button.dataset.note, { method: "POST", body: note });
    said.textContent = await answer.text();
  } catch {
    said.textContent = "Not saved: this page has lost its connection to unspool.";
  }
});
