/* Copies the text that a button names in data-copy; where the browser forbids that, as it does on
 * pages from another computer, marks the text for the reader's own keys. */
"use strict";

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-copy]");
  if (!button) return;
  const text = document.getElementById(button.dataset.copy);
  const said = button.parentElement.querySelector("[data-copied]");
  try {
    await navigator.clipboard.writeText(text.textContent);
    said.textContent = "Copied.";
  } catch {
    getSelection().selectAllChildren(text);
    said.textContent = "Marked: copy it with your keys or the browser's menu.";
  }
});
