/* Track: puts the firmware on the chosen board, and shows how far it is. */
"use strict";

(() => {
  const LOOK_MS = 300;
  const LOST = _("This page has lost its connection to unspool. Leave the cable in, and look again.");
  const part = (name) => document.querySelector(`[data-firmware="${name}"]`);

  async function begin(button) {
    const kind = button.closest("details").querySelector("select").value;
    const lose = button.dataset.flash === "lose" ? "yes" : "";
    const sent = { board: unspool.chosen().board, kind, lose };
    try {
      const answer = await fetch("/track/firmware", { method: "POST", body: JSON.stringify(sent) });
      part("said").textContent = await answer.text();
      document.querySelector('[data-flash="lose"]').hidden = true;
      if (answer.ok) follow();
    } catch {
      part("said").textContent = LOST;
    }
  }

  async function follow() {
    const asked = await fetch("/track/firmware/seen").catch(() => null);
    if (!part("said")) return;
    if (!asked) {
      part("said").textContent = LOST;
      return;
    }
    show(await asked.json());
  }

  function show(seen) {
    const stage = seen.stage ? `${seen.stage}, ${Math.round(100 * seen.share)} %` : "";
    const last = seen.said[seen.said.length - 1] || "";
    const text = seen.fault || stage || last || _("Looking at the board.");
    if (part("said").textContent !== text) part("said").textContent = text;
    part("share").hidden = !seen.stage;
    part("share").value = seen.share;
    if (seen.under_way) setTimeout(follow, LOOK_MS);
    else document.querySelector('[data-flash="lose"]').hidden = !seen.held;
  }

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-flash]");
    if (button) begin(button);
  });

  /* Writing goes on while a page is elsewhere. */
  document.addEventListener("unspool:arrived", async () => {
    if (!part("said")) return;
    const asked = await fetch("/track/firmware/seen").catch(() => null);
    const seen = asked && await asked.json();
    if (seen && seen.under_way) show(seen);
  });
})();
