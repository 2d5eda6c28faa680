/* Lights up what a figure of the prerequisite map needs, and what it opens, near and far. */

function closure(start, next) {
  const found = new Set();
  const waiting = [start];
  while (waiting.length) {
    for (const key of next.get(waiting.pop()) ?? []) {
      if (!found.has(key)) {
        found.add(key);
        waiting.push(key);
      }
    }
  }
  return found;
}

function lightUp(map) {
  const boxes = new Map([...map.querySelectorAll("[data-figure]")].map((box) => [box.dataset.figure, box]));
  const arrows = [...map.querySelectorAll("[data-from]")];
  const needs = new Map();
  const opens = new Map([...boxes.keys()].map((key) => [key, []]));
  for (const [key, box] of boxes) {
    needs.set(key, box.dataset.needs.split(" ").filter(Boolean));
    for (const need of needs.get(key)) opens.get(need).push(key);
  }

  function light(element, kind) {
    element.classList.add("lit");
    if (kind) element.classList.add(kind);
  }

  function show(key) {
    clear();
    const sides = [["needed", closure(key, needs)], ["opened", closure(key, opens)]];
    map.classList.add("lighting");
    light(boxes.get(key));
    for (const [kind, keys] of sides) {
      for (const other of keys) light(boxes.get(other), kind);
      const inside = (end) => end === key || keys.has(end);
      for (const arrow of arrows) if (inside(arrow.dataset.from) && inside(arrow.dataset.to)) light(arrow, kind);
    }
  }

  function clear() {
    map.classList.remove("lighting");
    for (const element of map.querySelectorAll(".lit")) element.classList.remove("lit", "needed", "opened");
  }

  /* What has the focus stays lit when the pointer goes away. */
  function rest() {
    const focused = document.activeElement?.closest("[data-figure]");
    if (focused && map.contains(focused)) show(focused.dataset.figure);
    else clear();
  }

  for (const [key, box] of boxes) {
    box.addEventListener("pointerenter", () => show(key));
    box.addEventListener("pointerleave", rest);
    box.addEventListener("focus", () => show(key));
    box.addEventListener("blur", clear);
  }
}

for (const map of document.querySelectorAll("[data-prerequisite-map]")) lightUp(map);
