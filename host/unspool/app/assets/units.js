/* The units that this browser reads in: kept in a cookie, which the server looks at. */
"use strict";

(() => {
  const NAME = "unspool_units";
  const YEAR_S = 365 * 24 * 3600;
  const chosen = () => document.cookie.match(/(?:^|; )unspool_units=(\w+)/)?.[1] || "metric";

  function show() {
    for (const button of document.querySelectorAll("[data-units]")) {
      button.setAttribute("aria-pressed", String(button.dataset.units === chosen()));
    }
  }

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-units]");
    if (!button) return;
    document.cookie = `${NAME}=${button.dataset.units}; path=/; max-age=${YEAR_S}; samesite=lax`;
    location.reload();
  });

  document.addEventListener("unspool:arrived", show);
})();
