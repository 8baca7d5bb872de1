/* What can be done with the attempts that are ticked in the Logbook, and how it is taken back. */
"use strict";

(() => {
  const { part } = unspool;
  const LOST = _("Not saved: this page has lost its connection to unspool.");
  const MOST_STUDIED = 60; // that an address names
  const FILES = [
    ["/motion.csv", _("Motion, CSV")], ["/edges.zip", _("Edges, CSV")],
    ["/motion.parquet", _("Motion, Parquet")], ["/bundle.zip", _("One bundle")],
  ];
  const DONE = {
    corrected: (n) => many("{count} attempt corrected.", "{count} attempts corrected.", n),
    discarded: (n) => many("{count} attempt discarded.", "{count} attempts discarded.", n),
    restored: (n) => many("{count} attempt restored.", "{count} attempts restored.", n),
  };
  const query = (rows) => `?${rows.map((row) => `run=${row.id}`).join("&")}`;

  /* Changes what was said of several attempts. Returns the revisions of those that changed. */
  unspool.correctSeveral = async (rows, fields) => {
    const runs = Object.fromEntries(rows.map((row) => [row.id, row.revision]));
    const body = JSON.stringify({ runs, fields });
    const answer = await fetch("/attempts/corrections", { method: "POST", body });
    if (!answer.ok) throw new Error(await answer.text());
    return (await answer.json()).changed;
  };

  async function takeBack(runs) {
    const body = JSON.stringify({ runs });
    const answer = await fetch("/attempts/undo", { method: "POST", body });
    if (!answer.ok) throw new Error(await answer.text());
  }

  /* book: has `ticked`, `chosen()`, `go(path, query)`, `reload()`, `untick()`, `may`. */
  unspool.bar = (book) => {
    const ticked = part("b");
    const said = part("span", { role: "status" });
    const undo = part("button", { type: "button", className: "second", hidden: true }, _("Undo"));
    const act = (words, press, className = "second") => {
      const made = part("button", { type: "button", className }, words);
      made.addEventListener("click", press);
      return made;
    };
    let changed = null;

    function tell(text, runs = null) {
      changed = runs && Object.keys(runs).length ? runs : null;
      undo.hidden = !changed;
      said.textContent = text;
      show();
    }

    const failed = (error) => tell(error instanceof TypeError ? LOST : error.message);

    async function save(fields, done) {
      const rows = book.chosen();
      const runs = await unspool.correctSeveral(rows, fields);
      const changes = Object.keys(runs).length;
      await book.reload();
      tell(changes ? DONE[done](changes) : _("Nothing was changed."), runs);
      if (changed) undo.focus();
    }

    const mark = (yes) => () => save({ discarded: yes ? "yes" : "no" }, yes ? "discarded" : "restored")
      .catch(failed);

    function study(path, least, most, what) {
      return () => {
        const rows = book.chosen();
        const count = rows.length < least ? least - rows.length : most;
        if (rows.length < least) tell(_("Tick {count} more for {page}.", { count, page: what }));
        else if (rows.length > most) tell(_("Tick {count} at most for {page}.", { count, page: what }));
        else book.go(path, query(rows));
      };
    }

    function nextWinding() {
      const [newest] = [...book.chosen()].sort((a, b) => b.at - a.at);
      const learn = book.chosen().map((row) => `learn=${row.id}`).slice(0, MOST_STUDIED);
      book.go("/next-winding", `?run=${newest.id}&${learn.join("&")}`);
    }

    const files = FILES.map(([path, words]) => (
      part("a", { className: "file", download: "", data: { path } }, words)
    ));
    const exporting = part("details", { className: "export" }, part("summary", {}, _("Export")),
      part("div", { className: "files" }, ...files));
    const discard = act(_("Discard"), mark(true));
    const restore = act(_("Restore"), mark(false));
    const correct = act(_("Correct"), () => unspool.correcting(book, save));
    const buttons = part("div", { className: "acts" },
      act(_("Side by side"), study("/side-by-side", 2, MOST_STUDIED, _("Side by side")), ""),
      act(_("Losses"), study("/losses", 1, MOST_STUDIED, _("Losses"))),
      act(_("Next winding"), nextWinding), ...(book.may ? [correct, discard, restore] : []), exporting);
    const chosen = part("div", { className: "chosen" }, ticked,
      act(_("Untick all"), () => {
        book.untick();
        tell("");
      }, "plain"));
    const root = part("section", { className: "bar", hidden: true, aria: { label: _("With the ticked attempts") } },
      chosen, buttons, part("p", {}, said, undo));

    undo.addEventListener("click", async () => {
      try {
        const back = Object.keys(changed).length;
        await takeBack(changed);
        await book.reload();
        tell(many("Taken back for {count} attempt.", "Taken back for {count} attempts.", back));
      } catch (error) {
        failed(error);
      }
    });

    function show() {
      const rows = book.chosen();
      ticked.textContent = many("{count} ticked", "{count} ticked", rows.length);
      chosen.hidden = buttons.hidden = !rows.length;
      root.hidden = !rows.length && !said.textContent;
      const away = rows.length > 0 && rows.every((row) => row.discarded);
      discard.hidden = away;
      restore.hidden = !away;
      for (const file of files) file.href = file.dataset.path + query(rows);
      if (!rows.length) exporting.open = false;
    }

    return { root, show, tell };
  };
})();
