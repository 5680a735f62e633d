// Ticking rows of a table by keyboard: up and down go from tick to tick, the tick in the head ticks all.
// Without this script each row is ticked by itself.
"use strict";

for (const table of document.querySelectorAll("table.ticks")) {
  const ticks = [...table.querySelectorAll("tbody input[type=checkbox]")];
  const all = table.querySelector(".tick-all");
  const told = document.querySelector(".ticked");
  if (!all) {
    continue;
  }

  const tell = () => {
    const count = ticks.filter((tick) => tick.checked).length;
    all.checked = count === ticks.length;
    all.indeterminate = count > 0 && count < ticks.length;
    told.textContent = count === 0 ? "No lot is ticked." : `Ticked: ${count} of ${ticks.length}.`;
  };

  all.hidden = false;
  all.addEventListener("change", () => {
    for (const tick of ticks) {
      tick.checked = all.checked;
    }
    tell();
  });
  table.addEventListener("change", tell);
  table.addEventListener("keydown", (event) => {
    const way = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    const stops = [all, ...ticks];
    const at = stops.indexOf(event.target);
    if (way && at !== -1) {
      event.preventDefault();
      stops[Math.min(Math.max(at + way, 0), stops.length - 1)].focus();
    } else if (event.key === "Enter" && at !== -1) {
      event.preventDefault(); // a decision is sent by its button, never from a tick
    }
  });
  tell();
}
