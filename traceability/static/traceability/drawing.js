// A drawn trace answers to the pointer and the keyboard: all that leads to a node, and all that it leads to, stands out.
// It also begins with the lot asked for in view. Without this script the drawing is complete, only still.
"use strict";

function reach(links, start, from, to) {
  const found = { nodes: new Set([start]), links: new Set() };
  const waiting = [start];
  while (waiting.length) {
    for (const link of links.get(waiting.pop())?.[from] ?? []) {
      found.links.add(link);
      if (!found.nodes.has(link.dataset[to])) {
        found.nodes.add(link.dataset[to]);
        waiting.push(link.dataset[to]);
      }
    }
  }
  return found;
}

function linksByNode(drawing) {
  const links = new Map();
  const of = (node) => links.get(node) ?? links.set(node, { parent: [], child: [] }).get(node);
  for (const link of drawing.querySelectorAll(".trace-links .trace-link")) {
    of(link.dataset.parent).parent.push(link);
    of(link.dataset.child).child.push(link);
  }
  return links;
}

function follow(drawing, links, node) {
  const back = reach(links, node, "child", "parent");
  const forward = reach(links, node, "parent", "child");
  for (const box of drawing.querySelectorAll(".trace-node")) {
    const id = box.dataset.node;
    box.classList.toggle("is-followed", back.nodes.has(id) || forward.nodes.has(id));
  }
  for (const line of drawing.querySelectorAll(".trace-links .trace-link")) {
    line.classList.toggle("is-followed", back.links.has(line) || forward.links.has(line));
  }
  drawing.classList.add("is-following");
}

function showSubject(drawing, frame) {
  const subject = drawing.querySelector(".is-subject.trace-node");
  if (!subject || !frame) return;
  const box = subject.getBoundingClientRect();
  const room = frame.getBoundingClientRect();
  frame.scrollBy(box.left - room.left - (room.width - box.width) / 2, box.top - room.top - (room.height - box.height) / 2);
}

for (const drawing of document.querySelectorAll("svg.trace")) {
  const links = linksByNode(drawing);
  for (const node of drawing.querySelectorAll(".trace-node")) {
    const start = () => follow(drawing, links, node.dataset.node);
    const stop = () => drawing.classList.remove("is-following");
    node.addEventListener("pointerenter", start);
    node.addEventListener("pointerleave", stop);
    node.addEventListener("focus", start);
    node.addEventListener("blur", stop);
  }
  const frame = drawing.closest(".scroll");
  showSubject(drawing, frame);
  const whole = frame?.parentElement.querySelector(".trace-whole");
  if (whole && frame.scrollWidth > frame.clientWidth) {
    whole.hidden = false;
    whole.addEventListener("click", () => {
      const isWhole = drawing.classList.toggle("is-whole");
      whole.setAttribute("aria-pressed", String(isWhole));
      if (!isWhole) showSubject(drawing, frame);
    });
  }
}
