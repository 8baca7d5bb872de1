/* The Logbook's page: fetches its rows and the table's library, and puts the parts together. */
"use strict";

(() => {
  const ROWS = "/logbook/rows";
  const LOOK_MS = 1500; // from one look at lines under way to the next
  const FIRST = 200; // rows that are shown before all others have come
  const REST_MS = 10_000; // from one look for new attempts to the next
  const LANGUAGE = document.documentElement.lang;
  const { part } = unspool;
  let page = null; // the open Logbook
  const left = { ticked: new Set(), row: 0 }; // as it was when it was left

  const go = (pathname, search = "") => (
    window.dash_clientside.set_props("address", { pathname, search })
  );

  async function fetched(address) {
    const answer = await fetch(address);
    if (!answer.ok) throw new Error(await answer.text());
    return answer.json();
  }

  /* The rows and the table's library. If this is the first page of the window, both are on their way
   * before the frame is drawn. */
  const begin = () => Promise.all([fetched(`${ROWS}?first=${FIRST}`), unspool.table.library()]);
  let early = location.pathname === "/logbook" ? begin() : null;

  function begun() {
    const first = early || begin();
    early = null;
    return first;
  }
  if (early) early.catch(() => null); // the page says so

  /* The longest way and the highest speed of all, to which the small pictures are drawn. */
  function reachOf(rows) {
    const most = (field) => rows.reduce((top, row) => Math.max(top, row[field] || 0), 0) || 1;
    return { far: most("distance_m"), fast: most("peak_m_s") };
  }

  class Book {
    constructor(root) {
      this.root = root;
      this.may = Boolean(root.dataset.may);
      this.rows = [];
      this.ticked = left.ticked;
      this.last = null; // the attempt that was ticked last
      this.go = go;
      this.filters = unspool.filters(() => this.filtered());
      this.said = part("p", { className: "count", role: "status" });
      this.place = part("div", { className: "grid" });
      this.all = part("button", { type: "button", className: "second" });
      this.all.addEventListener("click", () => this.tickAll());
      this.bar = unspool.bar(this);
    }

    async open() {
      const [found, library] = await begun();
      if (!this.root.isConnected) return;
      this.take(found);
      const above = part("div", { className: "above" }, this.said, this.all);
      this.root.replaceChildren(this.filters.root, above, this.place, this.bar.root);
      this.table = unspool.table.draw(library, this.place, this);
      unspool.sort(this.table.api, this.filters.order);
      this.show();
      const row = left.row;
      this.back(row);
      if (this.more) await this.reload().then(() => this.back(row)).catch(() => null);
      this.look();
    }

    back(row) {
      const last = this.table.api.getDisplayedRowCount() - 1;
      if (last >= 0) this.table.api.ensureIndexVisible(Math.min(row, last), "top");
    }

    close() {
      clearTimeout(this.looking);
      if (this.table) this.table.end();
    }

    take(found) {
      this.rows = found.rows;
      this.turn = found.turn;
      this.due = found.due;
      this.more = Boolean(found.more);
      this.state = found.state;
      this.reach = reachOf(this.rows);
      this.byId = new Map(this.rows.map((row) => [row.id, row]));
      for (const id of this.ticked) if (!this.more && !this.byId.has(id)) this.ticked.delete(id);
      this.filters.offer(this.rows);
    }

    async reload() {
      const found = await fetched(ROWS);
      this.take(found);
      if (!this.table) return;
      this.table.api.setGridOption("rowData", this.rows);
      this.filtered();
      this.look();
    }

    /* Lines that are made meanwhile come in small parts. If there are other attempts, all come. */
    look() {
      clearTimeout(this.looking);
      if (!this.root.isConnected) return;
      this.looking = setTimeout(async () => {
        const ask = () => fetched(`${ROWS}?after=${this.turn}`);
        const more = document.hidden ? null : await ask().catch(() => null);
        if (!this.root.isConnected) return;
        if (more && String(more.state) !== String(this.state)) await this.reload().catch(() => null);
        else if (more) this.add(more);
        this.look();
      }, this.due ? LOOK_MS : REST_MS);
    }

    add(more) {
      const known = more.rows.filter((row) => this.byId.has(row.id));
      for (const row of known) Object.assign(this.byId.get(row.id), { searched: undefined }, row, { due: false });
      Object.assign(this, { turn: more.turn, due: more.due, reach: reachOf(this.rows) });
      if (known.length) {
        this.filters.offer(this.rows);
        this.table.api.setGridOption("rowData", this.rows);
        this.table.api.refreshCells({ force: true });
      }
      this.show();
    }

    passes(row) {
      return this.filters.passes(row);
    }

    filtered() {
      if (!this.table) return;
      const { api } = this.table;
      const order = this.filters.order;
      if (String(unspool.sorting(api)) !== String(order)) unspool.sort(api, order);
      api.onFilterChanged();
      for (const row of this.chosen()) if (!this.passes(row)) this.ticked.delete(row.id);
      this.paint();
      this.show();
    }

    scrolled(row) {
      left.row = Math.round(row);
    }

    sorted() {
      const order = unspool.sorting(this.table ? this.table.api : { getColumnState: () => [] });
      if (order) this.filters.ordered(...order);
    }

    chosen() {
      return this.rows.filter((row) => this.ticked.has(row.id));
    }

    displayed() {
      const rows = [];
      this.table.api.forEachNodeAfterFilterAndSort((node) => rows.push(node.data));
      return rows;
    }

    show() {
      const { api } = this.table;
      const shown = api.getDisplayedRowCount();
      const all = this.rows.length;
      const attempts = many("{count} attempt", "{count} attempts", all);
      const some = shown === all ? attempts
        : _("{shown} of {attempts}", { shown: shown.toLocaleString(LANGUAGE), attempts });
      const part = shown || !all ? some : `${_("No attempt fits the search.")} ${some}`;
      this.said.textContent = this.more ? _("The newest {count}. The others are on their way.", { count: all })
        : this.due ? `${part}. ${this.reading()}` : part;
      this.all.textContent = this.ticked.size && this.ticked.size >= shown ? _("Untick all")
        : _("Tick all");
      this.all.hidden = !shown || this.more;
      document.querySelector("[data-no-attempts]").hidden = all > 0;
      this.root.hidden = !all;
      unspool.table.fit(api, this.place);
      this.bar.show();
    }

    reading() {
      const count = this.due.toLocaleString(LANGUAGE);
      const first = this.rows.some((row) => row.due); // or else by newer code
      return first ? _("Reading {count} of them.", { count })
        : _("Reading {count} of them again.", { count });
    }

    /* Rows that are drawn already; the table asks for the others when it draws them. */
    paint() {
      for (const drawn of this.place.querySelectorAll('[role="row"][row-id]')) {
        const yes = this.ticked.has(drawn.getAttribute("row-id"));
        drawn.classList.toggle("ticked", yes);
        const box = drawn.querySelector(".tick input");
        if (box) box.checked = yes;
      }
    }

    tick(row, yes, range) {
      const rows = range ? this.between(row) : [row];
      for (const one of rows) {
        if (yes) this.ticked.add(one.id);
        else this.ticked.delete(one.id);
      }
      this.last = row.id;
      this.paint();
      this.bar.tell("");
      this.show();
    }

    between(row) {
      const rows = this.displayed();
      const places = [this.last, row.id].map((id) => rows.findIndex((one) => one.id === id));
      if (places.includes(-1)) return [row];
      return rows.slice(Math.min(...places), Math.max(...places) + 1);
    }

    tickAll() {
      const rows = this.displayed();
      const yes = this.ticked.size < rows.length;
      this.ticked.clear();
      if (yes) for (const row of rows) this.ticked.add(row.id);
      this.paint();
      this.bar.tell("");
      this.show();
    }

    untick() {
      this.ticked.clear();
      this.paint();
      this.show();
    }

    pressed(event, row, column) {
      const onTick = event.target.closest(".tick") || column.getColId() === "tick";
      if (onTick) {
        /* A box follows its own press, and is set back if that is prevented. */
        if (event.target.tagName !== "INPUT") event.preventDefault();
        this.tick(row, !this.ticked.has(row.id), event.shiftKey);
      } else if (!(event.target.closest("a") && (event.ctrlKey || event.metaKey || event.shiftKey))) {
        event.preventDefault();
        go(`/attempts/${row.id}`);
      }
    }

    typed(event, row) {
      if (event.key === "Enter") {
        go(`/attempts/${row.id}`);
      } else if (event.key === " ") {
        event.preventDefault();
        this.tick(row, !this.ticked.has(row.id), event.shiftKey);
      }
    }
  }

  function arrived() {
    const root = document.querySelector("[data-logbook]");
    if (page && page.root === root) return;
    if (page) page.close();
    page = root ? new Book(root) : null;
    if (page) page.open().catch((error) => fail(root, error));
  }

  function fail(root, error) {
    if (!root.isConnected) return;
    const why = error instanceof TypeError ? _("this page has lost its connection to unspool")
      : error.message;
    root.replaceChildren(part("p", { className: "finding warning", role: "alert" },
      _("The Logbook cannot be shown: {why}.", { why })));
  }

  const again = () => {
    if (page && page.root.isConnected && page.table) page.reload().catch(() => null);
    else arrived();
  };
  document.addEventListener("unspool:arrived", () => requestAnimationFrame(arrived));
  document.addEventListener("unspool:imported", again);
  const unprinted = () => document.querySelector(".book .printed")?.remove();
  window.addEventListener("beforeprint", () => {
    unprinted();
    if (page && page.table) page.place.after(unspool.table.printed(page.displayed(), page));
  });
  window.addEventListener("afterprint", unprinted);
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden && page && page.root.isConnected) again();
  });
})();
