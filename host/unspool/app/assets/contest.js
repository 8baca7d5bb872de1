/* A contest's pages: send what a button says with what is typed beside it, and follow what others
 * note. The board takes turns through its classes. */
"use strict";

(() => {
  const LOST = "Not done: this page has lost its connection to unspool. What you typed stays here.";
  const NEWER = "Somebody noted something in the meantime. What you typed stays here.";
  const TURN_MS = 10000;
  const RETRY_MS = 1000;
  const NAME = "unspool judge";
  let socket = null;
  let followed = "";
  let turn = 0;
  let held = false;

  const page = () => document.querySelector("[data-contest]");
  const boxes = (form) => [...form.querySelectorAll("input[name], textarea[name]")];
  const again = () => window.dash_clientside.set_props("again", { data: Date.now() });

  /* React notes a value only if its own setter is passed by. */
  function fill(box, value) {
    const kind = box instanceof HTMLTextAreaElement ? HTMLTextAreaElement : HTMLInputElement;
    Object.getOwnPropertyDescriptor(kind.prototype, "value").set.call(box, value);
    box.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function sent(button, form) {
    const typed = Object.fromEntries(boxes(form).map((box) => [box.name, box.value]));
    const seen = button.closest("[data-seen]")?.dataset.seen;
    const who = page().querySelector("[data-who] input")?.value || "";
    return { ...typed, who, ...(seen ? { seen } : {}), ...JSON.parse(button.dataset.say) };
  }

  async function send(button) {
    const root = page();
    const form = button.closest("[data-form]") || root;
    const said = form.querySelector("[data-said]");
    if (said) said.textContent = "";
    button.disabled = true;
    try {
      const body = JSON.stringify(sent(button, form));
      const answer = await fetch(root.dataset.contest, { method: "POST", body });
      const text = await answer.text();
      const found = text.startsWith("{") ? JSON.parse(text) : { text };
      if (said) said.textContent = found.text;
      if (found.at && root.classList.contains("judge")) stay(found.at);
      if (found.href) location.assign(found.href);
      else if (answer.ok) done(form);
      else if (found.seen) button.closest("[data-seen]").dataset.seen = found.seen;
    } catch {
      if (said) said.textContent = LOST;
    }
    button.disabled = false;
  }

  /* The page stays with the attempt that it called, whatever others call. */
  function stay(at) {
    history.pushState(null, "", location.pathname + at);
    window.dispatchEvent(new PopStateEvent("popstate"));
  }

  function done(form) {
    boxes(form).filter((box) => box.name !== "rules").forEach((box) => fill(box, ""));
    again();
  }

  const isTyping = (root) =>
    boxes(root).some((box) => box.name !== "who" && box.value) ||
    boxes(root).includes(document.activeElement);

  function hear(root, revision) {
    if (String(revision) === root.dataset.revision || !root.dataset.follow) return;
    if (root.dataset.follow === "always" || !isTyping(root)) {
      root.dataset.revision = String(revision);
      again();
      return;
    }
    const said = root.querySelector("[data-said]");
    if (said && !said.textContent) said.textContent = NEWER;
  }

  function follow() {
    const root = page();
    const wanted = root && root.dataset.follow ? root.dataset.number : "";
    if (wanted === followed && (!wanted || socket)) return;
    if (socket) {
      socket.onclose = null;
      socket.close();
      socket = null;
    }
    followed = wanted;
    if (!wanted) return;
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    socket = new WebSocket(`${scheme}://${location.host}/contest/${wanted}/live`);
    socket.onmessage = (message) => {
      const now = page();
      if (now && now.dataset.number === wanted) hear(now, JSON.parse(message.data).revision);
    };
    socket.onclose = () => {
      socket = null;
      setTimeout(follow, RETRY_MS);
    };
  }

  function show() {
    const turns = [...document.querySelectorAll("[data-turn]")];
    turns.forEach((one, place) => {
      one.hidden = place !== turn % turns.length;
    });
    const hold = document.querySelector("[data-hold]");
    if (!hold) return;
    hold.hidden = turns.length < 2;
    const words = held ? "Go on" : "Hold";
    if (hold.textContent !== words) hold.textContent = words;
  }

  function name() {
    const box = document.querySelector("[data-who] input");
    if (!box || box.value) return;
    try {
      const kept = localStorage.getItem(NAME);
      if (kept) fill(box, kept);
    } catch { /* a browser that keeps nothing */ }
  }

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-say]");
    if (button && page()) send(button);
    if (event.target.closest("[data-hold]")) {
      held = !held;
      show();
    }
  });

  document.addEventListener("change", (event) => {
    if (!event.target.closest("[data-who]")) return;
    try {
      localStorage.setItem(NAME, event.target.value);
    } catch { /* a browser that keeps nothing */ }
  });

  setInterval(() => {
    if (held || document.hidden) return;
    turn += 1;
    show();
  }, TURN_MS);

  function arrived() {
    follow();
    show();
    name();
  }

  /* A page that is made again in place has forgotten which of its turns is shown. */
  const watch = new MutationObserver(arrived);

  document.addEventListener("unspool:arrived", () => {
    arrived();
    watch.disconnect();
    if (page()) watch.observe(document.getElementById("main"), { childList: true, subtree: true });
  });
})();
