// A delivery that is finished takes nothing more: what still waits in this browser for it is shown, not lost.
"use strict";

(() => {
  const list = document.getElementById("refused");
  const waits = JSON.parse(localStorage.getItem(list.dataset.name) || "[]");
  const refusals = new Refusals(list, `${list.dataset.name}-refused`);
  waits.forEach((item) => refusals.add(item.label, "This was not sent before the delivery was finished."));
  localStorage.removeItem(list.dataset.name);
})();
