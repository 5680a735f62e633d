// The outbox of a page: what was scanned or typed is kept in the browser until the service has taken it, in order,
// each under a request id of its own, so that nothing is lost and nothing is done twice.
"use strict";

const RETRY_AFTER_MS = 3000;

function newRequestId() {
  // crypto.randomUUID is missing where a brewery's network has no https.
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

class Outbox {
  // `send(item)` answers "taken", "refused", or a sentence that says why the item must wait.
  constructor(name, send, changed) {
    this.name = name;
    this.send = send;
    this.changed = changed;
    this.trouble = "";
    this.sending = null;
    window.addEventListener("online", () => this.pump());
  }

  get items() {
    return JSON.parse(localStorage.getItem(this.name) || "[]");
  }

  set items(items) {
    if (items.length) localStorage.setItem(this.name, JSON.stringify(items));
    else localStorage.removeItem(this.name);
  }

  // A later value of the same field takes the place of one that was not sent yet.
  add(item) {
    const waits = (other) => other.id !== this.sending && item.field && other.url === item.url && other.field === item.field;
    this.items = [...this.items.filter((other) => !waits(other)), { ...item, id: newRequestId() }];
    this.changed();
    this.pump();
  }

  // What this page wrote itself into a field is no stranger's change of it.
  seen(sent, version) {
    const same = (other) => other.field && other.url === sent.url && other.field === sent.field;
    this.items = this.items.map((other) => (same(other) ? { ...other, version } : other));
  }

  async pump() {
    if (this.sending) return;
    clearTimeout(this.timer);
    while (this.items.length) {
      if (!navigator.onLine) {
        this.wait("There is no connection.");
        return;
      }
      const [item] = this.items;
      this.sending = item.id;
      const came = await this.send(item);
      this.sending = null;
      if (came !== "taken" && came !== "refused") {
        this.wait(came);
        this.timer = setTimeout(() => this.pump(), RETRY_AFTER_MS);
        return;
      }
      this.trouble = "";
      this.items = this.items.filter((other) => other.id !== item.id);
      this.changed();
    }
  }

  wait(why) {
    this.trouble = why;
    this.changed();
  }
}
