/* The Logbook's search and filters. What was chosen stays while the browser's window is open. */
"use strict";

(() => {
  const KEPT = "unspool:book";
  const SORTS = [
    ["attempt desc", "newest first"], ["attempt asc", "oldest first"],
    ["distance desc", "farthest first"], ["distance asc", "shortest first"],
    ["stands desc", "what stands out first"], ["car asc", "by car"], ["winding asc", "by winding"],
    ["weight desc", "heaviest first"], ["taped desc", "taped, farthest first"],
    ["speed desc", "fastest first"], ["tags desc", "by tags"], ["note desc", "by note"],
  ];
  const { part } = unspool;
  const CHOICES = {
    car: ["Car", (row) => [row.car || "no car"]],
    day: ["Day", (row) => [row.day_words]],
    tag: ["Tag", (row) => row.tags],
    stands: ["Stands out", (row) => (row.fault ? ["cannot be read"] : (row.stands || []).map((one) => one[1]))],
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
      row.distance, row.taped, ...row.tags, row.note, ...CHOICES.stands[1](row)].join(" "));
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
    const clear = part("button", { type: "button", className: "second" }, "Show all");
    const summary = part("summary", {}, "Filter and sort");
    const labelled = (words, box, className = "") => (
      part("label", { className }, part("span", {}, words), box)
    );
    const fold = part("details", { className: "fold" }, summary, part("div", { className: "folded" },
      ...Object.entries(boxes).map(([key, box]) => labelled(CHOICES[key][0], box)),
      labelled("Order", sort, "order"), labelled("Show discarded", shown, "switch"), clear));
    const root = part("div", { className: "tools" }, labelled("Search", search, "search"), fold);

    function told(silent = false) {
      const on = Object.keys(CHOICES).filter((key) => state[key]).length + Number(state.discarded);
      summary.textContent = on ? `Filter and sort (${on} on)` : "Filter and sort";
      clear.hidden = !on && !state.search;
      keep(state);
      if (!silent) changed();
    }

    function offer(rows) {
      for (const [key, [, of]] of Object.entries(CHOICES)) {
        const found = [...new Set(rows.flatMap(of))].filter(Boolean);
        if (key !== "day") found.sort((a, b) => a.localeCompare(b));
        if (state[key] && !found.includes(state[key])) found.push(state[key]);
        boxes[key].replaceChildren(part("option", { value: "" }, "all"),
          ...found.map((one) => part("option", { value: one }, one)));
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
          if (state[key] && !of(row).includes(state[key])) return false;
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
