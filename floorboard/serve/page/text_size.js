"use strict";
// The terminal takes its size of text once, when it is made: a change loads the page again, and
// the server shows the same board. The pages before the board only keep a size asked for.

const boardTextSize = (() => {
  const KEY = "floorboard-text-size";
  const LEAST = 10, MOST = 48, USUAL = 16;
  const STEPS = [10, 12, 14, 16, 18, 20, 24, 28, 32, 40, 48];

  function within(text) {
    const size = Number.parseInt(text, 10);
    return Number.isNaN(size) ? null : Math.max(LEAST, Math.min(MOST, size));
  }

  function saved() {
    try { return within(localStorage.getItem(KEY)); } catch { return null; }
  }

  function save(size) {
    try { localStorage.setItem(KEY, String(size)); return true; } catch { return false; }
  }

  // An address with ?fontsize= sets the size for good; nothing else may stay in the address,
  // since the terminal's script takes orders from it.
  const asked = within(new URLSearchParams(location.search).get("fontsize"));
  if (asked !== null) save(asked);
  const current = asked ?? saved() ?? USUAL;
  const terminal = document.getElementById("terminal");
  if (terminal !== null) terminal.dataset.fontSize = String(current);
  if (location.search) history.replaceState(null, "", location.pathname);

  function change(direction) {
    const further = STEPS.filter((step) => (direction > 0 ? step > current : step < current));
    if (further.length === 0) return;
    const next = direction > 0 ? further[0] : further[further.length - 1];
    if (save(next)) location.reload();
    else location.search = `?fontsize=${next}`;
  }

  function start() {
    document.getElementById("smaller").addEventListener("click", () => change(-1));
    document.getElementById("larger").addEventListener("click", () => change(1));
  }

  return { start, current };
})();
