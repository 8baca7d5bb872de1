/* What a browser does at a new page and Dash does not: title, place in the navigation, focus. */
"use strict";

window.dash_clientside = Object.assign({}, window.dash_clientside, {
  unspool: {
    arrive(title) {
      if (!title) return window.dash_clientside.no_update;
      const first = !document.body.dataset.arrived;
      document.body.dataset.arrived = "yes";
      document.title = title;
      const here = document.querySelector("#places a.here");
      document.body.dataset.place = here ? here.className.split(" ")[0] : "";
      document.dispatchEvent(new Event("unspool:arrived"));
      requestAnimationFrame(() => {
        for (const link of document.querySelectorAll("#places a")) {
          if (link.classList.contains("here")) link.setAttribute("aria-current", "page");
          else link.removeAttribute("aria-current");
        }
        // The first page leaves focus where the browser has it; a later one starts at its top.
        if (!first) document.getElementById("main").focus({ preventScroll: true });
        if (!first) window.scrollTo(0, 0);
      });
      return title;
    },
  },
});
