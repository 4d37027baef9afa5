// The packing station without waiting for the network: scans are checked here, packed parcels are sent when they can
// be, each under its own key, so that the same one sent twice is one act. Without this file the form does the same,
// one page a scan. Wrong copies are told by the spellings that the site gives (queries/packing_station.py: take_scan).
"use strict";
(() => {
  const station = document.getElementById("station");
  if (!station) return;
  const LOOK_MS = 15000; // what others have packed
  const AGAIN_MS = 2000; // after a connection that failed
  const PATIENCE_MS = 8000; // a network that swallows everything is a network that is down
  const form = station.querySelector("form.station");
  const field = form.elements.scan;
  const [asks, said, hand, line, counts] = ["asks", "said", "hand", "line", "counts"].map((name) =>
    document.getElementById(`station-${name}`));
  const PREFIX = `wallful.packing.${station.dataset.show}.`;
  const IN_HAND = `${PREFIX}in-hand`;
  const WAITING = `${PREFIX}waiting.`; // each packed parcel under a key of its own: two tabs never overwrite each other

  let contents = null; // in memory only: names stay off the disk of a borrowed computer
  let inHand = null; // {parcel, confirmed, key}
  let isOnline = true;
  let isSignedOut = false;
  let sending = false;
  let timer = 0;
  let sound = null;
  const memory = new Map(); // where the browser keeps nothing
  const refused = []; // sentences about parcels that turned out to be packed or changed

  const store = {
    get(key) { try { return window.localStorage.getItem(key) ?? memory.get(key) ?? null; } catch { return memory.get(key) ?? null; } },
    set(key, value) { memory.set(key, value); try { window.localStorage.setItem(key, value); } catch { /* kept in memory */ } },
    drop(key) { memory.delete(key); try { window.localStorage.removeItem(key); } catch { /* was in memory */ } },
    keys() {
      const found = new Set(memory.keys());
      try { for (let at = 0; at < window.localStorage.length; at += 1) found.add(window.localStorage.key(at)); } catch { /* memory */ }
      return [...found];
    },
  };
  const read = (key) => { try { return JSON.parse(store.get(key) || "null"); } catch { return null; } };
  const waiting = () => store.keys().filter((key) => key.startsWith(WAITING))
    .map((key) => ({ key, act: read(key) })).filter((one) => one.act).sort((a, b) => a.act.at - b.act.at);
  const newKey = () => {
    if (crypto.randomUUID) return crypto.randomUUID(); // only over HTTPS and on this machine
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 15) | 64;
    bytes[8] = (bytes[8] & 63) | 128;
    return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("").replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
  };
  const tidy = (text) => text.replace(/[\s\p{C}]/gu, "").toUpperCase().replace(/^.*\/COPY\/([A-Z0-9]+)\/?$/, "$1");
  const parcels = () => (contents ? contents.parcels : []);
  const byCode = (code) => parcels().find((one) => one.code === code);

  function element(name, words, className) {
    const made = document.createElement(name);
    if (words) made.textContent = words;
    if (className) made.className = className;
    return made;
  }

  function beep(isWrong) {
    try {
      sound = sound || new AudioContext();
      const tone = sound.createOscillator();
      const level = sound.createGain();
      tone.type = isWrong ? "square" : "sine";
      tone.frequency.value = isWrong ? 180 : 880;
      level.gain.value = isWrong ? 0.25 : 0.08;
      tone.connect(level).connect(sound.destination);
      tone.start();
      tone.stop(sound.currentTime + (isWrong ? 0.6 : 0.08));
    } catch { /* no sound: the words are there */ }
  }

  function say(words, isWrong = false) {
    said.replaceChildren();
    for (const sentence of refused) {
      const shown = element("p", `${sentence} `, "station-said wrong");
      const seen = element("button", "I have seen it", "btn btn-secondary");
      seen.type = "button";
      seen.addEventListener("click", () => { refused.splice(refused.indexOf(sentence), 1); shown.remove(); field.focus(); });
      shown.append(seen);
      said.append(shown);
    }
    if (words) said.append(element("p", words, isWrong ? "station-said wrong" : "station-said"));
    if (words) beep(isWrong);
  }

  function showHand() {
    hand.replaceChildren();
    const parcel = inHand && byCode(inHand.parcel);
    asks.textContent = parcel ? `Number or certificate of a copy for parcel ${parcel.number}` : "Bar code of a slip, or the parcel’s number";
    if (!parcel) return;
    const box = element("section", "", "station-hand");
    box.setAttribute("aria-label", `Parcel ${parcel.number}`);
    box.append(element("h2", `Parcel ${parcel.number}`), element("p", parcel.name, "station-who"), element("p", `${parcel.country}, ${parcel.mass}`, "station-where"));
    const list = element("ul", "", "station-copies");
    for (const copy of parcel.copies) {
      const isIn = inHand.confirmed.includes(copy.key);
      const item = element("li", "", isIn ? "in" : "");
      item.append(element("span", copy.label, "n"), ` ${copy.title} `);
      if (isIn) item.append(element("span", "in", "tag tag-firm"));
      list.append(item);
    }
    box.append(list);
    if (parcel.take_out.length) {
      const note = parcel.needs_new_note ? " Its customs note is made again: print that one anew before the parcel goes." : "";
      box.append(element("p", `Cancelled, leave out: ${parcel.take_out.join(", ")}.${note}`, "station-said wrong"));
    }
    const aside = element("button", "Set it aside", "btn btn-link");
    aside.type = "button";
    aside.addEventListener("click", () => { take(null); say(""); field.focus(); });
    const actions = element("p", "", "actions");
    const again = element("a", "Its slip or label once more", "btn btn-link");
    again.href = `${station.dataset.papers}?numbers=${parcel.number}`;
    actions.append(aside, " ", again);
    box.append(actions);
    hand.append(box);
  }

  function showLine() {
    const count = waiting().length;
    const parcelsWait = `${count} packed parcel${count === 1 ? " waits" : "s wait"} in this browser`;
    if (isSignedOut) line.textContent = `You are signed out. ${count ? `${parcelsWait}. ` : ""}Sign in and open this page again; nothing is lost.`;
    else if (!isOnline) line.textContent = `No connection to the site. ${count ? `${parcelsWait} and will be sent when it is back. ` : ""}Go on packing, and leave this page open.`;
    else line.textContent = count ? `Sending ${count} packed parcel${count === 1 ? "" : "s"} …` : "";
    line.classList.toggle("station-offline", isSignedOut || !isOnline);
  }

  function showCounts() {
    if (!contents || contents.said) return;
    const left = parcels().filter((one) => !one.said).length;
    const done = contents.packed + contents.left - left;
    const minutes = contents.pace ? Math.ceil((left * 60) / contents.pace) : 0;
    const rest = minutes ? `: about ${minutes} minute${minutes === 1 ? "" : "s"} left` : "";
    counts.textContent = `${done} packed, ${left} to pack${contents.pace ? `, ${contents.pace} an hour${rest}` : ""}.`;
  }

  // Should the site have to take a scan after all, it learns what is in hand.
  function fillForm() {
    form.elements.parcel.value = inHand ? inHand.parcel : "";
    form.elements.confirmed.value = inHand ? inHand.confirmed.join(" ") : "";
    form.elements.request_key.value = inHand ? inHand.key : newKey();
  }

  function take(next) {
    inHand = next;
    if (next) store.set(IN_HAND, JSON.stringify(next));
    else store.drop(IN_HAND);
    fillForm();
    showHand();
  }

  function takeSlip(scan) {
    const number = /^[#№]?0*(\d{1,6})$/.exec(scan);
    const parcel = byCode(scan) || (number && parcels().find((one) => one.number === Number(number[1])));
    if (!parcel) return say(`No parcel of this show has the code ${scan.slice(0, 40)}. Scan the bar code of a slip.`, true);
    if (parcel.said) {
      say(parcel.said, true);
      if (parcel.can_open) said.append(openAgain(parcel));
      return undefined;
    }
    take({ parcel: parcel.code, confirmed: [], key: newKey() });
    return say("");
  }

  function openAgain(parcel) {
    const made = element("form");
    made.method = "post";
    made.action = station.dataset.open;
    for (const [name, value] of [["csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value], ["parcel", parcel.code]]) {
      const hidden = element("input");
      Object.assign(hidden, { type: "hidden", name, value });
      made.append(hidden);
    }
    const actions = element("p", "", "actions");
    actions.append(element("button", `Open parcel ${parcel.number} and pack it anew`, "btn btn-secondary"));
    made.append(actions);
    return made;
  }

  function wrongWords(parcel, scan) {
    const slip = byCode(scan);
    if (slip) return `Stop. That is the slip of parcel ${slip.number}, and parcel ${parcel.number} is in hand. Finish it, or set it aside first.`;
    const homes = parcels().flatMap((one) => one.copies.filter((copy) => copy.scans.includes(scan)).map((copy) => ({ one, copy })));
    if (homes.length !== 1) return `Stop. ${scan.slice(0, 40)} does not belong in parcel ${parcel.number}. Nothing was confirmed.`;
    const whose = homes[0].one.name ? `, for ${homes[0].one.name}` : "";
    return `Stop. ${homes[0].copy.label} does not belong in parcel ${parcel.number}. It belongs in parcel ${homes[0].one.number}${whose}.`;
  }

  function takeCopy(parcel, scan) {
    const found = parcel.copies.filter((copy) => copy.scans.includes(scan));
    const fresh = found.filter((copy) => !inHand.confirmed.includes(copy.key));
    if (fresh.length > 1) return say(`Parcel ${parcel.number} holds ${fresh[0].label} of two prints. Type ${fresh.map((copy) => copy.scans[2].toLowerCase()).join(" or ")}.`);
    if (!fresh.length && found.length) return say(`${found[0].label} is confirmed already.`);
    if (!fresh.length && scan === parcel.code) return say(`Parcel ${parcel.number} is in hand. Now confirm what goes in.`);
    if (!fresh.length) return say(wrongWords(parcel, scan), true);
    take({ ...inHand, confirmed: [...inHand.confirmed, fresh[0].key] });
    if (inHand.confirmed.length < parcel.copies.length) return say(`${fresh[0].label} is in.`);
    store.set(WAITING + inHand.key, JSON.stringify({ parcel: parcel.code, number: parcel.number, confirmed: inHand.confirmed, request_key: inHand.key, at: Date.now() }));
    parcel.said = `Parcel ${parcel.number} is packed already.`;
    take(null);
    say(`Parcel ${parcel.number} is packed. Next slip.`);
    showCounts();
    return flush();
  }

  async function ask(address, options) {
    const answer = await fetch(address, { ...options, signal: AbortSignal.timeout(PATIENCE_MS) });
    isSignedOut = answer.redirected || [403, 404].includes(answer.status);
    if (isSignedOut || !answer.ok) throw new Error(`answered ${answer.status}`);
    return answer.json();
  }

  async function send({ key, act }) {
    const body = new FormData();
    body.set("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
    body.set("parcel", act.parcel);
    body.set("confirmed", act.confirmed.join(" "));
    body.set("request_key", act.request_key);
    body.set("seconds_ago", String(Math.min(86400, Math.max(0, Math.round((Date.now() - act.at) / 1000)))));
    const answer = await ask(station.dataset.pack, { method: "POST", body });
    store.drop(key);
    if (answer.is_packed) return;
    refused.push(answer.said);
    say("");
    beep(true);
  }

  // One at a time, the oldest first; what fails stays where it is and is tried again.
  async function flush() {
    showLine();
    if (sending) return;
    sending = true;
    window.clearTimeout(timer);
    try {
      for (let all = waiting(); all.length; all = waiting()) {
        await send(all[0]);
        isOnline = true;
        showLine();
      }
      await look();
      isOnline = true;
    } catch {
      isOnline = isSignedOut; // an answer that asks to sign in came over a connection
    } finally {
      sending = false;
      showLine();
      timer = window.setTimeout(flush, isOnline ? LOOK_MS : AGAIN_MS);
    }
  }

  async function look() {
    const fresh = await ask(station.dataset.contents);
    // What was packed here and is on its way there must not look as if it were to be packed.
    for (const { act } of waiting()) {
      const mine = fresh.parcels.find((one) => one.code === act.parcel);
      if (mine && !mine.said) mine.said = `Parcel ${mine.number} is packed already.`;
    }
    contents = fresh;
    const parcel = inHand && byCode(inHand.parcel);
    if (inHand && (!parcel || parcel.said)) {
      take(null);
      say(parcel ? parcel.said : "That parcel is not there any more.", true);
    } else if (inHand) {
      take({ ...inHand, confirmed: inHand.confirmed.filter((key) => parcel.copies.some((copy) => copy.key === key)) });
    }
    showCounts();
  }

  form.addEventListener("submit", (event) => {
    if (!contents) return; // nothing to check against yet: the site does it
    event.preventDefault();
    const scan = tidy(field.value);
    field.value = "";
    field.focus();
    if (!scan) return;
    const parcel = inHand && byCode(inHand.parcel);
    if (parcel) takeCopy(parcel, scan);
    else takeSlip(scan);
  });
  // A reader types wherever the focus is, so it is in the field unless somebody chose something else on purpose.
  document.addEventListener("keydown", (event) => {
    if (event.target === document.body && event.key.length === 1 && !event.ctrlKey && !event.metaKey && !event.altKey) field.focus();
  });
  window.addEventListener("focus", () => { if (document.activeElement === document.body) field.focus(); });
  window.addEventListener("online", flush);
  window.addEventListener("beforeunload", (event) => { if (waiting().length && !isOnline) event.preventDefault(); });

  const shown = form.elements.parcel.value; // a parcel that the site took in hand before this file was here
  const kept = read(IN_HAND);
  if (shown) inHand = { parcel: shown, confirmed: form.elements.confirmed.value.split(" ").filter(Boolean), key: form.elements.request_key.value };
  else if (kept) inHand = kept;
  fillForm();
  field.focus();
  flush();
})();
