/* Worksheet: remembers what was typed on this device, asks for the marks, and shows them. */
"use strict";

(() => {
  const boxes = (sheet) => [...sheet.querySelectorAll("input[name], select[name]")];
  const place = (sheet) => {
    const query = new URLSearchParams(sheet.dataset.worksheet.split("?")[1]);
    return `unspool worksheet ${query.get("car")}`;
  };

  const typed = (sheet) => Object.fromEntries(
    boxes(sheet).filter((box) => box.value).map((box) => [box.name, box.value]),
  );

  const keep = (sheet) => {
    try {
      localStorage.setItem(place(sheet), JSON.stringify(typed(sheet)));
    } catch { /* a browser that keeps nothing still checks */ }
  };

  const bring = (sheet) => {
    if (sheet.dataset.brought) return;
    sheet.dataset.brought = "yes";
    let kept = {};
    try {
      kept = JSON.parse(localStorage.getItem(place(sheet)) || "{}");
    } catch { /* nothing was kept */ }
    boxes(sheet).forEach((box) => {
      if (kept[box.name] && !box.value) fill(box, kept[box.name]);
    });
  };

  /* React notes a value only if its own setter is passed by. */
  const fill = (box, value) => {
    const kind = box instanceof HTMLSelectElement ? HTMLSelectElement : HTMLInputElement;
    Object.getOwnPropertyDescriptor(kind.prototype, "value").set.call(box, value);
    box.dispatchEvent(new Event("input", { bubbles: true }));
  };

  const line = (tag, text, name) => {
    const made = document.createElement(tag);
    made.textContent = text;
    if (name) made.className = name;
    return made;
  };

  const ask = (sheet, one) => {
    const field = line("div", "", "field");
    const label = document.createElement("label");
    const box = document.createElement("input");
    Object.assign(box, { type: "text", name: one.ask, inputMode: "decimal", autocomplete: "off" });
    label.append(line("span", one.text, "name"), box, line("span", one.unit, "unit"));
    const formula = document.createElement("details");
    formula.append(line("summary", sheet.dataset.formula), line("p", one.formula));
    const mark = line("p", "", "mark");
    mark.dataset.mark = one.ask;
    field.append(label, formula, mark);
    return field;
  };

  /* Questions on the pupil's own figures: their words change as the figures do. */
  const after = (sheet, asked) => {
    const list = sheet.querySelector("[data-after]");
    asked.forEach((one) => {
      const box = list.querySelector(`[name="${one.ask}"]`);
      if (box) box.closest("label").querySelector(".name").textContent = one.text;
      else list.append(ask(sheet, one));
    });
  };

  const show = (sheet, marks) => {
    sheet.querySelectorAll("[data-mark]").forEach((mark) => {
      const found = marks[mark.dataset.mark];
      mark.textContent = found ? found.text : "";
      mark.classList.toggle("right", Boolean(found && found.right));
    });
  };

  const check = async (sheet) => {
    const said = sheet.querySelector("[data-said]");
    said.textContent = "";
    keep(sheet);
    try {
      const fields = new URLSearchParams(typed(sheet));
      const answer = await fetch(`${sheet.dataset.worksheet}&${fields}`);
      if (!answer.ok) {
        said.textContent = await answer.text();
        return;
      }
      const found = await answer.json();
      after(sheet, found.after);
      show(sheet, found.marks);
    } catch {
      said.textContent = sheet.dataset.lost;
    }
  };

  document.addEventListener("click", (event) => {
    const sheet = event.target.closest("[data-worksheet]");
    if (sheet && event.target.closest("[data-check]")) check(sheet);
  });

  document.addEventListener("unspool:arrived", () => {
    document.querySelectorAll("[data-worksheet]").forEach(bring);
  });

  document.addEventListener("change", (event) => {
    const sheet = event.target.closest("[data-worksheet]");
    if (event.target.closest("[data-sheet]")) again();
    else if (sheet) check(sheet);
  });

  /* The same page with other choices. */
  const again = () => {
    const search = new URLSearchParams(location.search);
    document.querySelectorAll("[data-sheet]").forEach((one) => {
      if (one.value) search.set(one.dataset.sheet, one.value);
      else search.delete(one.dataset.sheet);
    });
    location.search = search;
  };

  document.addEventListener("click", (event) => {
    if (event.target.closest("[data-print]")) window.print();
  });
})();
