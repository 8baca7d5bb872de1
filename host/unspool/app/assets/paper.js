/* Before a page goes on paper, pictures and wide tables are made to fit: they were drawn for the
 * screen, and would be cut off. A picture is drawn again as wide as the paper, so that its words
 * stay as large as the page's; a table is made smaller. */
"use strict";

(() => {
  const PAPER_PX = 690; // A4 and US letter between their margins, and what a picture stands in
  const WIDE = ".dash-graph, #track .plot, .book .grid";

  const plots = () => [...document.querySelectorAll(".dash-graph .js-plotly-plot")]
    .filter((one) => one.layout && one.checkVisibility());

  window.addEventListener("beforeprint", () => {
    for (const one of document.querySelectorAll(WIDE)) {
      const drawn = Boolean(one.querySelector(".js-plotly-plot")) && one.matches(".dash-graph");
      const wide = drawn ? PAPER_PX : one.clientWidth;
      one.style.setProperty("--on-paper", String(Math.min(1, PAPER_PX / (wide || PAPER_PX))));
      one.style.setProperty("--on-screen", `${wide}px`);
    }
    for (const one of plots()) window.Plotly.relayout(one, { width: PAPER_PX, autosize: false });
  });

  window.addEventListener("afterprint", () => {
    for (const one of plots()) window.Plotly.relayout(one, { width: null, autosize: true });
  });
})();
