// What was refused, or came too late, is kept in the browser and shown until somebody has seen it.
"use strict";

class Refusals {
  constructor(list, name, seen = () => {}) {
    this.list = list;
    this.name = name;
    this.seen = seen;
    this.tell();
  }

  get all() {
    return JSON.parse(localStorage.getItem(this.name) || "[]");
  }

  set all(told) {
    if (told.length) localStorage.setItem(this.name, JSON.stringify(told));
    else localStorage.removeItem(this.name);
    this.tell();
  }

  add(label, sentence) {
    this.all = [...this.all, { label, sentence }];
  }

  tell() {
    this.list.hidden = !this.all.length;
    this.list.replaceChildren(...this.all.map((told, index) => this.entry(told, index)));
  }

  entry({ label, sentence }, index) {
    const entry = document.createElement("li");
    entry.setAttribute("role", "alert");
    const words = document.createElement("span");
    words.textContent = sentence.includes(label) ? sentence : `${label}: ${sentence}`;
    const button = document.createElement("button");
    button.type = "button";
    button.className = "secondary";
    button.textContent = "Seen";
    button.addEventListener("click", () => {
      this.all = this.all.filter((_, other) => other !== index);
      this.seen();
    });
    entry.append(words, button);
    return entry;
  }
}
