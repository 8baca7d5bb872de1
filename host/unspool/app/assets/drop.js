/* Takes files that are dropped on the Logbook or chosen there: edge files and bundles. */
"use strict";

(() => {
  const place = () => document.querySelector("[data-drop]");

  async function send(root, file) {
    const query = new URLSearchParams({ name: file.name });
    const car = root.querySelector("[data-drop-car]")?.value;
    if (car) query.set("car", car);
    const answer = await fetch(`/import?${query}`, { method: "POST", body: file });
    const text = answer.ok ? (await answer.json()).text : await answer.text();
    return `${file.name}: ${text.replace(`${file.name}: `, "")}`;
  }

  async function take(root, files) {
    const said = root.querySelector("[data-dropped]");
    const texts = [];
    said.closest("details").open = true;
    said.textContent = _("Importing.");
    for (const file of files) {
      try {
        texts.push(await send(root, file));
      } catch {
        texts.push(_("{file}: not imported. This page has lost its connection to unspool.", {
          file: file.name,
        }));
      }
      said.textContent = texts.join("\n");
    }
    said.scrollIntoView({ block: "nearest" });
    document.dispatchEvent(new Event("unspool:imported"));
  }

  document.addEventListener("dragover", (event) => {
    if (place()) event.preventDefault();
  });
  document.addEventListener("drop", (event) => {
    const root = place();
    if (!root || !event.dataTransfer.files.length) return;
    event.preventDefault();
    take(root, [...event.dataTransfer.files]);
  });
  document.addEventListener("click", (event) => {
    const root = event.target.closest("[data-drop-choose]")?.closest("[data-drop]");
    if (!root) return;
    const box = Object.assign(document.createElement("input"), { type: "file", multiple: true });
    box.onchange = () => take(root, [...box.files]);
    box.click();
  });
})();
