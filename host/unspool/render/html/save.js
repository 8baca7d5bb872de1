/* Saves a figure's picture. Its buttons have the kind in data-save and the file's name in data-name.
 * One listener serves all buttons, also those of later pages, and needs no server. */
"use strict";

(() => {
  // The same from a phone and from a desk, and wide enough for every legend.
  const WIDTH = 960;
  const LEAST_HEIGHT = 480; // more if it is drawn higher, such as one row for each of many groups
  const SHARPER = 2; // for PNG only: an SVG has no dots

  /* An app's page has the reader's words; a file that stands alone has none. */
  const _ = (message, values = {}) => (window._ ? window._(message, values)
    : message.replace(/\{(\w+)\}/g, (_all, name) => values[name]));

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-save]");
    if (button) save(button, button.closest("figure"));
  });

  async function save(button, figure) {
    const picture = figure.querySelector(".js-plotly-plot");
    const said = figure.querySelector("[data-saved]");
    const kind = button.dataset.save;
    if (!picture) return void (said.textContent = _("Not saved: the picture is not drawn yet."));
    if (figure.dataset.saving) return;
    figure.dataset.saving = kind;
    said.textContent = "";
    try {
      const file = await Plotly.downloadImage(picture, {
        format: kind,
        filename: button.dataset.name,
        width: WIDTH,
        height: Math.max(LEAST_HEIGHT, picture.layout.height || picture.clientHeight),
        scale: kind === "png" ? SHARPER : 1,
      });
      said.textContent = _("Saved: {file}", { file });
    } catch (error) {
      console.error(error);
      said.textContent = _("Not saved: this browser could not make the file; try another one.");
    } finally {
      delete figure.dataset.saving;
    }
  }
})();
