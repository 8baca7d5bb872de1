/* Forms of cars and floors. What is typed is sent while one types, and comes back as faults beside
 * the fields, as what each measure does to the distance, and as the drawing. */
"use strict";

(() => {
  const PAUSE_MS = 90; // after the last key
  const LOOK_MS = 500; // from one look at work under way to the next
  const lost = () => _("Not saved: this page has lost its connection to unspool.");
  let pause = 0;
  let asked = 0;

  const desk = () => document.querySelector("[data-desk-path]");
  const boxOf = (label) => label.querySelector("input, select");
  const labels = () => [...desk().querySelectorAll("[data-field]")];

  /* React may have drawn a box again, so what it was is kept beside its label. */
  function remember() {
    if (!desk()) return;
    for (const label of labels()) label.dataset.was ??= boxOf(label).value;
  }

  function typed() {
    remember();
    const changed = labels().filter((label) => boxOf(label).value !== label.dataset.was);
    return Object.fromEntries(changed.map((label) => [label.dataset.field, boxOf(label).value]));
  }

  function sent(more = {}) {
    const { text, base, seen, page } = desk().dataset;
    return { text, base, seen: Number(seen), page, fields: typed(), ...more };
  }

  async function post(what, body) {
    const answer = await fetch(what, { method: "POST", body });
    const text = await answer.text();
    try {
      return { ok: answer.ok, ...JSON.parse(text) };
    } catch {
      return { ok: false, text };
    }
  }

  function say(text, near = document) {
    const said = near.querySelector("[data-desk-said]");
    if (said) said.textContent = text || "";
  }

  function show(found) {
    const put = (name, text) => {
      const place = document.querySelector(`[data-shown="${name}"]`);
      if (place.textContent !== text) place.textContent = text;
    };
    put("answer", found.answer);
    put("warnings", [found.faults[""] || "", ...found.warnings].join(" ").trim());
    for (const place of document.querySelectorAll("[data-matters]")) {
      place.textContent = found.matters[place.dataset.matters] || "";
    }
    let first = null;
    for (const place of document.querySelectorAll("[data-fault]")) {
      const text = found.faults[place.dataset.fault] || "";
      if (place.textContent !== text) place.textContent = text;
      place.parentElement.classList.toggle("wrong", Boolean(text));
      boxOf(place.parentElement).setAttribute("aria-invalid", String(Boolean(text)));
      if (text) first ??= place.parentElement;
    }
    const sketch = document.querySelector("[data-sketch]");
    if (found.picture) Object.assign(sketch, { src: found.picture, alt: found.what });
    return first;
  }

  async function draft() {
    const turn = ++asked;
    const path = desk().dataset.deskPath;
    const found = await post(`${path}:draft`, JSON.stringify(sent())).catch(() => null);
    if (!desk() || turn !== asked) return; // the page was left, or a later key was first
    if (found && found.ok) show(found);
    else if (found) say(found.text);
  }

  function leave(address) {
    if (desk()) desk().dataset.saved = "yes";
    location.assign(address);
    if (address.split("#")[0] === location.pathname + location.search) location.reload();
  }

  async function press(button) {
    const form = desk();
    const path = form ? form.dataset.deskPath : "";
    const what = button.dataset.desk;
    let more = {};
    if (what === "shape") {
      more = { section: button.dataset.section };
      if (button.dataset.remove) more.remove = Number(button.dataset.remove);
    }
    if (button.dataset.name) {
      more = { name: button.dataset.name, version: Number(button.dataset.version) };
    }
    const found = await post(`${path}:${what}`, JSON.stringify(sent(more)));
    if (found.address) {
      leave(found.address);
    } else if (found.faults) {
      const first = show(found);
      say(found.answer);
      if (first) {
        for (let fold = first.closest("details"); fold; fold = fold.parentElement.closest("details")) {
          fold.open = true;
        }
        boxOf(first).focus();
      }
    } else {
      say(found.text);
      if (found.merged) merge(found);
    }
  }

  /* The form is drawn again with both changes; what was said stays. */
  function merge(found) {
    sessionStorage.setItem("unspool:said", found.text);
    leave(found.merged);
  }

  function open(button) {
    const box = Object.assign(document.createElement("input"), { type: "file", accept: ".toml" });
    box.addEventListener("change", async () => {
      const [file] = box.files;
      const near = button.closest("section");
      try {
        const name = encodeURIComponent(file.name);
        const found = await post(`${button.dataset.deskFile}?name=${name}`, file);
        if (found.address) leave(found.address);
        else say(found.text, near);
      } catch {
        say(lost(), near);
      }
    });
    box.click();
  }

  async function roll(button) {
    const form = button.closest(".rolling");
    const said = form.querySelector("[data-rolled]");
    const given = Object.fromEntries([...form.querySelectorAll("[data-rolling]")].map(
      (label) => [label.dataset.rolling, boxOf(label).value],
    ));
    const pushes = Object.entries(given).filter(([name]) => name.startsWith("push:"));
    const body = {
      name: button.dataset.name,
      pushes: Object.fromEntries(pushes.map(([name, value]) => [name.slice(5), value])),
      tape_sd_mm: given.tape_sd_mm,
      since: given.since,
      write: button.dataset.write === "yes",
    };
    said.textContent = _("Working on it.");
    const stop = form.querySelector("[data-stop]");
    try {
      const found = await answered(button.dataset.rollOut, body, said, stop);
      said.textContent = found.text;
      if (found.address) leave(found.address);
    } catch {
      said.textContent = lost();
    } finally {
      if (stop) stop.hidden = true;
    }
  }

  /* Asks again with the same ticket until the work is done. Meanwhile a button stops it. */
  async function answered(path, body, said, stop) {
    const ticket = `${Date.now()}-${Math.random()}`;
    const sent = { ...body, ticket };
    if (stop) stop.onclick = () => { sent.stop = true; };
    for (;;) {
      const found = await post(path, JSON.stringify(sent));
      if (!found.doing) return found;
      if (stop) stop.hidden = false;
      if (said.textContent !== found.doing) said.textContent = found.doing;
      await new Promise((done) => setTimeout(done, LOOK_MS));
    }
  }

  document.addEventListener("click", async (event) => {
    const button = event.target.closest("[data-desk], [data-desk-file], [data-roll-out]");
    if (!button) return;
    if (button.dataset.deskFile) {
      open(button);
    } else if (button.dataset.rollOut) {
      roll(button);
    } else {
      say("");
      await press(button).catch(() => say(lost()));
    }
  });

  for (const kind of ["input", "change"]) {
    document.addEventListener(kind, (event) => {
      if (!event.target.closest?.("[data-desk-path] [data-field]")) return;
      say("");
      clearTimeout(pause);
      pause = setTimeout(draft, PAUSE_MS);
    });
  }

  document.addEventListener("focusin", remember);
  document.addEventListener("unspool:arrived", () => requestAnimationFrame(() => {
    remember();
    const said = sessionStorage.getItem("unspool:said");
    if (said && desk()) {
      sessionStorage.removeItem("unspool:said");
      say(said);
    }
  }));

  unspool.unsaved.push(() => {
    const form = desk();
    if (!form || form.dataset.saved) return false;
    return Boolean(form.dataset.changed) || Object.keys(typed()).length > 0;
  });
})();
