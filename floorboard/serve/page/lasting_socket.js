"use strict";
// Stands in for WebSocket before the terminal's script opens one: the terminal sees a socket that
// never closes, while the connection beneath is opened again whenever it is lost.

const boardConnection = (() => {
  const NativeSocket = window.WebSocket;
  const CLOSED_BY_USER = 4000, SHOWN_ELSEWHERE = 4002, SIGNED_OUT = 4003, SERVER_FULL = 4004;
  const PING_MS = 5000, SILENCE_MS = 12000, SETTLED_MS = 10000;
  const FIRST_WAIT_MS = 400, LONGEST_WAIT_MS = 8000, FULL_WAIT_MS = 5000, ASK_MS = 4000;
  const PLACE_KEY = "floorboard-place";
  const OWN_PING = "keep";
  const FIRST_PICTURE_BYTES = 10;

  // Names this tab to the server, so that a reload or a new connection finds its board again.
  function newPlace() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    const place = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    try { sessionStorage.setItem(PLACE_KEY, place); } catch { /* this page still has it */ }
    return place;
  }

  function keptPlace() {
    try {
      const kept = sessionStorage.getItem(PLACE_KEY);
      return /^[0-9a-f]{32}$/.test(kept) ? kept : newPlace();
    } catch { return newPlace(); }
  }

  function element(id) { return document.getElementById(id); }

  class LastingSocket extends EventTarget {
    constructor(url) {
      super();
      const asked = new URL(url, location.href).searchParams;
      this.size = { width: Number(asked.get("width")), height: Number(asked.get("height")) };
      this.place = keptPlace();
      this.failures = 0;
      this.retry = null;
      this.real = null;
      this.heardAt = 0;
      this.openedAt = 0;
      element("try-now").addEventListener("click", () => this.reopen());
      window.addEventListener("online", () => this.hurry());
      document.addEventListener("visibilitychange", () => this.hurry());
      setInterval(() => this.ping(), PING_MS);
      this.open();
    }

    // Derived from where the page came from: every address of the machine works.
    address() {
      const address = new URL("ws", location.href);
      address.protocol = location.protocol === "https:" ? "wss:" : "ws:";
      address.search = new URLSearchParams({ ...this.size, place: this.place });
      return address;
    }

    open() {
      clearTimeout(this.retry);
      this.retry = null;
      const real = new NativeSocket(this.address());
      const bells = new boardBell.Counter();
      this.real = real;
      real.binaryType = "arraybuffer";
      real.onopen = () => {
        this.heardAt = this.openedAt = Date.now();
        this.dispatchEvent(new Event("open"));
      };
      real.onmessage = (event) => {
        if (this.real === real) this.heard(event.data, bells);
      };
      real.onclose = (event) => {
        if (this.real === real) this.closed(event.code, event.reason);
      };
    }

    heard(data, bells) {
      this.heardAt = Date.now();
      if (typeof data === "string") {
        if (data === JSON.stringify(["pong", OWN_PING])) return;
      } else {
        if (data.byteLength > FIRST_PICTURE_BYTES) this.showFound();
        boardBell.ring(bells.count(new Uint8Array(data)));
      }
      this.dispatchEvent(new MessageEvent("message", { data }));
    }

    // Keys pressed while nothing is connected are dropped, not kept: the floor they were meant
    // for may have changed by the time they would arrive.
    send(text) {
      const message = JSON.parse(text);
      if (message[0] === "resize") this.size = message[1];
      if (this.real && this.real.readyState === NativeSocket.OPEN) this.real.send(text);
    }

    ping() {
      if (!this.real || this.real.readyState !== NativeSocket.OPEN) return;
      if (Date.now() - this.heardAt > SILENCE_MS) this.abandon();
      else this.real.send(JSON.stringify(["ping", OWN_PING]));
    }

    // A dead connection may take minutes to say so; it is not listened to any more.
    abandon() {
      const dead = this.real;
      this.real = null;
      dead.close();
      this.closed(1006, "");
    }

    hurry() {
      if (document.visibilityState !== "visible") return;
      if (this.retry !== null) this.reopen();
      else this.ping();
    }

    closed(code, reason) {
      this.real = null;
      if (code === SIGNED_OUT) { location.reload(); return; }
      if (code === CLOSED_BY_USER) {
        this.showLost("The board was closed on this screen.", "Open it again");
        return;
      }
      if (code === SHOWN_ELSEWHERE) this.place = newPlace();
      if (Date.now() - this.openedAt > SETTLED_MS) this.failures = 0;
      let wait = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** Math.min(this.failures, 10));
      if (code === SERVER_FULL) wait = FULL_WAIT_MS;
      this.failures += 1;
      this.openedAt = Infinity;
      this.showLost(reason && code === SERVER_FULL ? reason : "Connection lost, trying again …", "Try now");
      // Many screens lose one server together; they should not all come back in one instant.
      this.retry = setTimeout(() => this.reopen(), wait * (0.75 + Math.random() / 2));
    }

    async reopen() {
      clearTimeout(this.retry);
      this.retry = null;
      if (this.real || this.asking) return;
      this.asking = true;
      const standing = await this.standing();
      this.asking = false;
      if (standing === "signed-out") location.reload();
      else if (standing === "away") this.closed(1006, "");
      else this.open();
    }

    async standing() {
      const patience = new AbortController();
      const timer = setTimeout(() => patience.abort(), ASK_MS);
      try {
        const answer = await fetch("standing", { cache: "no-store", signal: patience.signal });
        if (answer.status === 401) return "signed-out";
        return answer.ok ? "welcome" : "away";
      } catch {
        return "away";
      } finally {
        clearTimeout(timer);
      }
    }

    showLost(sentence, action) {
      element("lost-sentence").textContent = sentence;
      element("try-now").textContent = action;
      if (element("lost").hidden) {
        const time = new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
        element("lost-since").textContent = `What is shown here is from ${time} or before.`;
      }
      element("lost").hidden = false;
      document.body.classList.add("lost");
    }

    showFound() {
      if (element("lost").hidden) return;
      element("lost").hidden = true;
      document.body.classList.remove("lost");
      window.dispatchEvent(new Event("floorboard-found"));
    }
  }

  window.WebSocket = LastingSocket;
  return { LastingSocket };
})();
