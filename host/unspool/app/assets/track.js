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
      this.full = {}; // which tiers are wound as far as planned
      this.listen();
    }

    cursor() {
      const { recorded } = this.root.dataset;
      return { ...this.known, have: this.x.length, board: recorded || "" };
    }

    forget() {
      this.known = {};
    }

    listen() {
      for (const button of this.root.querySelectorAll("[data-mark]")) {
        button.onclick = () => this.mark(button.dataset.mark);
      }
      unspool.labelSound();
      if (!this.root.querySelector("[data-mark]")) return;
      this.key = (event) => {
        const typing = event.target.closest("input, textarea, select, [contenteditable]");
        const plain = !event.ctrlKey && !event.metaKey && !event.altKey && !event.repeat;
        if (event.key === "n" && plain && !typing) this.mark("next");
      };
      document.addEventListener("keydown", this.key);
    }

    async mark(which) {
      try {
        const body = JSON.stringify({ recorded: this.root.dataset.recorded });
        const answer = await fetch(`/track/${which}-tier`, { method: "POST", body });
        if (answer.ok) unspool.sound(which === "next" ? "mark" : "back");
        this.write("marked", await answer.text());
      } catch {
        this.write("marked", _("Not marked: this page has lost its connection to unspool."));
      }
    }

    close() {
      document.removeEventListener("keydown", this.key);
      if (window.Plotly && this.plot) Plotly.purge(this.plot);
    }

    async show(news) {
      const { session, version, figure_version, run } = news;
      if (session !== this.root.dataset.session) return this.reopen(session);
      this.known = { session, version, figure_version, run };
      const boards = this.root.querySelector("[data-boards]");
      if (boards) unspool.drawBoards(boards, news.state.boards);
      if (!this.plot) return;
      this.showTexts(news.state);
      await unspool.plotly();
      await this.draw(news);
    }

    /* Another recording, or none, or another server: the page is made for that. */
    reopen(session) {
      this.known = { session: "" };
      // A page that was reopened for this session, and came as before, must not reopen for ever.
      if (sessionStorage.getItem("reopened") === session) {
        setTimeout(() => unspool.ask(), 3000);
        return new Promise(() => {});
      }
      sessionStorage.setItem("reopened", session);
      location.reload();
      return new Promise(() => {});
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
      for (const name of ["answer", "ahead", "stop", "link", "battery", "lost", "trouble", "at", "beside",
        "by_itself"]) {
        this.write(name, state[name]);
      }
      this.showAdvised(state.advised);
      state.dials.forEach((dial, place) => {
        for (const [part, text] of Object.entries(dial)) this.write(`${part}-${place}`, text);
      });
      state.tiers.forEach((tier, place) => {
        this.write(`tier-${place}`, tier.turns);
        this.root.querySelector(`[data-tier="${place}"]`).dataset.now = tier.now;
        const full = tier.planned > 0 && tier.wound >= tier.planned - 0.001;
        if (full && this.full[place] === false) unspool.sound("full");
        this.full[place] = full;
      });
      unspool.drawWinding(this.root.querySelector('[data-draw="winding"]'), state.tiers);
      unspool.drawLane(this.root.querySelector('[data-draw="lane"]'), state.lane);
      const reading = this.place("run");
      if (state.run) reading.setAttribute("href", state.run);
      else reading.removeAttribute("href");
    }

    showAdvised({ text, car, floor }) {
      this.write("advised", text);
      const take = this.root.querySelector("[data-advised] button");
      if (take.dataset.car === car && take.dataset.floor === floor) return;
      Object.assign(take.dataset, { car, floor });
      take.hidden = !car;
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
