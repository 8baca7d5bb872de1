/* Track before a recording: fills in what can be chosen, and acts. Each button with data-act sends
 * what is chosen to that address, and the answer is written beside it. */
"use strict";

(() => {
  const LOOK_MS = 1500; // boards come and go
  const CHECK_MS = 150;
  const LOST = _("Not done: this page has lost its connection to unspool.");
  const NONE = {
    car: _(
      "No car is described yet. To look around without one, load the demo's attempts in the Logbook, or start “unspool demo” instead.",
    ),
    floor: "",
    board: _("No board is plugged in. Use a cable that carries data, or look for radio boards."),
  };
  const touched = new Set(); // what was chosen here, and not filled in
  let drawn = {}; // what stands in each list
  let form = null;
  let latest = null;
  let filledFor = null; // the board whose car and floor were filled in
  let samples = [];

  function chosen() {
    const picked = {};
    for (const name of Object.keys(NONE)) {
      const box = document.querySelector(`[data-choice="${name}"] input:checked`);
      picked[name] = box ? box.value : "";
    }
    return picked;
  }

  function sent(button) {
    const { car, floor } = button.dataset;
    const recorded = document.getElementById("track")?.dataset.recorded || "";
    return { ...chosen(), ...(car ? { car, floor } : {}), recorded };
  }

  function option(name, one, isChosen) {
    const [label, input, words] = ["label", "input", "span"].map((tag) => document.createElement(tag));
    Object.assign(input, { type: "radio", name, value: one.key, checked: isChosen });
    input.onchange = () => {
      touched.add(name);
      if (latest) show(latest); // another board may be in another car
    };
    words.append(one.label);
    if (one.note) {
      const note = document.createElement("small");
      note.textContent = one.note;
      words.append(note);
    }
    label.append(input, words);
    return label;
  }

  function fill(name, options, usual) {
    const known = JSON.stringify(options);
    if (drawn[name] === known) return;
    drawn[name] = known;
    const before = touched.has(name) ? chosen()[name] : usual;
    const keys = options.map((one) => one.key);
    const wanted = keys.includes(before) ? before : keys[0];
    const list = document.querySelector(`[data-choice="${name}"]`);
    if (!list) return; // a board that is recorded has its way already
    list.replaceChildren(...options.map((one) => option(name, one, one.key === wanted)));
    write(`[data-none="${name}"]`, options.length ? "" : NONE[name]);
  }

  function write(place, text) {
    const element = typeof place === "string" ? document.querySelector(place) : place;
    if (element && element.textContent !== text) element.textContent = text;
  }

  async function look() {
    const here = document.querySelector("[data-setup]");
    if (here !== form) {
      form = here;
      drawn = {};
      touched.clear();
    }
    const closed = form && form.closest("details:not([open])");
    if (form && !closed && !document.hidden && !document.documentElement.dataset.server) {
      try {
        const asked = await fetch("/track/choices");
        const choices = await asked.json();
        if (document.querySelector("[data-setup]") === form) show(choices);
      } catch {
        // The socket says that the server is gone.
      }
    }
    setTimeout(look, form ? LOOK_MS : 200);
  }

  function show(choices) {
    latest = choices;
    const likely = choices.board.filter((one) => one.likely);
    fill("board", choices.board, (likely[0] || {}).key);
    // What the board that was there last was recorded with, until somebody chooses here.
    const way = choices.board.find((one) => one.key === chosen().board) || {};
    const usual = way.car ? way : choices.chosen;
    if (way.key !== filledFor) {
      for (const name of ["car", "floor"]) if (!touched.has(name)) delete drawn[name];
    }
    filledFor = way.key;
    fill("car", choices.car, usual.car);
    fill("floor", choices.floor, usual.floor);
    const every = document.querySelector('[data-act="/track/start-all"]');
    if (every) every.hidden = likely.length < 2;
    ready(choices);
    if (choices.looking) write('[data-none="board"]', _("Looking for radio boards."));
    else if (choices.fault) write('[data-none="board"]', choices.fault);
    else if (choices.board.length) write('[data-none="board"]', "");
  }

  /* A recording needs a car and a board: the button says which of them is missing. Of a board that
   * is recorded, only the car is chosen. */
  function ready(choices) {
    const board = document.querySelector('[data-act="/track/start"]');
    const button = board || document.querySelector('[data-act="/track/car"]:not([data-car])');
    const noBoard = board && !choices.board.length ? _("Plug a board in first.") : "";
    const lacks = choices.car.length ? noBoard : _("Describe a car first.");
    if (button.dataset.lacks === lacks) return; // what an act answered stays
    write(button.closest(".act").querySelector("[data-said]"), lacks);
    button.dataset.lacks = lacks;
    button.disabled = Boolean(lacks);
  }

  unspool.chosen = chosen;

  async function act(button) {
    const path = button.dataset.act;
    const checks = path.startsWith("/track/sensors");
    const near = button.closest("details, .act, fieldset") || document;
    const said = checks ? document.querySelector('[data-sensors="said"]')
      : near.querySelector("[data-said], [data-none]");
    try {
      const answer = await fetch(path, { method: "POST", body: JSON.stringify(sent(button)) });
      write(said, await answer.text());
      if (path === "/track/sensors" && answer.ok) watch();
    } catch {
      write(said, LOST);
    }
  }

  function watch() {
    samples = [];
    document.querySelector('[data-sensors="found"]').replaceChildren();
    follow();
  }

  async function follow() {
    const place = document.querySelector('[data-draw="pulses"]');
    if (!place) return;
    const asked = await fetch(`/track/sensors/seen?have=${samples.length}`).catch(() => null);
    if (!asked) return;
    const seen = await asked.json();
    samples = samples.concat(seen.samples);
    unspool.drawPulses(place, samples);
    if (seen.under_way) {
      const [a, b] = seen.changes;
      write('[data-sensors="said"]', _("Turn the wheel. Changes so far: A {a}, B {b}.", { a, b }));
      setTimeout(follow, CHECK_MS);
      return;
    }
    write('[data-sensors="said"]', seen.fault || (seen.ok ? _("The sensors are fine.") : _("Look at this:")));
    const items = (seen.found || []).map((one) => {
      const item = document.createElement("li");
      item.className = one.severity === "warning" ? "finding warning" : "finding";
      item.textContent = one.text;
      return item;
    });
    document.querySelector('[data-sensors="found"]').replaceChildren(...items);
  }

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-act]");
    if (button) act(button);
  });
  document.addEventListener("submit", (event) => {
    if (event.target.matches("[data-setup]")) event.preventDefault();
  });
  look();
})();
