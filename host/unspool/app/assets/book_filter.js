/* The Logbook's search and filters. What was chosen stays while the browser's window is open. */
"use strict";

(() => {
  const KEPT = "unspool:book";
  const SORTS = [
    ["attempt desc", _("newest first")], ["attempt asc", _("oldest first")],
    ["distance desc", _("farthest first")], ["distance asc", _("shortest first")],
    ["stands desc", _("what stands out first")], ["car asc", _("by car")], ["winding asc", _("by winding")],
    ["weight desc", _("heaviest first")], ["taped desc", _("taped, farthest first")],
    ["speed desc", _("fastest first")], ["tags desc", _("by tags")], ["note desc", _("by note")],
  ];
  const { part } = unspool;
  const NO_CAR = "\n"; // no car is called so
  /* Each with its values of an attempt, and the words for them. */
  const CHOICES = {
    car: [_("Car"), (row) => [[row.car || NO_CAR, row.car || _("no car")]]],
    day: [_("Day"), (row) => [[row.day, row.day_words]]],
    tag: [_("Tag"), (row) => row.tags.map((tag) => [tag, tag])],
    stands: [_("Stands out"), (row) => (row.fault ? [["fault", _("cannot be read")]] : row.stands || [])],
  };

  function kept() {
    try {
      return JSON.parse(sessionStorage.getItem(KEPT)) || {};
    } catch {
      return {};
    }
  }

  function keep(state) {
    try {
      sessionStorage.setItem(KEPT, JSON.stringify(state));
    } catch { /* without it, the choice is forgotten */ }
  }

  /* A decimal comma between digits is a point: what is searched is written with points. */
  const plain = (text) => text.toLocaleLowerCase().replace(/(\d),(\d)/g, "$1.$2").replace(/\u00a0/g, " ");

  function haystack(row) {
    row.searched ??= plain([row.name, row.car, row.floor, row.when, row.winding, row.weight,
      row.distance, row.taped, ...row.tags, row.note, ...CHOICES.stands[1](row).map(([, words]) => words)].join(" "));
    return row.searched;
  }

  unspool.filters = (changed) => {
    const state = { search: "", car: "", day: "", tag: "", stands: "", discarded: false,
      sort: "attempt desc", ...kept() };
    const search = part("input", { type: "text", inputMode: "search", value: state.search,
      autocomplete: "off", spellcheck: false });
    const boxes = Object.fromEntries(Object.keys(CHOICES).map((key) => [key, part("select")]));
    const sort = part("select", {}, ...SORTS.map(([value, words]) => (
      part("option", { value }, words)
    )));
    const shown = part("input", { type: "checkbox", checked: state.discarded });
    const clear = part("button", { type: "button", className: "second" }, _("Show all"));
    const summary = part("summary", {}, _("Filter and sort"));
    const labelled = (words, box, className = "") => (
      part("label", { className }, part("span", {}, words), box)
    );
    const fold = part("details", { className: "fold" }, summary, part("div", { className: "folded" },
      ...Object.entries(boxes).map(([key, box]) => labelled(CHOICES[key][0], box)),
      labelled(_("Order"), sort, "order"), labelled(_("Show discarded"), shown, "switch"), clear));
    const root = part("div", { className: "tools" }, labelled(_("Search"), search, "search"), fold);

    function told(silent = false) {
      const on = Object.keys(CHOICES).filter((key) => state[key]).length + Number(state.discarded);
      summary.textContent = on ? _("Filter and sort ({count} on)", { count: on }) : _("Filter and sort");
      clear.hidden = !on && !state.search;
      keep(state);
      if (!silent) changed();
    }

    /* Of the choice, which no attempt has any more. */
    const wordsOf = (box) => box.selectedOptions[0]?.textContent;

    function offer(rows) {
      for (const [key, [, of]] of Object.entries(CHOICES)) {
        const found = new Map(rows.flatMap(of).filter(([value]) => value));
        const options = [...found];
        if (key !== "day") options.sort(([, a], [, b]) => a.localeCompare(b));
        if (state[key] && !found.has(state[key])) options.push([state[key], wordsOf(boxes[key]) || state[key]]);
        boxes[key].replaceChildren(part("option", { value: "" }, _("all")),
          ...options.map(([value, words]) => part("option", { value }, words)));
        boxes[key].value = state[key];
      }
      sort.value = state.sort;
    }

    search.addEventListener("input", () => {
      state.search = search.value;
      told();
    });
    for (const [key, box] of Object.entries(boxes)) {
      box.addEventListener("change", () => {
        state[key] = box.value;
        told();
      });
    }
    shown.addEventListener("change", () => {
      state.discarded = shown.checked;
      told();
    });
    sort.addEventListener("change", () => {
      state.sort = sort.value;
      told();
    });
    clear.addEventListener("click", () => {
      Object.assign(state, { search: "", car: "", day: "", tag: "", stands: "", discarded: false });
      search.value = "";
      shown.checked = false;
      for (const box of Object.values(boxes)) box.value = "";
      told();
      search.focus();
    });
    told(true);

    return {
      root, offer, fold,
      passes(row) {
        if (row.discarded && !state.discarded) return false;
        for (const [key, [, of]] of Object.entries(CHOICES)) {
          if (state[key] && !of(row).some(([value]) => value === state[key])) return false;
        }
        return plain(state.search).split(" ").every((word) => haystack(row).includes(word));
      },
      get order() {
        return state.sort.split(" ");
      },
      ordered(column, way) {
        state.sort = `${column} ${way}`;
        sort.value = state.sort; // empty for an order that only the table's head gives
        keep(state);
      },
    };
  };
})();
