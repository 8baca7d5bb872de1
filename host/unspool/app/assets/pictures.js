/* The drawing library is large, so it is fetched when the first picture needs it. Dash asks for it
 * at an address of its own; here it gets the same file as Track. */
"use strict";

window.unspool = window.unspool || {};

(() => {
  const FILE = document.body.dataset.plotly;
  let loading = null;

  Object.defineProperty(window, "_dashPlotlyJSURL", { get: () => FILE, set() {} });

  unspool.plotly = () => {
    if (window.Plotly) return Promise.resolve(window.Plotly);
    loading ??= new Promise((done, fail) => {
      const script = document.createElement("script");
      script.src = FILE;
      script.onload = () => done(window.Plotly);
      script.onerror = () => {
        loading = null;
        fail(new Error(_("the drawing library did not load")));
      };
      document.head.append(script);
    });
    return loading;
  };
})();
