/* Drawings of Track in SVG: the drum that fills, the lane, and the pulses of the sensors. Colours and
 * strokes are in drawing.css; every figure here is also on the page as text. */
"use strict";

window.unspool = window.unspool || {};

(() => {
  const SVG = "http://www.w3.org/2000/svg";

  function make(name, attributes, text) {
    const element = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    if (text !== undefined) element.textContent = text;
    return element;
  }

  function picture(place, width, height, parts) {
    const svg = make("svg", { viewBox: `0 0 ${width} ${height}`, preserveAspectRatio: "xMidYMid" });
    svg.append(...parts);
    place.replaceChildren(svg);
  }

  /* The drum from the side, its tiers in the order of winding, each with as much string as is wound
   * of what is planned. Beside it is the weight, which rises with the string. */
  unspool.drawWinding = (place, tiers) => {
    if (!place || !tiers.length) return;
    const WIDTH = 360, HEIGHT = 150, AXLE = 64, DRUM = 250;
    const most = Math.max(...tiers.map((tier) => tier.radius_mm));
    const wide = DRUM / tiers.length;
    const parts = [make("line", { x1: 4, x2: DRUM + 16, y1: AXLE, y2: AXLE, class: "axle" })];
    tiers.forEach((tier, i) => {
      const high = Math.max(16, (58 * tier.radius_mm) / most);
      const x = 10 + i * wide;
      const share = tier.planned > 0 ? tier.wound / tier.planned : 0;
      const full = Math.min(share, 1) * (wide - 8);
      const box = { x, y: AXLE - high, width: wide - 8, height: 2 * high, rx: 3 };
      parts.push(make("rect", { ...box, class: tier.now ? "tier now" : "tier" }));
      for (let at = 3; at < full; at += 5) {
        const line = { x1: x + at, x2: x + at, y1: AXLE - high - 2, y2: AXLE + high + 2 };
        parts.push(make("line", { ...line, class: share > 1.02 ? "string over" : "string" }));
      }
      const middle = x + (wide - 8) / 2;
      parts.push(make("text", { x: middle, y: HEIGHT - 1, class: "name" }, tier.name));
    });
    const planned = tiers.reduce((sum, tier) => sum + tier.planned * tier.radius_mm, 0);
    const wound = tiers.reduce((sum, tier) => sum + tier.wound * tier.radius_mm, 0);
    const lift = 88 * Math.min(planned > 0 ? wound / planned : 0, 1);
    parts.push(make("line", { x1: 310, x2: 310, y1: 6, y2: 108 - lift, class: "line" }));
    parts.push(make("rect", { x: 292, y: 108 - lift, width: 36, height: 28, rx: 3, class: "weight" }));
    parts.push(make("line", { x1: 280, x2: 340, y1: 140, y2: 140, class: "axle" }));
    picture(place, WIDTH, HEIGHT, parts);
  };

  /* The lane from above: a mark at each metre, a longer one at every fifth, the car, the events that
   * are expected, and the band in which it should stop. */
  unspool.drawLane = (place, lane) => {
    if (!place || !lane) return;
    const WIDTH = Math.max(300, Math.round(place.clientWidth) || 300), HEIGHT = 92, FLOOR = 52;
    const LEFT = 14, RIGHT = WIDTH - 18;
    const at = (metres) => LEFT + ((RIGHT - LEFT) * metres) / lane.reach;
    const parts = [make("line", { x1: LEFT, x2: RIGHT, y1: FLOOR, y2: FLOOR, class: "axle" })];
    const step = (RIGHT - LEFT) / lane.reach < 4 ? 5 : 1;
    const numbered = (RIGHT - LEFT) / lane.reach < 9 ? 10 : 5;
    for (let metre = 0; metre <= lane.reach; metre += step) {
      const long = metre % 5 === 0;
      const mark = { x1: at(metre), x2: at(metre), y1: FLOOR, y2: FLOOR + (long ? 16 : 8) };
      parts.push(make("line", { ...mark, class: long ? "mark long" : "mark" }));
      if (metre % numbered) continue;
      const word = metre + numbered > lane.reach ? `${metre} ${lane.unit}` : `${metre}`;
      parts.push(make("text", { x: at(metre), y: HEIGHT - 6, class: "name" }, word));
    }
    if (lane.stop) {
      const [low, high] = lane.stop.map(at);
      const wide = Math.max(high - low, 4);
      const x = Math.min(low, RIGHT - wide);
      parts.push(make("rect", { x, y: FLOOR - 26, width: wide, height: 24, class: "band" }));
    }
    for (const event of lane.events) {
      const x = at(event.at);
      const points = `${x - 7},${FLOOR - 20} ${x + 7},${FLOOR - 20} ${x},${FLOOR - 6}`;
      parts.push(make("polygon", { points, class: event.at > lane.at ? "event" : "event past" }));
    }
    const x = at(Math.max(0, Math.min(lane.at, lane.reach)));
    parts.push(make("line", { x1: LEFT, x2: x, y1: FLOOR, y2: FLOOR, class: "rolled" }));
    parts.push(make("circle", { cx: x, cy: FLOOR - 11, r: 11, class: "car" }));
    picture(place, WIDTH, HEIGHT, parts);
  };

  /* What both sensors showed in the last seconds: [time_s, a, b]. */
  unspool.drawPulses = (place, samples) => {
    const WIDTH = 360, HEIGHT = 130, SHOWN_S = 4, LEFT = 24;
    if (!place || !samples.length) return;
    const end = samples[samples.length - 1][0];
    const shown = samples.filter(([time]) => time >= end - SHOWN_S);
    const parts = [];
    ["A", "B"].forEach((name, i) => {
      const low = 56 + 64 * i;
      const x = (time) => LEFT + ((WIDTH - LEFT - 4) * (time - end + SHOWN_S)) / SHOWN_S;
      let path = "";
      shown.forEach((sample, k) => {
        const y = low - 44 * sample[i + 1];
        path += k ? ` H${x(sample[0]).toFixed(1)} V${y}` : `M${x(sample[0]).toFixed(1)} ${y}`;
      });
      parts.push(make("text", { x: 10, y: low - 16, class: "name" }, name));
      parts.push(make("path", { d: path, class: `pulse ${name.toLowerCase()}` }));
    });
    picture(place, WIDTH, HEIGHT, parts);
  };
})();
