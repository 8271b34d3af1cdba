"use strict";
// The board rings by sending the BEL character. A browser plays nothing until the page has been
// touched once, so there is a button for it; the bar lights up whether or not sound is on.

const boardBell = (() => {
  const BEL = 0x07, ESC = 0x1b;
  const TONE_SECONDS = 0.16, GAP_SECONDS = 0.12, MOST_WAITING = 6;
  const KEY = "floorboard-sound";
  let context = null;
  let freeAt = 0;
  let wanted = remembered();
  let unlit = null;

  function remembered() {
    try { return localStorage.getItem(KEY) === "on"; } catch { return false; }
  }

  // BEL also ends an operating-system command (ESC ] ... BEL), where it rings nothing.
  // The state lives on between messages, since a command may be cut in two.
  class Counter {
    constructor() { this.state = "text"; }
    count(bytes) {
      let bells = 0;
      for (const byte of bytes) {
        if (this.state === "text") {
          if (byte === BEL) bells += 1;
          else if (byte === ESC) this.state = "escape";
        } else if (this.state === "escape") {
          // OSC, DCS, SOS, PM and APC carry text up to their end.
          this.state = [0x5d, 0x50, 0x58, 0x5e, 0x5f].includes(byte) ? "command"
            : byte === ESC ? "escape" : "text";
        } else if (byte === BEL) this.state = "text";
        else if (byte === ESC) this.state = "command-escape";
        else if (this.state === "command-escape") {
          this.state = byte === 0x5c ? "text" : "command";
        }
      }
      return bells;
    }
  }

  function ring(bells) {
    if (bells < 1) return;
    document.body.classList.add("ringing");
    clearTimeout(unlit);
    unlit = setTimeout(() => document.body.classList.remove("ringing"), 600 * bells);
    window.dispatchEvent(new CustomEvent("floorboard-bell", { detail: bells }));
    if (!context || context.state !== "running" || !wanted) return;
    for (let bell = 0; bell < bells; bell += 1) tone();
  }

  function tone() {
    const step = TONE_SECONDS + GAP_SECONDS;
    const start = Math.max(context.currentTime + 0.01, freeAt);
    // A flood of bells is cut short: the next call must not wait behind it.
    if (start - context.currentTime > MOST_WAITING * step) return;
    freeAt = start + step;
    const voice = context.createOscillator();
    const volume = context.createGain();
    voice.type = "triangle";
    voice.frequency.value = 880;
    volume.gain.setValueAtTime(0, start);
    volume.gain.linearRampToValueAtTime(0.5, start + 0.01);
    volume.gain.setValueAtTime(0.5, start + TONE_SECONDS - 0.03);
    volume.gain.linearRampToValueAtTime(0, start + TONE_SECONDS);
    voice.connect(volume).connect(context.destination);
    voice.start(start);
    voice.stop(start + TONE_SECONDS);
  }

  // Must be called while a tap or key press is being handled.
  async function unlock() {
    context = context || new (window.AudioContext || window.webkitAudioContext)();
    if (context.state !== "running") await context.resume();
    show();
  }

  function show() {
    const button = document.getElementById("sound");
    const sounding = wanted && context !== null && context.state === "running";
    button.setAttribute("aria-pressed", String(sounding));
    button.textContent = sounding ? "Sound is on" : "Sound is off: tap for sound";
  }

  function start() {
    const button = document.getElementById("sound");
    button.addEventListener("click", async () => {
      wanted = button.getAttribute("aria-pressed") !== "true";
      try { localStorage.setItem(KEY, wanted ? "on" : "off"); } catch { /* asked again next time */ }
      if (wanted) {
        await unlock();
        tone();
      }
      show();
    });
    // Where sound was wanted before, the first touch anywhere brings it back.
    for (const kind of ["pointerup", "keydown"]) {
      window.addEventListener(kind, () => { if (wanted) unlock(); }, { capture: true });
    }
    show();
  }

  return { Counter, ring, start };
})();
