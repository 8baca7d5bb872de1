/* Track: writes what the server says into the places marked data-live, always as text and never as
 * markup, and adds the points to the picture. */
"use strict";

(() => {
  const MEASURED = 1; // the trace that waits for points

  class Track {
    constructor(root) {
      this.root = root;
      this.plot = root.querySelector("[data-plot]");
      this.x = [];
      this.v = [];
      this.known = {};
      this.listen();
    }

    cursor() {
      return { ...this.known, have: this.x.length };
    }

    forget() {
      this.known = {};
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

    close() {
      document.removeEventListener("keydown", this.key);
      if (window.Plotly && this.plot) Plotly.purge(this.plot);
    }

    async show(news) {
      const { session, version, figure_version, run } = news;
      this.known = { session, version, figure_version, run };
      this.showTexts(news.state);
      if (!this.plot) return;
      await unspool.plotly();
      await this.draw(news);
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
      for (const name of ["answer", "link", "battery", "lost", "trouble"]) {
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
  let track = null;
  setInterval(() => {
    const root = document.getElementById("track");
    if (track && track.root !== root) {
      track.close();
      track = unspool.track = null;
    }
    if (!track && root) {
      track = unspool.track = new Track(root);
      unspool.ask();
    }
  }, 100);
})();
