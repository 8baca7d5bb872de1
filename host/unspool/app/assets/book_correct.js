/* The form that corrects several attempts of the Logbook at once. What is left empty stays as it is.
 * A roll-out of the wheel is given to all attempts of it, on the same address as from a car's page. */
"use strict";

(() => {
  const { part } = unspool;
  const KEEP = _("as it is");
  const LEVEL = "\n"; // no floor is called so
  const MOST_PUSHES = 30;

  function box(name, words, unit = "", number = true) {
    const input = part("input", { type: "text", autocomplete: "off", placeholder: KEEP,
      inputMode: number ? "decimal" : "text" });
    const label = part("label", { data: { given: name } }, part("span", { className: "name" }, words),
      part("span", { className: "unit" }, unit), input);
    return part("div", { className: "field" }, label);
  }

  function choice(name, words, options) {
    const select = part("select", {}, part("option", { value: "" }, KEEP),
      ...options.map(([value, text]) => part("option", { value }, text)));
    return part("div", { className: "field" }, part("label", { data: { given: name } },
      part("span", { className: "name" }, words), select));
  }

  const lines = (text) => (text || "").split("\n").filter(Boolean);
  const same = (rows, of) => rows.every((row) => of(row) === of(rows[0]));

  /* Turns can be given if all the attempts have the same tiers. */
  function winding(rows) {
    const tiers = (row) => JSON.stringify((row.turns || []).map(([tier]) => tier));
    if (!rows[0].turns || !same(rows, tiers)) return [];
    return rows[0].turns.map(([tier]) => box(`turns:${tier}`, _("Turns on {tier}", { tier })));
  }

  function rollOut(book, rows) {
    if (!rows[0].car || rows.length > MOST_PUSHES || !same(rows, (row) => row.car)) return [];
    const { rollPath, tapeMm } = book.root.dataset;
    const rolling = (name, words, unit, value = "") => {
      const input = part("input", { type: "text", autocomplete: "off", value, inputMode: "decimal" });
      return part("div", { className: "field" }, part("label", { data: { rolling: name } },
        part("span", { className: "name" }, words), part("span", { className: "unit" }, unit), input));
    };
    const button = (words, write, className) => part("button", { type: "button", className,
      data: { rollOut: rollPath, name: rows[0].car, write } }, words);
    return [part("details", { className: "fold" }, part("summary", {}, _("Or give the wheel a roll-out")),
      part("div", { className: "folded rolling" },
        part("p", {}, _("If the ticked attempts are pushes by hand between two marks, type the taped length of each. What they find is given to all attempts of this wheel.")),
        ...rows.map((row) => rolling(`push:${row.id}`, row.name, "m")),
        rolling("tape_sd_mm", _("How exactly you stop at a mark"), "mm", tapeMm),
        rolling("since", _("First day of the attempts that get it, such as 2026-05-01"), ""),
        part("p", { className: "links" }, button(_("Estimate"), "", "second"),
          button(_("Give it to the car and its attempts"), "yes", "second")),
        part("p", { role: "status", className: "said", data: { rolled: "" } })))];
  }

  function given(form) {
    const fields = {};
    for (const label of form.querySelectorAll("[data-given]")) {
      const { value } = label.querySelector("input, select");
      if (value === LEVEL) fields[label.dataset.given] = "";
      else if (value.trim()) fields[label.dataset.given] = value.trim();
    }
    return fields;
  }

  /* The turns go together: one number alone would leave it open what the other tiers had. */
  function lacksTurns(form, fields) {
    const tiers = [...form.querySelectorAll('[data-given^="turns:"]')].map((one) => one.dataset.given);
    const typed = tiers.filter((tier) => tier in fields);
    return typed.length > 0 && typed.length < tiers.length;
  }

  /* save(fields, done) sends what was typed, and rejects with a sentence. */
  unspool.correcting = (book, save) => {
    const rows = book.chosen();
    const { cars, floors } = book.root.dataset;
    const said = part("p", { role: "alert", className: "error" });
    const names = (text) => lines(text).map((name) => [name, name]);
    const heading = part("h2", { id: "correcting" }, rows.length === 1
      ? _("Correct {name}", { name: rows[0].name })
      : many("Correct {count} attempt", "Correct {count} attempts", rows.length));
    const form = part("form", { noValidate: true }, heading,
      part("p", { className: "quiet" },
        _("What you leave empty stays as it is. The history keeps what was known before.")),
      part("div", { className: "fields" },
        choice("car", _("Car"), names(cars)),
        choice("track", _("Floor"), [[LEVEL, _("a level floor")], ...names(floors)]),
        ...winding(rows),
        box("weight_g", _("Falling weight"), "g"),
        box("circumference_mm", _("Rolling circumference of the wheel"), "mm"),
        ...(rows.length > 1 ? [] : [box("taped_m", _("Distance by the tape"), "m"),
          box("timed_s", _("Time by the stopwatch"), "s")]),
        box("add_tags", _("Tags to add, with commas between them"), "", false),
        box("remove_tags", _("Tags to remove"), "", false),
        box("note", _("Note, in place of what stands there"), "", false)),
      said, part("p", { className: "links" }, part("button", { type: "submit" }, _("Save")),
        part("button", { type: "button", className: "second", value: "close" }, _("Close"))),
      ...rollOut(book, rows));
    const dialog = part("dialog", { className: "correct", aria: { labelledby: "correcting" } }, form);
    const away = () => dialog.close();

    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const fields = given(form);
      said.textContent = "";
      if (!Object.keys(fields).length) said.textContent = _("Nothing was typed.");
      else if (lacksTurns(form, fields)) said.textContent = _("Give the turns on each tier, 0 for none.");
      if (said.textContent) return;
      try {
        await save(fields, "corrected");
        away();
      } catch (error) {
        said.textContent = error instanceof TypeError
          ? _("Not saved: this page has lost its connection to unspool.") : error.message;
      }
    });
    form.querySelector('[value="close"]').addEventListener("click", away);
    dialog.addEventListener("close", () => {
      const rolled = dialog.querySelector("[data-rolled]");
      dialog.remove();
      if (rolled && rolled.textContent) book.reload().catch(() => null);
    });
    book.root.append(dialog);
    dialog.showModal();
  };
})();
