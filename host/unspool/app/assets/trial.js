/* Sliders on Next winding: asks for the run of each step, one question at a time, and draws it. */
"use strict";

(() => {
  const TRIED = 1;
  const STOP = 2;
  let asking = false;
  let next = null;

  const address = (form) => {
    const boxes = [...form.querySelectorAll("input[type=range]")];
    const fields = boxes.map((box) => `&${encodeURIComponent(box.name)}=${box.value}`);
    return form.dataset.trial + fields.join("");
  };

  const say = (form, answer) => {
    form.querySelector("[data-said]").textContent = answer.said;
    const items = answer.against.map((text) => {
      const item = document.createElement("li");
      item.className = "finding warning";
      item.textContent = text;
      return item;
    });
    form.querySelector("[data-against]").replaceChildren(...items);
  };

  const draw = async (form, answer) => {
    const plot = form.querySelector(".js-plotly-plot");
    if (!plot || !answer.x) return;
    const drawing = await unspool.plotly();
    const [low, high] = answer.stop;
    const across = plot.layout.xaxis.range;
    const reach = Math.max(...answer.x, high || 0);
    await drawing.restyle(
      plot,
      { x: [answer.x, answer.stop], y: [answer.y, low === undefined ? [] : [0, 0]] },
      [TRIED, STOP],
    );
    if (reach > across[1]) await drawing.relayout(plot, { "xaxis.range": [0, reach * 1.1] });
  };

  const ask = async (form) => {
    next = form;
    if (asking) return;
    asking = true;
    while (next) {
      const form = next;
      next = null;
      try {
        const answer = await (await fetch(address(form))).json();
        say(form, answer);
        await draw(form, answer);
      } catch {
        say(form, { said: _("Not tried: this page has lost its connection to unspool."), against: [] });
      }
    }
    asking = false;
  };

  document.addEventListener("input", (event) => {
    const form = event.target.closest("[data-trial]");
    if (!form) return;
    const shown = event.target.closest("label").querySelector(".value");
    const value = Number(Number(event.target.value).toPrecision(4));
    shown.textContent = unspool.localised(String(value));
    ask(form);
  });
})();
