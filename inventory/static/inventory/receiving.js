// The receiving page: every scan and every change is saved at once, and the scan field has the focus again.
// Without this script each form still works by its button.
"use strict";

(() => {
  const page = document.getElementById("receiving");
  const scanForm = document.getElementById("scan");
  const scanField = document.getElementById("scan-text");
  const waiting = document.getElementById("waiting");
  const LOOKS_SCANNED = /^\](?:C1|e0|d2|Q3|J1)|\x1d|^\([0-9]{2,4}\)|^https?:\/\//i;
  const LOOKS_SCANNED_IN_A_WEIGHT = /^[0-9]{8,}/;
  let afterwards = null;
  let isSwapping = false;

  const pieces = () => document.getElementById("pieces");
  const fieldsOf = (form) => [...form.elements].filter((field) => field.name && field.type !== "hidden" && field.type !== "submit");
  const valueOf = (field) => (field.type === "checkbox" ? (field.checked ? "on" : "") : field.value);
  const savedValueOf = (field) => {
    if (field.type === "checkbox") return field.defaultChecked ? "on" : "";
    if (field.tagName !== "SELECT") return field.defaultValue;
    return ([...field.options].find((option) => option.defaultSelected) || field.options[0]).value;
  };
  const isChanged = (field) => valueOf(field) !== savedValueOf(field);

  // Sending

  async function send(item) {
    const body = new URLSearchParams({ ...item.fields, request_id: item.id });
    if (item.version) body.set("version", item.version);
    const headers = { "X-Pieces": "1", "X-CSRFToken": scanForm.elements.csrfmiddlewaretoken.value };
    let answer, text;
    try {
      answer = await fetch(item.url + location.search, { method: "POST", body, headers, redirect: "manual" });
      text = await answer.text();
    } catch {
      return "The service cannot be reached.";
    }
    if (answer.type === "opaqueredirect") return "You are signed out: load this page again and sign in.";
    const fresh = new DOMParser().parseFromString(text, "text/html").getElementById("pieces");
    if (!fresh) {
      if (answer.status === 403) return "The service does not let you do this now: load this page again.";
      if (answer.status >= 500) return `The service answers with fault ${answer.status}.`;
      refusals.add(item.label, `The service does not take this (${answer.status}).`);
      return "refused";
    }
    const told = [...fresh.querySelectorAll("[data-refused]")];
    told.forEach((one) => refusals.add(item.label, one.dataset.refused));
    if (!told.length) outbox.seen(item, fresh.dataset.version);
    if (fresh.dataset.state !== "draft") afterwards = () => location.reload();
    swap(fresh, item);
    return told.length ? "refused" : "taken";
  }

  function swap(fresh, item) {
    fresh.querySelectorAll("[data-refused]").forEach((one) => one.remove());
    const old = pieces();
    const active = document.activeElement;
    const focus = old.contains(active) ? { id: active.id, start: active.selectionStart, end: active.selectionEnd } : null;
    const typed = [...old.querySelectorAll("input, select, textarea")].filter(
      (field) => field.id && field.type !== "hidden" && field.type !== "file" && isChanged(field) && isKept(field, item),
    );
    const chosen = [...old.querySelectorAll("input[type=file]")].filter((field) => field.files.length);
    const opened = [...old.querySelectorAll("details")].map((one) => [one.id, one.open]);
    isSwapping = true;
    old.replaceWith(fresh);
    isSwapping = false;
    opened.forEach(([id, open]) => {
      const there = document.getElementById(id);
      if (there && open) there.open = true;
    });
    chosen.forEach((field) => document.getElementById(field.id)?.replaceWith(field));
    typed.forEach((field) => {
      const there = document.getElementById(field.id);
      if (!there) return;
      if (field.type === "checkbox") there.checked = field.checked;
      else there.value = field.value;
    });
    dress(fresh);
    if (item.then) document.querySelector(item.then)?.focus();
    else if (focus) restore(focus);
  }

  // What is being typed, or waits to be sent, stays; what was just sent shows what the service made of it.
  function isKept(field, item) {
    const url = field.form && new URL(field.form.action).pathname;
    const isSent = url === item.url && field.name === item.field;
    const waits = outbox.items.some((other) => other.id !== item.id && other.url === url && other.field === field.name);
    return waits || (!isSent && field === document.activeElement) || (!isSent && url !== item.url && field.form?.matches("[data-adds]"));
  }

  function restore({ id, start, end }) {
    const there = document.getElementById(id);
    if (!there) {
      scanField.focus();
      return;
    }
    there.focus();
    if (start !== null && start !== undefined) there.setSelectionRange(start, end);
  }

  // Saving

  const pathOf = (form) => new URL(form.action).pathname;

  function save(form) {
    fieldsOf(form).filter(isChanged).forEach((field) => {
      const value = valueOf(field);
      if (outbox.items.some((item) => item.field === field.name && item.url === pathOf(form) && item.fields[field.name] === value)) return;
      const fields = field.type === "checkbox" ? { boxes: field.name, ...(value && { [field.name]: value }) } : { [field.name]: value };
      const label = `${field.labels?.[0]?.textContent.trim() || field.name}: ${value}`;
      outbox.add({ url: pathOf(form), field: field.name, fields, version: pieces().dataset.version, label });
    });
  }

  function scanned(text) {
    if (text.trim()) outbox.add({ url: pathOf(scanForm), fields: { text }, label: text });
  }

  // A scanner types wherever the focus is: a barcode in a weight field was meant for the scan field.
  function takenForScan(field) {
    const looksSo = LOOKS_SCANNED.test(field.value) || (field.inputMode === "decimal" && LOOKS_SCANNED_IN_A_WEIGHT.test(field.value));
    if (field === scanField || field.type !== "text" || !looksSo) return false;
    scanned(field.value);
    field.value = field.defaultValue;
    return true;
  }

  // A field that was typed in while the page changed round it tells of no change when it is left.
  ["change", "focusout"].forEach((name) =>
    page.addEventListener(name, (event) => {
      const form = event.target.form;
      if (!isSwapping && form?.matches("[data-saves]") && !takenForScan(event.target)) save(form);
    }),
  );

  page.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.matches("[data-scans]")) {
      event.preventDefault();
      scanned(scanField.value);
      scanField.value = "";
    } else if (form.matches("[data-saves]")) {
      event.preventDefault();
      save(form);
      scanField.focus();
    } else if (form.matches("[data-adds]")) {
      event.preventDefault();
      const field = form.elements.material;
      outbox.add({ url: pathOf(form), fields: { material: field.value }, label: field.value, then: ".line.is-in-hand [name=quantity]" });
      field.value = "";
    } else if (form.matches("[data-waits]") && outbox.items.length) {
      event.preventDefault();
      afterwards = () => document.querySelector(`form[action="${form.getAttribute("action")}"]`)?.requestSubmit();
      outbox.pump();
    }
  });

  page.addEventListener("keydown", (event) => {
    // Many scanners send the separator as Ctrl and a closing bracket, of which a browser makes nothing.
    if (event.ctrlKey && event.key === "]" && event.target.matches("input[type=text]")) {
      event.preventDefault();
      event.target.setRangeText("\x1d", event.target.selectionStart, event.target.selectionEnd, "end");
    }
  });

  page.addEventListener("focusin", (event) => {
    if (event.target.matches("[data-saves] input[type=text]")) event.target.select();
  });

  // Telling

  function tellWaiting() {
    const count = outbox.items.length;
    waiting.hidden = !(count && outbox.trouble);
    waiting.textContent = waiting.hidden
      ? ""
      : `${outbox.trouble} ${count} ${count === 1 ? "entry waits" : "entries wait"} here and will be sent by themselves.`;
    page.classList.toggle("is-sending", count > 0);
    if (!count && afterwards) {
      const then = afterwards;
      afterwards = null;
      then();
    }
  }

  function dress(where) {
    where.querySelectorAll(".without-script").forEach((one) => (one.hidden = true));
  }

  const outbox = new Outbox(page.dataset.name, send, tellWaiting);
  const refusals = new Refusals(document.getElementById("refused"), `${page.dataset.name}-refused`, () => scanField.focus());
  dress(page);
  scanField.focus();
  outbox.pump();
})();
