/* The live page's script. It asks the server what is new since its cursor. It writes the answer into
 * the places marked data-live, always as text and never as markup, and adds the points to the
 * picture. Only one question and one draw are under way at a time. So a slow phone gets longer
 * answers less often, and never falls behind. */
"use strict";

(() => {
  const RETRY_MS = [250, 500, 1000, 2000, 4000];
  // The server answers at least every 2 s; three times that is silence.
  const SILENCE_MS = 6000;
  const MEASURED = 1; // the trace that waits for points

  class LivePage {
    constructor(root) {
      this.root = root;
      this.plot = root.querySelector("[data-plot]");
      this.x = [];
      this.v = [];
      this.cursor = {};
      this.tries = 0;
      this.listen();
      this.connect();
    }

    listen() {
      const button = this.root.querySelector("[data-mark]");
      if (!button) return;
      button.onclick = () => this.mark();
      this.key = (event) => {
        const typing = event.target.closest("input, textarea, select, [contenteditable]");
        const plain = !event.ctrlKey && !event.metaKey && !event.altKey && !event.repeat;
        if (event.key === "n" && plain && !typing) this.mark();
      };
      document.addEventListener("keydown", this.key);
    }

    async mark() {
      try {
        const answer = await fetch("/live/next-tier", { method: "POST" });
        this.write("marked", await answer.text());
      } catch {
        this.write("marked", "Not marked: this page has lost its connection to unspool.");
      }
    }

    connect() {
      const scheme = location.protocol === "https:" ? "wss" : "ws";
      this.socket = new WebSocket(`${scheme}://${location.host}/live/points`);
      this.socket.onopen = () => this.ask();
      this.socket.onmessage = (message) => this.take(JSON.parse(message.data));
      this.socket.onclose = () => this.lose();
      this.watch();
    }

    lose() {
      clearTimeout(this.silence);
      if (this.closed) return;
      this.write("page", "This page has lost its connection to unspool. It tries again.");
      const wait = RETRY_MS[Math.min(this.tries++, RETRY_MS.length - 1)];
      this.retry = setTimeout(() => this.connect(), wait);
    }

    close() {
      this.closed = true;
      document.removeEventListener("keydown", this.key);
      clearTimeout(this.silence);
      clearTimeout(this.retry);
      this.socket.close();
      Plotly.purge(this.plot);
    }

    watch() {
      clearTimeout(this.silence);
      // A hidden page asks rarely, so its silence says nothing.
      this.silence = setTimeout(
        () => (document.hidden ? this.watch() : this.socket.close()), SILENCE_MS);
    }

    ask() {
      if (this.socket.readyState === WebSocket.OPEN) {
        this.socket.send(JSON.stringify({ ...this.cursor, have: this.x.length }));
      }
    }

    take(news) {
      this.tries = 0;
      this.write("page", "");
      this.watch();
      const drawn = new Promise((done) => done(news.session ? this.show(news) : null));
      drawn.then(() => this.askSoon(), (error) => {
        console.error(error);
        this.cursor = {}; // ask for everything again, for a new picture
        setTimeout(() => this.ask(), 1000);
      });
    }

    askSoon() {
      // Browsers give a hidden page no frames.
      if (document.hidden) setTimeout(() => this.ask(), 500);
      else requestAnimationFrame(() => this.ask());
    }

    show(news) {
      const { session, version, figure_version, run } = news;
      this.cursor = { session, version, figure_version, run };
      this.showTexts(news.state);
      return this.draw(news);
    }

    draw(news) {
      const fresh = news.from === 0;
      this.x = fresh ? news.x : this.x.concat(news.x);
      this.v = fresh ? news.v : this.v.concat(news.v);
      if (news.figure) {
        const { data, layout } = news.figure;
        Object.assign(data[MEASURED], { x: this.x.slice(), y: this.v.slice() });
        // Draws the whole picture if there is none yet.
        return Plotly.react(this.plot, data, layout, { displayModeBar: false, responsive: true });
      }
      if (fresh) return Plotly.restyle(this.plot, { x: [news.x], y: [news.v] }, [MEASURED]);
      if (!news.x.length) return Promise.resolve();
      return Plotly.extendTraces(this.plot, { x: [news.x], y: [news.v] }, [MEASURED]);
    }

    showTexts(state) {
      if (this.root.dataset.phase !== state.phase) this.write("marked", "");
      this.root.dataset.phase = state.phase;
      this.root.dataset.alarm = state.alarm;
      for (const name of ["headline", "advice", "link", "battery", "lost", "trouble"]) {
        this.write(name, state[name]);
      }
      state.dials.forEach((dial, place) => {
        for (const [part, text] of Object.entries(dial)) this.write(`${part}-${place}`, text);
      });
      state.tiers.forEach((tier, place) => {
        this.write(`tier-${place}`, tier.turns);
        this.root.querySelector(`[data-tier="${place}"]`).dataset.now = tier.now;
      });
      const reading = this.place("run");
      if (state.run) reading.setAttribute("href", state.run);
      else reading.removeAttribute("href");
    }

    place(name) {
      return this.root.querySelector(`[data-live="${name}"]`);
    }

    write(name, text) {
      const place = this.place(name);
      // A screen reader would say the same text again.
      if (place && place.textContent !== text) place.textContent = text;
    }
  }

  // Dash puts pages in and takes them out as it likes; we look whether ours is there.
  let page = null;
  setInterval(() => {
    const root = document.getElementById("live");
    if (page && page.root !== root) {
      page.close();
      page = null;
    }
    if (!page && root && window.Plotly) page = new LivePage(root);
  }, 100);
})();
