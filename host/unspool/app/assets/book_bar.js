/* What can be done with the attempts that are ticked in the Logbook, and how it is taken back. */
"use strict";

(() => {
  const { part } = unspool;
  const LOST = "Not saved: this page has lost its connection to unspool.";
  const MOST_STUDIED = 60; // that an address names
  const FILES = [
    ["/motion.csv", "Motion, CSV"], ["/edges.zip", "Edges, CSV"],
    ["/motion.parquet", "Motion, Parquet"], ["/bundle.zip", "One bundle"],
  ];
  const count = (many, more = "") => `${many} ${more}attempt${many === 1 ? "" : "s"}`;
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
    const many = part("b");
    const said = part("span", { role: "status" });
    const undo = part("button", { type: "button", className: "second", hidden: true }, "Undo");
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
      tell(changes ? `${count(changes)} ${done}.` : "Nothing was changed.", runs);
      if (changed) undo.focus();
    }

    const mark = (yes) => () => save({ discarded: yes ? "yes" : "no" }, yes ? "discarded" : "restored")
      .catch(failed);

    function study(path, least, most, what) {
      return () => {
        const rows = book.chosen();
        if (rows.length < least) tell(`Tick ${least - rows.length} more for ${what}.`);
        else if (rows.length > most) tell(`Tick ${most} at most for ${what}.`);
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
    const exporting = part("details", { className: "export" }, part("summary", {}, "Export"),
      part("div", { className: "files" }, ...files));
    const discard = act("Discard", mark(true));
    const restore = act("Restore", mark(false));
    const correct = act("Correct", () => unspool.correcting(book, save));
    const buttons = part("div", { className: "acts" },
      act("Side by side", study("/side-by-side", 2, MOST_STUDIED, "Side by side"), ""),
      act("Losses", study("/losses", 1, MOST_STUDIED, "Losses")),
      act("Next winding", nextWinding), ...(book.may ? [correct, discard, restore] : []), exporting);
    const chosen = part("div", { className: "chosen" }, many,
      act("Untick all", () => {
        book.untick();
        tell("");
      }, "plain"));
    const root = part("section", { className: "bar", hidden: true, aria: { label: "With the ticked attempts" } },
      chosen, buttons, part("p", {}, said, undo));

    undo.addEventListener("click", async () => {
      try {
        const back = Object.keys(changed).length;
        await takeBack(changed);
        await book.reload();
        tell(`Taken back for ${count(back)}.`);
      } catch (error) {
        failed(error);
      }
    });

    function show() {
      const rows = book.chosen();
      many.textContent = `${rows.length} ticked`;
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
