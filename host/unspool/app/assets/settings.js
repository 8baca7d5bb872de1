/* How this browser reads, its units and its language: kept in cookies, which the server looks at. */
"use strict";

(() => {
  const YEAR_S = 365 * 24 * 3600;

  function show() {
    for (const button of document.querySelectorAll("[data-keep]")) {
      const kept = document.cookie.split("; ").find((one) => one.startsWith(`${button.dataset.keep}=`));
      const chosen = kept ? kept.split("=")[1] : button.dataset.otherwise;
      button.setAttribute("aria-pressed", String(button.dataset.value === chosen));
    }
  }

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-keep]");
    if (!button) return;
    const { keep, value } = button.dataset;
    document.cookie = `${keep}=${value}; path=/; max-age=${YEAR_S}; samesite=lax`;
    location.reload();
  });

  document.addEventListener("unspool:arrived", show);
})();
