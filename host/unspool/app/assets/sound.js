/* A tone when a tier is full, and when a mark is made or taken back. It can be muted, and this browser
 * remembers that. Browsers allow sound only after something was pressed on the page. */
"use strict";

window.unspool = window.unspool || {};

(() => {
  const KEPT = "unspool-muted";
  const TONES = { full: [880, 1175], mark: [660], back: [440, 330] }; // hertz, one after the other
  let context = null;

  function isMuted() {
    try {
      return localStorage.getItem(KEPT) === "yes";
    } catch {
      return false;
    }
  }

  function wake() {
    context ??= new (window.AudioContext || window.webkitAudioContext)();
    if (context.state === "suspended") context.resume();
  }

  function label() {
    const button = document.querySelector("[data-sound]");
    if (!button) return;
    const text = isMuted() ? _("Sound off") : _("Sound on");
    if (button.textContent !== text) button.textContent = text;
    button.setAttribute("aria-pressed", String(!isMuted()));
  }

  unspool.sound = (name) => {
    if (isMuted() || !context || context.state !== "running") return;
    TONES[name].forEach((hertz, i) => {
      const [tone, volume] = [context.createOscillator(), context.createGain()];
      const begin = context.currentTime + 0.16 * i;
      tone.frequency.value = hertz;
      volume.gain.setValueAtTime(0.25, begin);
      volume.gain.exponentialRampToValueAtTime(0.001, begin + 0.15);
      tone.connect(volume).connect(context.destination);
      tone.start(begin);
      tone.stop(begin + 0.16);
    });
  };

  document.addEventListener("pointerdown", wake);
  document.addEventListener("keydown", wake);
  document.addEventListener("click", (event) => {
    if (!event.target.closest("[data-sound]")) return;
    try {
      localStorage.setItem(KEPT, isMuted() ? "no" : "yes");
    } catch {
      return;
    }
    label();
    unspool.sound("mark");
  });
  unspool.labelSound = label;
})();
