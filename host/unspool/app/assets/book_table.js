/* The Logbook's table: columns on a desk, one column of cards on a phone. The library draws the rows
 * that are in sight; what stands in them, and how they look, is ours. */
"use strict";

window.unspool = window.unspool || {};

(() => {
  const PHONE_PX = 700;
  const ROW_PX = 64;
  const CARD_PX = 84;
  const HEAD_PX = 48;
  const FEW = 8; // rows for which the table is no higher than they are
  const SVG = "http://www.w3.org/2000/svg";
  let loading = null;

  unspool.part = (tag, about = {}, ...inside) => {
    const { data = {}, aria = {}, ...plain } = about;
    const made = Object.assign(document.createElement(tag), plain);
    Object.assign(made.dataset, data);
    for (const [name, text] of Object.entries(aria)) made.setAttribute(`aria-${name}`, text);
    made.append(...inside);
    return made;
  };
  const part = unspool.part;

  function library() {
    if (window.unspoolGrid) return Promise.resolve(window.unspoolGrid);
    loading ??= new Promise((done, fail) => {
      const script = document.createElement("script");
      script.src = document.body.dataset.grid;
      script.onload = () => done(window.unspoolGrid);
      script.onerror = () => {
        loading = null;
        fail(new Error(_("the table did not load")));
      };
      document.head.append(script);
    });
    return loading;
  }

  /* Speed over distance. All are drawn to one scale, so that a longer line is a longer way. */
  function spark(row, reach, wide, high) {
    const picture = document.createElementNS(SVG, "svg");
    picture.setAttribute("viewBox", `0 0 ${wide} ${high}`);
    picture.setAttribute("width", wide);
    picture.setAttribute("height", high);
    picture.setAttribute("aria-hidden", "true");
    if (!row.spark || !row.spark.length) return picture;
    const across = (wide - 4) * Math.min(Math.max(row.distance_m, 0) / reach.far, 1);
    const up = (high - 4) * Math.min(row.peak_m_s / reach.fast, 1);
    const last = row.spark.length - 1;
    const places = row.spark.map((speed, i) => (
      `${(2 + (across * i) / last).toFixed(1)},${(high - 2 - (up * speed) / 100).toFixed(1)}`
    ));
    const line = document.createElementNS(SVG, "path");
    line.setAttribute("d", `M${places.join("L")}`);
    picture.append(line);
    return picture;
  }

  function standing(row) {
    if (row.fault) return [part("span", { className: "grave", title: row.fault }, _("cannot be read"))];
    return (row.stands || []).map(([, words, grave]) => (
      part("span", { className: grave ? "grave" : "" }, words)
    ));
  }

  const tags = (row) => row.tags.map((tag) => part("span", { className: "tag" }, tag));

  function tick(row, book) {
    const box = part("input", {
      type: "checkbox", tabIndex: -1, checked: book.ticked.has(row.id),
      aria: { label: _("Tick {name}", { name: row.name }) },
    });
    return part("label", { className: "tick" }, box);
  }

  const link = (row) => (
    part("a", { href: `/attempts/${row.id}`, className: "name", tabIndex: -1 }, row.name)
  );
  const far = (row) => row.distance || (row.due ? _("not read yet") : "");
  const cell = (className, ...inside) => part("div", { className }, ...inside);

  function card({ data: row, context: book }) {
    const more = [row.winding, ...(row.note ? [row.note] : [])].filter(Boolean).join("; ");
    return cell("card",
      tick(row, book),
      cell("words",
        cell("first", link(row), part("b", {}, far(row))),
        cell("second", ...standing(row), ...tags(row), part("span", { className: "quiet" }, more))));
  }

  const number = (field) => (a, b) => (a[field] ?? -Infinity) - (b[field] ?? -Infinity);
  const words = (field) => (a, b) => String(a[field] || "").localeCompare(String(b[field] || ""));
  const weighty = (row) => (row.fault ? 100 : 0)
    + (row.stands || []).reduce((sum, [, , grave]) => sum + (grave ? 10 : 1), 0);

  /* Each with how wide it is, and in which order columns go if there is no room. */
  const COLUMNS = [
    { id: "attempt", head: _("Attempt"), wide: 252, keep: 9, order: number("at"),
      show: (row) => cell("two", link(row), part("span", { className: "quiet" }, row.time)) },
    { id: "car", head: _("Car"), wide: 110, keep: 0, order: words("car"), show: (row) => row.car },
    { id: "winding", head: _("Winding"), wide: 140, keep: 6, order: words("winding"),
      show: (row) => cell("lines", row.winding || "") },
    { id: "weight", head: _("Weight"), wide: 88, keep: 1, order: number("weight_g"),
      show: (row) => row.weight || "" },
    { id: "distance", head: _("Distance"), wide: 108, keep: 9, order: number("distance_m"),
      show: (row) => part("b", { className: row.whole ? "" : "less" }, far(row)) },
    { id: "taped", head: _("Taped"), wide: 94, keep: 5, order: number("taped_m"),
      show: (row) => row.taped },
    { id: "speed", head: _("Its speed"), wide: 124, keep: 4, order: number("peak_m_s"),
      show: (row, book) => spark(row, book.reach, 100, 40) },
    { id: "stands", head: _("What stands out"), wide: 148, keep: 8,
      order: (a, b) => weighty(a) - weighty(b), show: (row) => cell("list", ...standing(row)) },
    { id: "tags", head: _("Tags"), wide: 122, keep: 3,
      order: (a, b) => a.tags.join().localeCompare(b.tags.join()),
      show: (row) => cell("list", ...tags(row)) },
    { id: "note", head: _("Note"), wide: 96, keep: 2, order: words("note"),
      show: (row) => cell("lines quiet", row.note) },
  ];
  const LEAST_PX = 56;
  const OWN_WORDS = {
    ariaSortableColumn: _("Press ENTER to sort"), loadingOoo: _("Loading…"),
    noMatchingRows: "", noRowsToShow: "",
  };

  const isPhone = (wide) => wide < PHONE_PX;

  function fitting(wide) {
    const kept = [...COLUMNS].sort((a, b) => b.keep - a.keep);
    while (kept.reduce((sum, one) => sum + one.wide, LEAST_PX) > wide) kept.pop();
    return COLUMNS.filter((one) => kept.includes(one));
  }

  const plain = { sortable: true, resizable: false, suppressMovable: true,
    valueGetter: ({ data }) => data };

  function columns(wide) {
    if (isPhone(wide)) {
      const hidden = COLUMNS.map((one) => (
        { ...plain, colId: one.id, comparator: one.order, hide: true }
      ));
      return [{ ...plain, colId: "card", headerName: _("Attempt"), flex: 1, cellRenderer: card },
        ...hidden];
    }
    const shown = fitting(wide);
    return [
      { ...plain, colId: "tick", headerName: _("Ticked"), width: LEAST_PX, sortable: false,
        headerClass: "ticks", cellRenderer: ({ data, context }) => tick(data, context) },
      ...COLUMNS.map((one) => ({
        ...plain, colId: one.id, headerName: one.head, minWidth: one.wide, flex: one.wide,
        hide: !shown.includes(one), comparator: one.order, cellClass: `of-${one.id}`,
        cellRenderer: ({ data, context }) => one.show(data, context),
      })),
    ];
  }

  /* Tab leads from the head into the rows, and from there out of the table; arrows go between. */
  function intoRows({ backwards, api }) {
    const row = api.getFirstDisplayedRowIndex();
    if (backwards || row < 0) return false;
    const [first] = api.getAllDisplayedColumns();
    setTimeout(() => api.setFocusedCell(row, first)); // the table holds the head until then
    return true;
  }

  /* Around the library's table: book has `rows`, `ticked`, `reach`, `passes(row)` and what happens
   * at a press. */
  function draw(grid, place, book) {
    const theme = grid.createTheme().withParams({
      fontFamily: "inherit", fontSize: "1rem", headerFontSize: "0.9rem", headerFontFamily: "inherit",
      backgroundColor: "var(--paper)", foregroundColor: "var(--ink)", textColor: "var(--ink)",
      headerBackgroundColor: "var(--paper)", headerTextColor: "var(--quiet)", accentColor: "var(--measured)",
      borderColor: "var(--rule)", rowHoverColor: "var(--note-ground)", oddRowBackgroundColor: "var(--paper)",
      borderWidth: 1, wrapperBorder: false, wrapperBorderRadius: 0, cellHorizontalPadding: "10px",
      browserColorScheme: "inherit", headerHeight: HEAD_PX,
    });
    let wide = place.clientWidth;
    const size = () => ({ rowHeight: isPhone(wide) ? CARD_PX : ROW_PX,
      headerHeight: isPhone(wide) ? 0 : HEAD_PX });
    const api = grid.createGrid(place, {
      theme, context: book, rowData: book.rows, columnDefs: columns(wide), ...size(),
      getRowId: ({ data }) => data.id, suppressCellFocus: false, animateRows: false,
      suppressDragLeaveHidesColumns: true, enableCellTextSelection: false,
      suppressScrollOnNewData: true, tabToNextCell: () => false, tabToNextHeader: intoRows,
      isExternalFilterPresent: () => true, doesExternalFilterPass: ({ data }) => book.passes(data),
      rowClassRules: { ticked: ({ data }) => book.ticked.has(data.id),
        discarded: ({ data }) => data.discarded },
      onCellClicked: ({ event, data, column }) => book.pressed(event, data, column),
      onCellKeyDown: ({ event, data }) => book.typed(event, data),
      onSortChanged: () => book.sorted(), onFirstDataRendered: () => name(place),
      onBodyScrollEnd: ({ api }) => book.scrolled(api.getVerticalPixelRange().top / size().rowHeight),
      suppressNoRowsOverlay: true, localeText: OWN_WORDS,
    });
    const watch = new ResizeObserver(() => {
      if (!place.isConnected || !place.clientWidth || place.clientWidth === wide) return;
      const turned = isPhone(place.clientWidth) !== isPhone(wide);
      wide = place.clientWidth;
      const order = unspool.sorting(api);
      api.updateGridOptions({ columnDefs: columns(wide), ...size() });
      unspool.sort(api, order);
      if (turned) api.resetRowHeights();
      fit(api, place);
    });
    watch.observe(place);
    return { api, end: () => { watch.disconnect(); api.destroy(); } };
  }

  /* On paper the library's table has only the rows that are in sight. So this is a plain one,
   * without columns in which nothing stands. An attempt's name says its car. */
  const SCREEN_ONLY = ["car", "speed"];
  function printed(rows, book) {
    const columns = COLUMNS.filter(({ id }) => !SCREEN_ONLY.includes(id))
      .map(({ head, show }) => ({ head, cells: rows.map((row) => part("td", {}, show(row, book))) }))
      .filter(({ cells }) => cells.some((one) => one.textContent));
    const lines = rows.map((row, i) => part("tr", { className: row.discarded ? "discarded" : "" },
      ...columns.map(({ cells }) => cells[i])));
    const head = columns.map((one) => part("th", { scope: "col" }, one.head));
    return part("table", { className: "sheet printed" },
      part("thead", {}, part("tr", {}, ...head)), part("tbody", {}, ...lines));
  }

  function name(place) {
    const table = place.querySelector('[role="grid"], [role="treegrid"]');
    if (table) table.setAttribute("aria-label", _("Attempts"));
  }

  /* Few rows need no window of their own to scroll in. */
  function fit(api, place) {
    const few = api.getDisplayedRowCount() <= FEW;
    place.classList.toggle("few", few);
    if (api.getGridOption("domLayout") !== (few ? "autoHeight" : "normal")) {
      api.setGridOption("domLayout", few ? "autoHeight" : "normal");
    }
  }

  unspool.sorting = (api) => {
    const one = api.getColumnState().find((column) => column.sort);
    return one ? [one.colId, one.sort] : null;
  };
  unspool.sort = (api, order) => {
    const state = order ? [{ colId: order[0], sort: order[1] }] : [];
    api.applyColumnState({ state, defaultState: { sort: null } });
  };
  unspool.table = { library, draw, fit, printed };
})();
