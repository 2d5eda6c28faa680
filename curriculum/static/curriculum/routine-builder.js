// The builder's row by keyboard and by dragging. Without it every change is a link or a form of the page.
//
// Places are those of the row, corners counted, from 1. A stop is a figure or a corner of the strip. A figure
// that runs over the end of a line is drawn in two parts; only the first is a stop.

const FURTHER_THAN = 8; // pixels: less is a click
let drag = null;
let focusNext = ""; // what has the focus once the builder was put anew: "stop", "panel", "bridges" or ""
let justDragged = false;

const builder = () => document.getElementById("builder");
const strip = () => [...document.querySelectorAll(".editable .strip-picture")].find((svg) => svg.getClientRects().length);
const placeOf = (stop) => Number(stop.dataset.place);
const stops = (which = "a") =>
  [...(strip()?.querySelectorAll(`${which}[data-place][aria-label]`) ?? [])].sort((one, other) => placeOf(one) - placeOf(other));
const stopAt = (target) => target.closest?.(".editable a[data-place]");

function send(doing, at, to = "", passages = "") {
  const form = document.querySelector("[data-by-hand]");
  form.elements.do.value = doing;
  form.elements.at.value = at;
  form.elements.to.value = to;
  form.elements.passages.value = passages;
  focusNext = "stop";
  form.requestSubmit();
}

function choose(place) {
  document.querySelector(`[data-row="${place}"]`)?.click();
}

// A link of the list leads to what can be done there; the others keep the focus, for they have an id.
document.addEventListener("click", (event) => {
  if (event.target.closest?.("#builder [data-row]")) focusNext = "panel";
  if (event.target.closest?.("#builder .mend")) focusNext = "bridges";
});

document.addEventListener("click", (event) => {
  const stop = stopAt(event.target);
  if (!stop) return;
  event.preventDefault();
  if (justDragged) return;
  choose(placeOf(stop));
});

document.addEventListener("submit", (event) => {
  if (builder()?.contains(event.target) && !event.target.matches("[data-by-hand], .look")) focusNext = "panel";
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

// ---- dragging: a figure along the strip or off it, a choice into a gap or onto a figure

const OFF = 60; // pixels beside the strip: a figure let go there is taken out

document.addEventListener("dragstart", (event) => {
  if (event.target.closest?.(".editable")) event.preventDefault();
});

document.addEventListener("pointerdown", (event) => {
  justDragged = false;
  if (!event.isPrimary || event.button !== 0) return;
  const figure = event.target.closest?.(".editable a.piece");
  const choice = event.target.closest?.(".choices .choice");
  if (figure ?? choice) drag = { figure, choice, x: event.clientX, y: event.clientY, moved: false };
});

document.addEventListener("pointermove", (event) => {
  if (!drag || !strip()) return;
  if (!drag.moved && Math.hypot(event.clientX - drag.x, event.clientY - drag.y) < FURTHER_THAN) return;
  drag.moved = true;
  document.querySelector(".editable").classList.add("dragging");
  (drag.figure ?? drag.choice).classList.add("carried");
  drag.goal = goalAt(event.clientX, event.clientY);
  mark(drag.goal);
});

document.addEventListener("pointerup", letGo);
document.addEventListener("pointercancel", () => {
  if (drag) drag.goal = null;
  letGo();
});
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape" || !drag) return;
  drag.goal = null;
  letGo();
});

function letGo() {
  if (!drag) return;
  const { figure, choice, moved, goal } = drag;
  drag = null;
  mark(null);
  document.querySelector(".dragging")?.classList.remove("dragging");
  (figure ?? choice).classList.remove("carried");
  justDragged = moved && Boolean(figure ?? goal);
  setTimeout(() => (justDragged = false)); // only the click of this very press is none
  if (moved && goal) carryOut(figure, choice, goal);
}

// What letting go there means. A gap is named by the place before it.
function carryOut(figure, choice, { place, zone }) {
  if (choice && zone === "on") send("replace", place, "", choice.value);
  else if (choice) send("add", zone === "after" ? place : place - 1, "", choice.value);
  else if (zone === "off") send("out", placeOf(figure));
  else {
    const at = placeOf(figure);
    const to = zone === "after" ? (place >= at ? place : place + 1) : place > at ? place - 1 : place;
    if (to !== at) send("move", at, to);
  }
}

// The figure of the strip nearest to the pointer, and where beside or on it the pointer is.
function goalAt(x, y) {
  const whole = strip().getBoundingClientRect();
  const off = y < whole.top - OFF || y > whole.bottom + OFF || x < whole.left - OFF || x > whole.right + OFF;
  if (off) return drag.figure ? { zone: "off" } : null;
  let best = null;
  for (const block of stops("a.piece")) {
    const box = block.querySelector("rect").getBoundingClientRect();
    const away = Math.max(box.top - y, y - box.bottom, 0) * 4 + Math.max(box.left - x, x - box.right, 0);
    if (!best || away < best.away) best = { block, box, place: placeOf(block), away };
  }
  if (!best) return null;
  const across = (x - best.box.left) / best.box.width;
  const onIt = drag.choice && across > 0.3 && across < 0.7;
  return { ...best, zone: onIt ? "on" : across > 0.5 ? "after" : "before" };
}

function mark(goal) {
  document.querySelector(".drop-at")?.remove();
  document.querySelector(".editable .over")?.classList.remove("over");
  strip()?.closest(".editable").classList.toggle("takes-out", goal?.zone === "off");
  if (!goal?.block) return;
  if (goal.zone === "on") {
    goal.block.classList.add("over");
    return;
  }
  const rect = goal.block.querySelector("rect");
  const x = Number(rect.getAttribute("x")) + (goal.zone === "after" ? Number(rect.getAttribute("width")) : 0);
  const line = document.createElementNS("http://www.w3.org/2000/svg", "path");
  line.setAttribute("class", "drop-at");
  line.setAttribute("d", `M${x} 20v98`);
  goal.block.parentNode.append(line);
}

document.addEventListener(
  "click",
  (event) => {
    if (!justDragged || !event.target.closest?.(".choices .choice")) return;
    event.preventDefault();
    event.stopPropagation();
  },
  true,
);

// ---- after the builder was put anew

function settle() {
  for (const hint of document.querySelectorAll("[data-keys]")) hint.hidden = false;
  const wanted = focusNext;
  focusNext = "";
  if (wanted === "stop") goTo(stopNear(Number(builder()?.dataset.at)) ?? document.getElementById("place"));
  else if (wanted) goTo((wanted === "bridges" && document.getElementById("bridges")) || document.getElementById("place"));
}

// The stop at the place; at the start of the row, which is none, the one beside it.
function stopNear(at) {
  const all = stops();
  return all.findLast((one) => placeOf(one) <= at) ?? all[0];
}

// Focus, in sight: below the line that stays on top, and a heading with what stands under it.
function goTo(thing) {
  if (!thing) return;
  thing.focus({ preventScroll: true });
  const { top, bottom } = thing.getBoundingClientRect();
  const covered = document.querySelector(".report-line")?.getBoundingClientRect().bottom ?? 0;
  const lowest = thing.closest(".editable") ? window.innerHeight : window.innerHeight * 0.6;
  if (top < Math.max(covered, 0) || bottom > lowest) thing.scrollIntoView({ block: thing.closest(".editable") ? "center" : "start" });
}

document.addEventListener("htmx:afterSettle", settle);
settle();

// What the browser kept of the page when it was left may be older than the routine.
window.addEventListener("pageshow", (event) => {
  if (event.persisted) window.location.reload();
});
