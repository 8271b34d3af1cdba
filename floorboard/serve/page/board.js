"use strict";
// Starts the terminal once its font is here, gives it the keyboard, and lets fingers scroll it.

(() => {
  const FONT_MS = 1500;
  const SWIPE_STEP_PX = 28;
  const startTerminal = window.onload;

  function input() { return document.querySelector(".xterm-helper-textarea"); }

  function takeKeys() {
    const active = document.activeElement;
    if (active && active.closest("nav, #lost")) return;
    const area = input();
    if (area) area.focus({ preventScroll: true });
  }

  // The grid is measured with whatever font is there, so the right one is waited for, shortly.
  async function fontReady() {
    const size = boardTextSize.current;
    const loaded = document.fonts.load(`${size}px "Roboto Mono"`).catch(() => []);
    await Promise.race([loaded, new Promise((done) => setTimeout(done, FONT_MS))]);
  }

  // A finger's tap would bring up the on-screen keyboard over half the board, and the board needs
  // none: it comes only when its button asks for it. Real keyboards and keypads work either way.
  function offerKeyboard() {
    if (!window.matchMedia("(any-pointer: coarse)").matches) return;
    const button = document.getElementById("keyboard");
    const area = input();
    area.inputMode = "none";
    button.hidden = false;
    button.addEventListener("click", () => {
      const shown = area.inputMode === "none";
      area.inputMode = shown ? "text" : "none";
      button.setAttribute("aria-pressed", String(shown));
      area.blur();
      area.focus({ preventScroll: true });
    });
  }

  // Fingers that move up or down turn the wheel the board listens to.
  function offerSwipes() {
    const screen = document.querySelector(".xterm-screen");
    let last = null;
    screen.addEventListener("touchstart", (event) => {
      last = event.touches.length === 1 ? event.touches[0].clientY : null;
    }, { passive: true });
    screen.addEventListener("touchmove", (event) => {
      if (last === null) return;
      const touch = event.touches[0];
      const steps = Math.trunc((last - touch.clientY) / SWIPE_STEP_PX);
      if (steps === 0) return;
      last -= steps * SWIPE_STEP_PX;
      for (let step = 0; step < Math.abs(steps); step += 1) {
        screen.dispatchEvent(new WheelEvent("wheel", {
          bubbles: true, cancelable: true, deltaMode: WheelEvent.DOM_DELTA_LINE,
          deltaY: Math.sign(steps), clientX: touch.clientX, clientY: touch.clientY,
        }));
      }
    }, { passive: true });
  }

  function keepKeys() {
    window.addEventListener("focus", takeKeys);
    window.addEventListener("floorboard-found", () => { document.activeElement.blur(); takeKeys(); });
    document.addEventListener("visibilitychange", takeKeys);
    document.querySelector("nav").addEventListener("click", (event) => {
      const button = event.target.closest("button");
      if (button && button.type !== "submit" && button.id !== "keyboard") {
        button.blur();
        takeKeys();
      }
    });
    takeKeys();
  }

  window.onload = async () => {
    boardTextSize.start();
    boardBell.start();
    await fontReady();
    startTerminal();
    offerKeyboard();
    offerSwipes();
    keepKeys();
  };
  // Taken out of the browser's memory of pages, this one has no connection left.
  window.addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });
})();
