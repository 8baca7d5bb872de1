/* Lays a video beside the run. Its launch is marked once and kept in this browser. Then the video
 * moves a line over the picture, and a press on the picture seeks in the video. No file is sent. */
"use strict";

window.unspool = window.unspool || {};

(() => {
  const KEPT = "unspool:launch:";

  function make(kind, text = "", props = {}) {
    return Object.assign(document.createElement(kind), { textContent: text }, props);
  }

  /* Distance and speed t seconds after the launch, between two points of the trace. */
  function at(trace, t) {
    const next = trace.t.findIndex((one) => one >= t);
    if (next === 0) return { x: trace.x[0], v: t < 0 ? 0 : trace.v[0] };
    const last = trace.t.length - 1;
    if (next < 0) return { x: trace.x[last], v: 0 };
    const share = (t - trace.t[next - 1]) / (trace.t[next] - trace.t[next - 1] || 1);
    const mix = (row) => row[next - 1] + share * (row[next] - row[next - 1]);
    return { x: mix(trace.x), v: mix(trace.v) };
  }

  class Beside {
    constructor(root, file) {
      this.root = root;
      this.trace = JSON.parse(root.dataset.trace);
      this.place = root.querySelector("[data-media-shown]");
      this.key = `${KEPT}${root.dataset.media}:${file.name}:${file.size}`;
      this.launch = this.kept();
      this.show(file);
    }

    kept() {
      try {
        const found = Number.parseFloat(localStorage.getItem(this.key));
        return Number.isFinite(found) ? found : null;
      } catch {
        return null; // a browser that keeps nothing; the launch is then marked again
      }
    }

    show(file) {
      this.video = make("video", "", { src: URL.createObjectURL(file), controls: true,
        playsInline: true, muted: true });
      this.now = make("p", _("Go to the moment of the launch in the video, then mark it."),
        { className: "now" });
      this.mark = make("button", _("Mark the launch here"), { type: "button" });
      this.still = make("button", _("Save this picture (PNG)"), { type: "button",
        className: "second" });
      const buttons = make("div", "", { className: "buttons" });
      buttons.append(this.mark, this.still);
      for (const one of [this.mark, this.still]) one.dataset.local = "";
      this.place.replaceChildren(this.video, this.now, buttons);
      this.mark.onclick = () => this.marked();
      this.still.onclick = () => unspool.saveStill(this);
      for (const kind of ["timeupdate", "seeked", "loadeddata"]) {
        this.video.addEventListener(kind, () => this.follow());
      }
      this.video.onplay = () => this.tick();
      this.video.onerror = () => {
        this.now.textContent = _("This browser cannot play that file. Try it as MP4 or WebM.");
      };
      this.lay();
    }

    marked() {
      this.launch = this.video.currentTime;
      try {
        localStorage.setItem(this.key, String(this.launch));
      } catch { /* it holds until the page is closed */ }
      this.follow();
    }

    tick() {
      this.follow();
      if (!this.video.paused && this.video.isConnected) requestAnimationFrame(() => this.tick());
    }

    figures() {
      const t = this.video.currentTime - this.launch;
      return { t, ...at(this.trace, t) };
    }

    text() {
      const { t, x, v } = this.figures();
      const [far, fast] = this.trace.units;
      return _("{time} after the launch: {place}, {speed}", {
        time: unspool.localised(`${t.toFixed(2)} s`),
        place: unspool.localised(`${x.toFixed(2)} ${far}`),
        speed: unspool.localised(`${v.toFixed(2)} ${fast}`),
      });
    }

    follow() {
      if (this.launch === null || !this.trace.t.length) return;
      this.mark.textContent = _("Mark the launch again");
      this.now.textContent = this.text();
      this.line();
    }

    line() {
      const axis = this.plot?._fullLayout?.xaxis;
      const figure = this.plot?.closest("figure");
      if (!axis || !figure) return;
      let line = figure.querySelector(".moment");
      if (!line) figure.append(line = make("div", "", { className: "moment" }));
      const from = this.plot.getBoundingClientRect();
      const to = figure.getBoundingClientRect();
      const { yaxis } = this.plot._fullLayout;
      line.style.left = `${from.left - to.left + axis._offset + axis.d2p(this.figures().x)}px`;
      line.style.top = `${from.top - to.top + yaxis._offset}px`;
      line.style.height = `${yaxis._length}px`;
    }

    seekTo(event) {
      const axis = this.plot._fullLayout?.xaxis;
      if (this.launch === null || !axis) return;
      const x = axis.p2d(event.clientX - this.plot.getBoundingClientRect().left - axis._offset);
      const first = this.trace.x.findIndex((one) => one >= x);
      const t = this.trace.t[first < 0 ? this.trace.t.length - 1 : first];
      this.video.currentTime = Math.max(0, this.launch + t);
    }

    /* The page was made again around the video. */
    moveTo(root) {
      root.querySelector("[data-media-shown]").replaceChildren(...this.place.childNodes);
      Object.assign(this, { root, place: root.querySelector("[data-media-shown]"),
        trace: JSON.parse(root.dataset.trace) });
      root.beside = this;
      this.lay();
      this.follow();
    }

    lay() {
      this.plot = document.querySelector("#picture-speed .js-plotly-plot");
      this.plot?.addEventListener("click", this.seek = (event) => this.seekTo(event));
    }

    close() {
      this.plot?.removeEventListener("click", this.seek);
      this.plot?.closest("figure")?.querySelector(".moment")?.remove();
      URL.revokeObjectURL(this.video.src);
    }
  }

  let last = null;

  function photos(root, files) {
    root.querySelector("[data-media-shown]").replaceChildren(...files.map((file) => {
      const src = URL.createObjectURL(file);
      return make("img", "", { src, alt: file.name, onload: () => URL.revokeObjectURL(src) });
    }));
  }

  function take(root, files) {
    const said = root.querySelector("[data-media-said]");
    said.textContent = "";
    const video = files.find((file) => file.type.startsWith("video/"));
    const pictures = files.filter((file) => file.type.startsWith("image/"));
    if (!video && !pictures.length) {
      said.textContent = files.length ? _("That is no video and no photo.") : "";
      return;
    }
    root.beside?.close();
    root.beside = null;
    if (video) last = root.beside = new Beside(root, video);
    else photos(root, pictures);
  }

  document.addEventListener("unspool:again", () => {
    const root = document.querySelector("[data-media]");
    if (root && last && root.dataset.media === last.root.dataset.media) last.moveTo(root);
  });

  document.addEventListener("click", (event) => {
    const root = event.target.closest("[data-media-choose]")?.closest("[data-media]");
    if (!root) return;
    const box = make("input", "", { type: "file", accept: "video/*,image/*", multiple: true });
    box.onchange = () => take(root, [...box.files]);
    box.click();
  });
})();
