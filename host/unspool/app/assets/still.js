/* Saves the picture that a video shows as PNG. Under it stand the attempt's name, the moment, the
 * three figures, and the trace with a mark at the moment. */
"use strict";

window.unspool = window.unspool || {};

(() => {
  const LEAST = 720; // pixels wide: letters must be read beside a small video, too
  const TRACE_HIGH = 0.3; // of the width

  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`);

  class Sheet {
    constructor({ video, root }) {
      this.wide = Math.max(video.videoWidth, LEAST);
      this.size = this.wide / 36;
      this.video = video;
      this.name = root.dataset.mediaName;
      this.figures = JSON.parse(root.dataset.figures);
      this.filmHigh = Math.round(this.wide * video.videoHeight / video.videoWidth);
      const high = this.filmHigh + this.size * 10 + this.wide * TRACE_HIGH;
      this.canvas = Object.assign(document.createElement("canvas"), {
        width: this.wide, height: Math.round(high),
      });
      this.pen = this.canvas.getContext("2d");
    }

    text(words, x, y, { bold = false, scale = 1, ink = "ink", align = "left", room = 0 } = {}) {
      this.pen.fillStyle = colour(ink);
      this.pen.textAlign = align;
      this.pen.font = `${bold ? 700 : 400} ${this.size * scale}px system-ui, sans-serif`;
      this.pen.fillText(words, x, y, room || this.wide - 2 * this.size);
    }

    film() {
      this.pen.fillStyle = colour("paper");
      this.pen.fillRect(0, 0, this.wide, this.canvas.height);
      this.pen.drawImage(this.video, 0, 0, this.wide, this.filmHigh);
    }

    words(moment) {
      const top = this.filmHigh + this.size * 1.6;
      this.text(this.name, this.size, top, { bold: true });
      this.text(moment, this.size, top + this.size * 1.5);
      const step = (this.wide - 2 * this.size) / this.figures.length;
      this.figures.forEach(([label, value, expected], n) => {
        const x = this.size + n * step;
        const room = step - this.size;
        this.text(label, x, top + this.size * 3.2, { scale: 0.8, ink: "quiet", room });
        this.text(value, x, top + this.size * 4.9, { bold: true, scale: 1.5, room });
        this.text(expected, x, top + this.size * 6, { scale: 0.8, ink: "quiet", room });
      });
    }

    /* now: {x, v} of the moment, null if no launch was marked. */
    trace(trace, now) {
      const box = { left: this.size * 3, right: this.wide - this.size,
        top: this.filmHigh + this.size * 9.6, foot: this.canvas.height - this.size * 2.2 };
      const far = Math.max(...trace.x, 0.1);
      const fast = Math.max(...trace.v, 0.1);
      const at = (x, v) => [box.left + (x / far) * (box.right - box.left),
        box.foot - (Math.max(v, 0) / fast) * (box.foot - box.top)];
      this.axes(box, far, fast, trace.units);
      this.pen.strokeStyle = colour("measured");
      this.pen.lineWidth = this.size / 7;
      this.pen.beginPath();
      trace.x.forEach((x, n) => this.pen.lineTo(...at(x, trace.v[n])));
      this.pen.stroke();
      if (now) this.mark(...at(now.x, now.v), box);
    }

    /* units: of distance and speed. */
    axes(box, far, fast, units) {
      this.pen.strokeStyle = colour("edge");
      this.pen.lineWidth = this.size / 14;
      this.pen.beginPath();
      this.pen.moveTo(box.left, box.top);
      this.pen.lineTo(box.left, box.foot);
      this.pen.lineTo(box.right, box.foot);
      this.pen.stroke();
      const small = { scale: 0.8, ink: "quiet" };
      const below = box.foot + this.size * 1.2;
      this.text("0", box.left, below, { ...small, align: "center" });
      this.text(unspool.localised(`${far.toFixed(1)} ${units[0]}`), box.right, below, { ...small, align: "right" });
      const beside = box.left - this.size * 0.4;
      this.text(unspool.localised(fast.toFixed(1)), beside, box.top + this.size * 0.6, { ...small, align: "right" });
      this.text(_("speed in {unit} over the distance", { unit: units[1] }), box.left + this.size * 0.6,
        box.top - this.size * 0.3, small);
    }

    mark(x, y, box) {
      this.pen.strokeStyle = colour("found");
      this.pen.fillStyle = colour("found");
      this.pen.setLineDash([this.size / 2, this.size / 3]);
      this.pen.beginPath();
      this.pen.moveTo(x, box.top);
      this.pen.lineTo(x, box.foot);
      this.pen.stroke();
      this.pen.setLineDash([]);
      this.pen.beginPath();
      this.pen.arc(x, y, this.size / 2.5, 0, 2 * Math.PI);
      this.pen.fill();
    }

    save() {
      this.canvas.toBlob((blob) => {
        const link = document.createElement("a");
        link.href = URL.createObjectURL(blob);
        link.download = `${this.name.replace(/[^\w-]+/g, "-")}-still.png`;
        link.click();
        setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
      }, "image/png");
    }
  }

  unspool.saveStill = (beside) => {
    if (!beside.video.videoWidth) return;
    const sheet = new Sheet(beside);
    const marked = beside.launch !== null;
    sheet.film();
    sheet.words(marked ? beside.text() : "");
    if (beside.trace.t.length) sheet.trace(beside.trace, marked ? beside.figures() : null);
    sheet.save();
  };
})();
