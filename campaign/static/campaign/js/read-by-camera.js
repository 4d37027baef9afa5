// The camera of a phone as a bar-code reader: what it reads is typed into the field of the form and sent, as a reader
// would. Only where the browser itself reads codes (Barcode Detection API) and lets a page have the camera, which it
// does over HTTPS and on this machine alone. No picture is kept, and none leaves the browser.
"use strict";
(async () => {
  const place = document.getElementById("camera");
  const form = document.querySelector("form[data-takes-codes]");
  if (!place || !form || !("BarcodeDetector" in window) || !navigator.mediaDevices) return;
  const LOOK_MS = 200;
  const AGAIN_MS = 2500; // the same code in front of the lens is one scan
  const wanted = ["qr_code", "code_128"];
  const known = await BarcodeDetector.getSupportedFormats();
  const formats = wanted.filter((format) => known.includes(format));
  if (!formats.length) return;
  const detector = new BarcodeDetector({ formats });
  const field = form.elements.scan;

  let stream = null;
  let timer = 0;
  let last = { code: "", at: 0 };

  const button = document.createElement("button");
  button.type = "button";
  button.className = "btn btn-secondary";
  const video = document.createElement("video");
  Object.assign(video, { muted: true, playsInline: true, hidden: true, className: "station-camera" });
  video.setAttribute("aria-label", "What the camera sees");
  const said = document.createElement("p");
  said.setAttribute("role", "status");
  const actions = document.createElement("p");
  actions.className = "actions";
  actions.append(button);
  place.replaceChildren(actions, said, video);

  function show() {
    button.textContent = stream ? "Put the camera away" : "Read codes with the camera";
    button.setAttribute("aria-pressed", String(Boolean(stream)));
    video.hidden = !stream;
  }

  function stop() {
    window.clearTimeout(timer);
    if (stream) for (const track of stream.getTracks()) track.stop();
    stream = video.srcObject = null;
    show();
  }

  async function start() {
    said.textContent = "";
    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" }, audio: false });
      video.srcObject = stream;
      await video.play();
    } catch (fault) {
      stop();
      said.textContent = fault.name === "NotAllowedError"
        ? "The browser does not let this page have the camera. Allow it in the browser’s settings for this site, or type the number."
        : "No camera could be opened. Type the number instead.";
      return;
    }
    show();
    look();
  }

  async function look() {
    if (!stream) return;
    try {
      const [seen] = video.readyState >= HTMLMediaElement.HAVE_CURRENT_DATA ? await detector.detect(video) : [];
      if (seen && stream) take(seen.rawValue);
    } catch { /* one picture that could not be read; the next one follows */ }
    timer = window.setTimeout(look, LOOK_MS);
  }

  function take(code) {
    const now = Date.now();
    const isTheSame = code === last.code && now - last.at < AGAIN_MS;
    last = { code, at: now };
    if (isTheSame) return;
    field.value = code;
    form.requestSubmit();
  }

  button.addEventListener("click", () => (stream ? stop() : start()));
  document.addEventListener("visibilitychange", () => { if (document.hidden) stop(); });
  window.addEventListener("pagehide", stop);
  show();
})();
