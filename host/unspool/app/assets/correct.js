/* Sends what was noted or corrected of an attempt. Then the page is made again in place, because the
 * attempt is read as it is said: answer, pictures and figures follow. */
"use strict";

(() => {
  const LOST = _("Not saved: this page has lost its connection to unspool.");
  const boxOf = (label) => label.querySelector("input, select, textarea");
  const formOf = () => document.querySelector(".correcting");
  const isTurns = (label) => label.dataset.field.startsWith("turns:");

  /* Only the drum of the chosen car counts. */
  function labels(form) {
    return [...form.querySelectorAll("[data-field]")].filter((one) => !one.closest("[hidden]"));
  }

  const differs = (label) => boxOf(label).value !== label.dataset.was;

  function fields(form) {
    const all = labels(form);
    const changed = all.filter(differs);
    /* The turns go together: one number alone would leave it open who said the others. */
    const turns = changed.some(isTurns);
    const sent = all.filter((label) => changed.includes(label) || (turns && isTurns(label)));
    const found = {};
    for (const label of sent) put(found, label.dataset.field, boxOf(label).value);
    return found;
  }

  function put(found, field, value) {
    const version = /^([0-9]+):(.*)$/s.exec(value);
    if (["car", "track"].includes(field) && version) {
      Object.assign(found, { [field]: version[2], [`${field}_version`]: version[1] });
    } else {
      found[field] = value;
    }
  }

  function showDrum(form) {
    const chosen = form.querySelector('[data-field="car"] option:checked');
    for (const row of form.querySelectorAll("[data-drum]")) {
      row.hidden = row.dataset.drum !== chosen.dataset.tiers;
    }
  }

  const titleOf = (fold) => fold.querySelector("summary").textContent.split(":")[0];
  const folds = () => [...document.querySelectorAll("main details")];

  /* Makes the page again. What was open stays open, and the eye and the keyboard stay in place. */
  function again(words) {
    const before = formOf();
    const opened = new Set(folds().filter((one) => one.open).map(titleOf));
    const top = window.scrollY;
    const watch = new MutationObserver(() => {
      const form = formOf();
      if (!form || form === before) return;
      watch.disconnect();
      for (const one of folds()) one.open = opened.has(titleOf(one));
      document.title = `${document.querySelector("h1").textContent} - unspool`;
      form.querySelector("[data-corrected]").textContent = words;
      form.querySelector("[data-correct]").focus({ preventScroll: true });
      window.scrollTo(0, top);
      document.dispatchEvent(new Event("unspool:again"));
    });
    watch.observe(document.getElementById("main"), { childList: true, subtree: true });
    window.dash_clientside.set_props("again", { data: Date.now() });
  }

  async function send(button, form) {
    const said = form.querySelector("[data-corrected]");
    const { correct, seen, say, undo } = button.dataset;
    said.textContent = "";
    const found = { ...fields(form), ...(say ? { discarded: say } : {}) };
    const some = Object.keys(found).length > 0;
    if (some === Boolean(undo)) {
      said.textContent = undo ? _("Save first what you typed.") : _("Nothing was changed.");
      return;
    }
    button.disabled = true;
    try {
      const body = JSON.stringify({ seen: Number(seen), fields: found });
      const answer = await fetch(correct, { method: "POST", body });
      const words = await answer.text();
      if (answer.ok) again(words);
      else said.textContent = words;
    } catch {
      said.textContent = LOST;
    }
    button.disabled = false;
  }

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-correct]");
    if (button) send(button, button.closest(".correcting"));
  });

  document.addEventListener("change", (event) => {
    const form = event.target.closest?.(".correcting");
    if (form && event.target.closest('[data-field="car"]')) showDrum(form);
  });

  unspool.unsaved.push(() => Boolean(formOf()) && labels(formOf()).some(differs));
})();
