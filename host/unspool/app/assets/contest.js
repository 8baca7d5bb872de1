/* A contest's pages: send what a button says with what is typed beside it, and follow what others
 * note. The board takes turns through its classes. */
"use strict";

(() => {
  const lost = () =>
    _("No answer came, so look whether it was noted. What you typed stays here.");
  const newer = () => _("Somebody noted something in the meantime. What you typed stays here.");
  const TURN_MS = 10000;
  const RETRY_MS = 1000;
  const NAME = "unspool judge";
  let socket = null;
  let followed = "";
  let kept = null;
  let turn = 0;
  let held = false;
  let typed = null;

  const page = () => document.querySelector("[data-contest]");
  const boxes = (form) => [...form.querySelectorAll("input[name], textarea[name], select[name]")];
  const again = () => window.dash_clientside.set_props("again", { data: Date.now() });

  /* React notes a value only if its own setter is passed by. */
  function fill(box, value) {
    const kind = box instanceof HTMLTextAreaElement ? HTMLTextAreaElement : HTMLInputElement;
    Object.getOwnPropertyDescriptor(kind.prototype, "value").set.call(box, value);
    box.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function sent(button, form) {
    const typed = Object.fromEntries((form ? boxes(form) : []).map((box) => [box.name, box.value]));
    const seen = button.closest("[data-seen]")?.dataset.seen;
    const who = page().querySelector("[data-who] input")?.value || "";
    return { ...typed, who, ...(seen ? { seen } : {}), ...JSON.parse(button.dataset.say) };
  }

  function tell(said, text, done = false) {
    if (!said) return;
    said.textContent = text;
    said.classList.toggle("done", done);
  }

  async function send(button) {
    const root = page();
    const form = button.closest("[data-form]");
    const said = (form || root).querySelector("[data-said]");
    if (said) said.textContent = "";
    button.disabled = true;
    try {
      const body = JSON.stringify(sent(button, form));
      const answer = await fetch(root.dataset.contest, { method: "POST", body });
      const text = await answer.text();
      const found = text.startsWith("{") ? JSON.parse(text) : { text };
      tell(said, found.text, answer.ok);
      if (found.at && root.classList.contains("judge")) stay(found.at);
      if (found.href) location.assign(found.href);
      else if (answer.ok) {
        keep(button, found.text);
        done(form);
      }
      else if (found.seen) button.closest("[data-seen]").dataset.seen = found.seen;
    } catch {
      tell(said, lost());
    }
    button.disabled = false;
  }

  /* The page is made again after each change. Its folds stay as they were, and what was said stays
   * beside the button that was pressed. A row that moved takes the keyboard with it. */
  function restore() {
    if (!kept || kept.path !== location.pathname) return;
    document.querySelectorAll("main details > summary").forEach((one) => {
      if (kept.folds.includes(one.textContent)) one.parentElement.open = true;
    });
    const same = [...document.querySelectorAll("[data-say]")].find(
      (one) => one.textContent === kept.words && (one.ariaLabel || "") === kept.label);
    const said = same?.closest("[data-form]")?.querySelector("[data-said]");
    if (said && !said.textContent) tell(said, kept.text, true);
    if (!kept.label) return;
    const hidden = same?.classList.contains("nowhere");
    (hidden ? same.parentElement.querySelector("[data-say]:not(.nowhere)") : same)?.focus();
  }

  function keep(button, text) {
    const open = document.querySelectorAll("main details[open] > summary");
    kept = {
      path: location.pathname, folds: [...open].map((one) => one.textContent), text,
      words: button.textContent, label: button.ariaLabel || "",
    };
  }

  /* The page stays with the attempt that it called, whatever others call. */
  function stay(at) {
    history.pushState(null, "", location.pathname + at);
    window.dispatchEvent(new PopStateEvent("popstate"));
    window.scrollTo(0, 0);
  }

  /* What is typed for the attempt that is called outlives a page that is made again meanwhile. */
  const called = () => {
    const head = document.querySelector(".called h2");
    return head ? `${head.textContent} ${head.nextElementSibling?.textContent}` : "";
  };

  function retype() {
    if (!typed || typed.called !== called()) return;
    for (const box of boxes(document.querySelector(".called"))) {
      if (!box.value && typed.values[box.name]) fill(box, typed.values[box.name]);
    }
  }

  document.addEventListener("input", (event) => {
    const form = event.isTrusted && event.target.closest(".called");
    if (!form) return;
    typed = { called: called(), values: Object.fromEntries(boxes(form).map((box) => [box.name, box.value])) };
  });

  function done(form) {
    typed = null;
    if (form && form.dataset.form !== "keep") boxes(form).forEach((box) => fill(box, ""));
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
    if (said && !said.textContent) tell(said, newer());
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
    const words = held ? _("Go on") : _("Hold");
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

  document.addEventListener("pointerdown", () => { kept = null; });

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
    restore();
    retype();
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
