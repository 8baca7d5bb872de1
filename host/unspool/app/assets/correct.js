/* Sends what was corrected of a run, and opens its page again: the run is read as it is said. */
"use strict";

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-correct]");
  if (!button) return;
  const form = button.closest(".correcting");
  const said = form.querySelector("[data-corrected]");
  said.textContent = "";
  const boxes = [...form.querySelectorAll("[data-field]")].map((label) => (
    { name: label.dataset.field, was: label.dataset.was, now: label.querySelector("input").value }
  ));
  const changed = boxes.filter((box) => box.now !== box.was);
  if (!changed.length) {
    said.textContent = "Nothing was changed.";
    return;
  }
  /* The turns go together: one number alone would leave it open who said the others. */
  const turns = changed.some((box) => box.name.startsWith("turns:"));
  const sent = boxes.filter((box) => changed.includes(box)
    || (turns && box.name.startsWith("turns:")));
  const fields = Object.fromEntries(sent.map((box) => [box.name, box.now]));
  const body = JSON.stringify({ seen: Number(button.dataset.seen), fields });
  try {
    const answer = await fetch(button.dataset.correct, { method: "POST", body });
    said.textContent = await answer.text();
    if (answer.ok) location.reload();
  } catch {
    said.textContent = "Not saved: this page has lost its connection to unspool.";
  }
});
