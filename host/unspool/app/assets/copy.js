/* Copies the text that a button names in data-copy. Browsers forbid that on pages from another
 * computer; then the text is selected, and the reader copies it. */
"use strict";

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-copy]");
  if (!button) return;
  const text = document.getElementById(button.dataset.copy);
  const said = button.parentElement.querySelector("[data-copied]");
  try {
    await navigator.clipboard.writeText(text.textContent);
    said.textContent = _("Copied.");
  } catch {
    getSelection().selectAllChildren(text);
    said.textContent = _("Selected: copy it with your keys or the browser's menu.");
  }
});
