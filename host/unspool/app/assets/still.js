/* Saves the picture that a video shows, with the run's figures under it, as PNG. */
"use strict";

window.unspool = window.unspool || {};

unspool.saveStill = (beside) => {
  const { video, root } = beside;
  const wide = video.videoWidth;
  if (!wide) return;
  const size = Math.max(14, Math.round(wide / 36));
  const strip = Math.round(size * 3.6);
  const canvas = Object.assign(document.createElement("canvas"), {
    width: wide, height: video.videoHeight + strip,
  });
  const pen = canvas.getContext("2d");
  const style = getComputedStyle(document.documentElement);
  pen.fillStyle = style.getPropertyValue("--paper");
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(video, 0, 0);
  pen.fillStyle = style.getPropertyValue("--ink");
  const lines = [root.dataset.mediaName, beside.launch === null ? "" : beside.text()];
  lines.forEach((text, n) => {
    pen.font = `${n ? 400 : 700} ${size}px system-ui, sans-serif`;
    pen.fillText(text, size, video.videoHeight + size * 1.5 * (n + 1), wide - 2 * size);
  });
  canvas.toBlob((blob) => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(blob);
    link.download = `${root.dataset.mediaName.replace(/[^\w-]+/g, "-")}-still.png`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  }, "image/png");
};
