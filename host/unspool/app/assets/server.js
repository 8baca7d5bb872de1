/* The one socket of a page. It asks the server what is new, and gets one answer to each question. So
 * a slow phone gets longer answers less often, and never falls behind.
 *
 * Every page shows the banner. Track registers itself as `unspool.track`, and then gets the points as
 * well. If the server is gone, the banner says so, and so does all that could be pressed. */
"use strict";

window.unspool = window.unspool || {};

(() => {
  const RETRY_MS = [250, 500, 1000, 2000, 4000];
  // The server answers at least every second; four times that is silence.
  const SILENCE_MS = 4000;
  const GONE = {
    tone: "alarm",
    headline: _("No connection to unspool"),
    advice: _("This page tries again. What it shows may be old, and nothing can be changed."),
  };
  const REASON = _("Not done: this page has lost its connection to unspool.");
  const PRESSED = "button, a[href], input, select, textarea";
  const LOCAL = "[data-save], [data-copy], [data-local], .skip"; // these need no server

  let socket = null;
  let tries = 0;
  let silence = 0;
  let known = {}; // what the page has already, if Track is not open
  let shown = null; // the last banner of the server

  function connect() {
    const scheme = location.protocol === "https:" ? "wss" : "ws";
    socket = new WebSocket(`${scheme}://${location.host}/live/points`);
    socket.onopen = () => ask();
    socket.onmessage = (message) => take(JSON.parse(message.data));
    socket.onclose = lose;
    watch();
  }

  function watch() {
    clearTimeout(silence);
    // A hidden page asks rarely, so its silence says nothing.
    silence = setTimeout(() => (document.hidden ? watch() : giveUp()), SILENCE_MS);
  }

  /* A socket says that it is closed only after it has waited for the other side in vain. */
  function giveUp() {
    socket.onopen = socket.onmessage = socket.onclose = null;
    socket.close();
    lose();
  }

  function ask() {
    if (!socket || socket.readyState !== WebSocket.OPEN) return;
    const track = unspool.track;
    socket.send(JSON.stringify(track ? track.cursor() : { ...known, brief: true }));
  }

  function take(news) {
    tries = 0;
    if (document.documentElement.dataset.server) unlock();
    watch();
    if (news.state) write((shown = news.state.banner));
    const drawn = new Promise((done) => done(news.session ? use(news) : null));
    drawn.then(askSoon, (error) => {
      console.error(error);
      if (unspool.track) unspool.track.forget(); // ask for everything again, for a new picture
      setTimeout(ask, 1000);
    });
  }

  function use(news) {
    known = { session: news.session, version: news.version };
    // The answer to a question from before Track was opened is the banner's alone.
    const whole = news.run !== undefined || news.state.boards !== undefined;
    return unspool.track && whole ? unspool.track.show(news) : null;
  }

  function askSoon() {
    // Browsers give a hidden page no frames.
    if (document.hidden) setTimeout(ask, 500);
    else requestAnimationFrame(ask);
  }

  function lose() {
    clearTimeout(silence);
    // What was pressed and refused since then stays said.
    if (!document.documentElement.dataset.server) write(GONE);
    lock();
    setTimeout(connect, RETRY_MS[Math.min(tries++, RETRY_MS.length - 1)]);
  }

  function write({ tone, headline, advice }) {
    const banner = document.getElementById("banner");
    if (!banner) return;
    banner.dataset.tone = tone;
    for (const [name, text] of Object.entries({ headline, advice })) {
      const place = banner.querySelector(`[data-banner="${name}"]`);
      // A screen reader would say the same text again.
      if (place.textContent !== text) place.textContent = text;
    }
  }

  function lock() {
    document.documentElement.dataset.server = "gone";
    for (const one of document.querySelectorAll(`main :is(${PRESSED}), #places a`)) {
      if (one.matches(LOCAL)) continue;
      one.setAttribute("aria-disabled", "true");
      one.setAttribute("title", REASON);
    }
  }

  function unlock() {
    delete document.documentElement.dataset.server;
    known = {};
    for (const one of document.querySelectorAll(`[title="${REASON}"]`)) {
      one.removeAttribute("aria-disabled");
      one.removeAttribute("title");
    }
    document.dispatchEvent(new Event("unspool:back"));
  }

  function refuse(event) {
    if (!document.documentElement.dataset.server) return;
    const pressed = event.target.closest?.(`main :is(${PRESSED}), #places a`);
    if (!pressed || pressed.matches(LOCAL)) return;
    if (event.type === "keydown" && !["Enter", " "].includes(event.key)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    write({ ...GONE, advice: [REASON, _("It tries again.")].join(" ") });
  }

  for (const kind of ["click", "submit", "keydown"]) document.addEventListener(kind, refuse, true);
  // A text that Dash puts into the page again is written over with the last one that is known.
  document.addEventListener("unspool:arrived", () => {
    if (document.documentElement.dataset.server) {
      write(GONE);
      lock();
    } else if (shown) write(shown);
  });
  unspool.ask = ask;
  connect();
})();
