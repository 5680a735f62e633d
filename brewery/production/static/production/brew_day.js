// A page of forms, as the brew day's: what is written goes out through the outbox, in order, with the moment at which
// it was noted. `data-name` names the outbox; `data-told` the fields that tell one entry from another, `data-emptied`
// those that begin anew once it is noted; both are the brew day's where a page says nothing. Without this script each
// form still works by its button.
"use strict";

(() => {
  const page = document.getElementById("brew-day");
  const waiting = document.getElementById("waiting");
  const refusedList = document.getElementById("refused");
  const refusedName = `${page.dataset.name}-refused`;

  const named = (names) => names.split(" ").filter(Boolean);

  async function send(item) {
    const body = new URLSearchParams({ ...item.fields, request_id: item.id });
    const token = page.querySelector("[name=csrfmiddlewaretoken]")?.value || "";
    let answer, text;
    try {
      answer = await fetch(item.url, { method: "POST", body, headers: { "X-CSRFToken": token } });
      text = await answer.text();
    } catch {
      return "The service cannot be reached.";
    }
    const came = new DOMParser().parseFromString(text, "text/html");
    const fresh = came.getElementById("pieces");
    if (answer.redirected && !fresh) return "You are signed out: load this page again and sign in.";
    if (answer.status >= 500 || answer.status === 403) return `The service answers with fault ${answer.status}.`;
    if (!fresh) {
      keepRefusal(item.label, `The service does not take this (${answer.status}).`);
      return "refused";
    }
    if (answer.ok) {
      swap(fresh);
      return "taken";
    }
    const faults = [...fresh.querySelectorAll(".again .errorlist li, .again .message p")].map((one) => one.textContent.trim());
    keepRefusal(item.label, faults.join(" "));
    swap(fresh);
    return "refused";
  }

  // What is being typed stays, and what was open stays open.
  function swap(fresh) {
    const old = document.getElementById("pieces");
    const typed = [...old.querySelectorAll("input, select, textarea")].filter(
      (field) => field.id && field.type !== "hidden" && field.type !== "file" && field.value !== field.defaultValue && field.tagName !== "SELECT",
    );
    const opened = [...old.querySelectorAll("details[id]")].map((one) => [one.id, one.open]);
    const focus = old.contains(document.activeElement) ? document.activeElement.id : "";
    old.replaceWith(fresh);
    opened.forEach(([id, open]) => {
      const there = document.getElementById(id);
      if (there) there.open = open;
    });
    typed.forEach((field) => {
      const there = document.getElementById(field.id);
      if (there) there.value = field.value;
    });
    if (focus) document.getElementById(focus)?.focus();
  }

  page.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("[data-outbox]") || form.enctype === "multipart/form-data") return;
    event.preventDefault();
    const sent = new FormData(form);
    sent.delete("csrfmiddlewaretoken");
    sent.set("noted_at", new Date().toISOString());
    const fields = Object.fromEntries(sent.entries());
    const told = named(page.dataset.told || "lot quantity property value words").map((name) => fields[name]).filter(Boolean).join(" ");
    outbox.add({ url: new URL(form.action).pathname, fields, label: `${form.getAttribute("aria-label")} ${told}`.trim() });
    named(page.dataset.emptied || "value words reason").forEach((name) => form.querySelectorAll(`[name=${name}]`).forEach((field) => (field.value = "")));
  });

  const refusals = () => JSON.parse(localStorage.getItem(refusedName) || "[]");

  function keepRefusal(label, sentence) {
    localStorage.setItem(refusedName, JSON.stringify([...refusals(), { label, sentence }]));
    tellRefused();
  }

  function tellRefused() {
    const all = refusals();
    refusedList.hidden = !all.length;
    refusedList.replaceChildren(
      ...all.map(({ label, sentence }, index) => {
        const entry = document.createElement("li");
        entry.setAttribute("role", "alert");
        const words = document.createElement("span");
        words.textContent = `${label}: ${sentence}`;
        const button = document.createElement("button");
        button.type = "button";
        button.className = "secondary";
        button.textContent = "Seen";
        button.addEventListener("click", () => {
          localStorage.setItem(refusedName, JSON.stringify(refusals().filter((_, other) => other !== index)));
          tellRefused();
        });
        entry.append(words, button);
        return entry;
      }),
    );
  }

  function tellWaiting() {
    const count = outbox.items.length;
    waiting.hidden = !(count && outbox.trouble);
    waiting.textContent = waiting.hidden
      ? ""
      : `${outbox.trouble} ${count} ${count === 1 ? "entry waits" : "entries wait"} here and will be sent by themselves.`;
  }

  const outbox = new Outbox(page.dataset.name, send, tellWaiting);
  tellRefused();
  outbox.pump();
})();
