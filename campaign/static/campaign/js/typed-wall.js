// Draws a wall while it is typed. Without this file the button "Draw it" does the same; nothing else depends on it.
"use strict";
(() => {
  const form = document.querySelector("form[data-drawn-by]");
  const place = form && document.getElementById(form.dataset.drawnIn);
  if (!place) return;
  const WAIT_MS = 300; // after the last key, so that a number is typed to its end
  let timer = 0;
  let running = null;

  async function draw() {
    if (running) running.abort();
    const mine = (running = new AbortController());
    try {
      const answer = await fetch(form.dataset.drawnBy, { method: "POST", body: new FormData(form), signal: mine.signal });
      // A sign-in page in place of the drawing means that the session has ended: leave what is there.
      if (answer.ok && !answer.redirected) place.innerHTML = await answer.text();
    } catch {
      // Overtaken by a newer one, or no network: the last drawing stays.
    }
  }

  form.addEventListener("input", () => {
    window.clearTimeout(timer);
    timer = window.setTimeout(draw, WAIT_MS);
  });
})();
