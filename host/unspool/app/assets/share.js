/* Share: begins and ends the sharing, and shows the page again as it is then. */
"use strict";

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-share]");
  if (!button) return;
  const said = document.querySelector("[data-share-said]");
  try {
    const answer = await fetch(`/share/${button.dataset.share}`, { method: "POST" });
    said.textContent = await answer.text();
    if (answer.ok) location.reload();
  } catch {
    said.textContent = _("Not done: this page has lost its connection to unspool.");
  }
});
