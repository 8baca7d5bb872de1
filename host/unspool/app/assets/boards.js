/* The list of boards on Track: a line each, written again if it is another one. */
"use strict";

(() => {
  function line(board) {
    const [item, link, car, state] = ["li", "a", "b", "span"].map((tag) => document.createElement(tag));
    item.dataset.tone = board.tone;
    link.href = board.href;
    car.textContent = board.car;
    link.append(car, ` ${board.name}`);
    state.className = "state";
    state.textContent = board.headline;
    const last = document.createElement(board.attempt ? "a" : "span");
    if (board.attempt) last.href = board.attempt;
    last.textContent = board.last;
    item.append(link, state, last);
    return item;
  }

  /* A line that is as it was stays in place, and a link that has the focus keeps it. */
  unspool.drawBoards = (list, boards) => {
    const before = [...list.children];
    boards.forEach((board, place) => {
      const said = JSON.stringify(board);
      const old = before[place];
      if (old && old.dataset.said === said) return;
      const fresh = line(board);
      fresh.dataset.said = said;
      if (!old) {
        list.append(fresh);
        return;
      }
      const focused = [...old.querySelectorAll("a")].indexOf(document.activeElement);
      old.replaceWith(fresh);
      fresh.querySelectorAll("a")[focused]?.focus();
    });
    before.slice(boards.length).forEach((old) => old.remove());
  };
})();
