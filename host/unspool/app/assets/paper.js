/* Before a page goes on paper, pictures and wide tables are made to fit: they were drawn for the
 * screen, and would be cut off. */
"use strict";

(() => {
  const PAPER_PX = 690; // A4 and US letter between their margins, and what a picture stands in
  const WIDE = ".dash-graph, #track .plot, .book .grid";

  window.addEventListener("beforeprint", () => {
    for (const one of document.querySelectorAll(WIDE)) {
      const share = Math.min(1, PAPER_PX / (one.clientWidth || PAPER_PX));
      one.style.setProperty("--on-paper", String(share));
      one.style.setProperty("--on-screen", `${one.clientWidth}px`);
    }
  });
})();
