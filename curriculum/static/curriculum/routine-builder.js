// The builder's row by keyboard and by dragging. Without it every change is a link or a form of the page.
//
// Places are those of the row, corners counted, from 1. A stop is a figure or a corner of the strip. A figure
// that runs over the end of a line is drawn in two parts; only the first is a stop.

const FURTHER_THAN = 8; // pixels: less is a click
let drag = null;
let focusNext = ""; // what has the focus once the builder was put anew: "stop", "panel" or ""
let justDragged = false;

const builder = () => document.getElementById("builder");
const strip = () => [...document.querySelectorAll(".editable .strip-picture")].find((svg) => svg.getClientRects().length);
const placeOf = (stop) => Number(stop.dataset.place);
const stops = (which = "a") =>
  [...(strip()?.querySelectorAll(`${which}[data-place][aria-label]`) ?? [])].sort((one, other) => placeOf(one) - placeOf(other));
const stopAt = (target) => target.closest?.(".editable a[data-place]");

function send(doing, at, to = "") {
  const form = document.querySelector("[data-by-hand]");
  form.elements.do.value = doing;
  form.elements.at.value = at;
  form.elements.to.value = to;
  focusNext = "stop";
  form.requestSubmit();
}

function choose(place) {
  document.querySelector(`[data-row="${place}"]`)?.click();
}

document.addEventListener("click", (event) => {
  const stop = stopAt(event.target);
  if (!stop) return;
  event.preventDefault();
  if (justDragged) return;
  choose(placeOf(stop));
  focusNext = "panel";
});

document.addEventListener("submit", (event) => {
  if (builder()?.contains(event.target) && !event.target.matches("[data-by-hand]")) focusNext = "panel";
});

document.addEventListener("keydown", (event) => {
  const stop = stopAt(event.target);
  if (!stop || event.ctrlKey || event.metaKey) return;
  const all = stops();
  const here = all.indexOf(stop);
  const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
  if (step && event.altKey) {
    const next = all[here + step];
    if (next) send(step < 0 ? "earlier" : "later", placeOf(stop));
  } else if (step) {
    all[here + step]?.focus();
  } else if (event.key === "Home") {
    all[0].focus();
  } else if (event.key === "End") {
    all.at(-1).focus();
  } else if (event.key === "Delete" || event.key === "Backspace") {
    send("out", placeOf(stop));
  } else {
    return;
  }
  event.preventDefault();
});

// ---- dragging

document.addEventListener("dragstart", (event) => {
  if (event.target.closest?.(".editable")) event.preventDefault();
});

document.addEventListener("pointerdown", (event) => {
  const block = event.target.closest?.(".editable a.piece");
  justDragged = false;
  if (block && event.isPrimary && event.button === 0) drag = { block, x: event.clientX, y: event.clientY, moved: false };
});

document.addEventListener("pointermove", (event) => {
  if (!drag) return;
  if (!drag.moved && Math.hypot(event.clientX - drag.x, event.clientY - drag.y) < FURTHER_THAN) return;
  drag.moved = true;
  drag.block.closest(".editable").classList.add("dragging");
  drag.block.classList.add("carried");
  drag.drop = dropAt(event.clientX, event.clientY);
  mark(drag.drop);
});

function drop() {
  if (!drag) return;
  const { block, moved, drop: where } = drag;
  drag = null;
  document.querySelector(".drop-at")?.remove();
  document.querySelector(".dragging")?.classList.remove("dragging");
  block.classList.remove("carried");
  justDragged = moved;
  setTimeout(() => (justDragged = false)); // only the click of this very press is none
  const at = placeOf(block);
  if (!moved || !where || where.to === at) return;
  send("move", at, where.to);
}

document.addEventListener("pointerup", drop);
document.addEventListener("pointercancel", () => {
  if (drag) drag.moved = false;
  drop();
});
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape" || !drag) return;
  drag.drop = null;
  drop();
});

// The gap nearest to the pointer: beside which block, on which side, and which place that is afterwards.
function dropAt(x, y) {
  const at = placeOf(drag.block);
  let best = null;
  for (const block of stops("a.piece")) {
    const box = block.querySelector("rect").getBoundingClientRect();
    const away = Math.max(box.top - y, y - box.bottom, 0) * 4 + Math.abs((box.left + box.right) / 2 - x);
    if (best && away >= best.away) continue;
    const after = x > (box.left + box.right) / 2;
    const place = placeOf(block);
    const to = after ? (place >= at ? place : place + 1) : place > at ? place - 1 : place;
    best = { block, after, to, away };
  }
  return best;
}

function mark(where) {
  document.querySelector(".drop-at")?.remove();
  if (!where) return;
  const rect = where.block.querySelector("rect");
  const x = Number(rect.getAttribute("x")) + (where.after ? Number(rect.getAttribute("width")) : 0);
  const line = document.createElementNS("http://www.w3.org/2000/svg", "path");
  line.setAttribute("class", "drop-at");
  line.setAttribute("d", `M${x} 20v98`);
  where.block.parentNode.append(line);
}

// ---- after the builder was put anew

function settle() {
  for (const hint of document.querySelectorAll("[data-keys]")) hint.hidden = false;
  const wanted = focusNext;
  focusNext = "";
  const at = Number(builder()?.dataset.at);
  const stop = stops().find((one) => placeOf(one) === at);
  if (wanted === "stop" && stop) stop.focus();
  else if (wanted) document.getElementById("place")?.focus();
}

document.addEventListener("htmx:afterSettle", settle);
settle();
