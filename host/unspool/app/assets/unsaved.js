/* Nothing that was typed and not saved is lost without a question: not by closing the page, not by
 * a link within the app, and not by going back. Each form adds a function to `unspool.unsaved`. */
"use strict";

window.unspool = window.unspool || {};
unspool.unsaved = [];

(() => {
  const ASK = _("What you typed here is not saved yet. Leave it all the same?");
  let here = location.href;

  const dirty = () => unspool.unsaved.some((isDirty) => isDirty());

  window.addEventListener("beforeunload", (event) => {
    if (dirty()) event.preventDefault();
  });

  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[href]");
    if (!link || link.hasAttribute("download") || link.target === "_blank") return;
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    const to = new URL(link.href, location.href);
    const stays = to.pathname + to.search === location.pathname + location.search;
    if (stays || to.origin !== location.origin || !dirty() || window.confirm(ASK)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
  }, true);

  /* Loaded before Dash, so that Dash does not hear of a way back that was refused. */
  window.addEventListener("popstate", (event) => {
    if (location.href.split("#")[0] !== here.split("#")[0] && dirty() && !window.confirm(ASK)) {
      event.stopImmediatePropagation();
      history.pushState(null, "", here);
    }
    here = location.href;
  });

  document.addEventListener("unspool:arrived", () => { here = location.href; });
})();
