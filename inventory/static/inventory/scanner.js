// A scanner is a keyboard that types fast: what it types reaches a field, whole, wherever the focus was.
// Without this script the fields still take what is typed into them.
"use strict";

(() => {
  const SEPARATOR = "\x1d";
  const fields = () => [...document.querySelectorAll("input[data-scanner]")].filter((field) => field.form?.checkVisibility());
  const takesText = (element) => element.matches("input:not([type=submit]):not([type=checkbox]), select, textarea");

  function put(field, text) {
    field.setRangeText(text, field.selectionStart, field.selectionEnd, "end");
  }

  document.addEventListener("keydown", (event) => {
    const active = document.activeElement;
    // Scanners send the group separator as Ctrl and a closing bracket, for which a browser types nothing.
    if (event.ctrlKey && event.key === "]" && active.matches("[data-scanner]")) {
      event.preventDefault();
      put(active, SEPARATOR);
      return;
    }
    const isTyped = event.key.length === 1 && event.key !== " " && !event.ctrlKey && !event.altKey && !event.metaKey;
    if (isTyped && !takesText(active)) {
      const field = fields().find((one) => one.autofocus) || fields()[0];
      field?.focus();
    }
  });
})();
