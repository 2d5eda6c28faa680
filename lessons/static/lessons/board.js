/* Marks of a draft's register are moved: dragged, or taken up and carried with the keys.
   Without this script each mark is a link to the figure's card, whose form does the same. */

import { Hold, light, unlight } from "./board-hold.js";

const FAR_ENOUGH = 6; // pixels until a press is a drag
const EDGE = 48; // pixels from the side of the register in which it scrolls along
const htmx = window.htmx;

let hold = null;
let press = null;
let ghost = null;

const register = () => document.getElementById("register");
const markOf = (event) => event.target.closest?.("#register [data-mark]");

async function takeUp(mark) {
  closeSaid();
  hold = new Hold(mark);
  const mine = hold;
  mine.take();
  try {
    if (await mine.ask()) return;
    const place = placeOf(mine);
    letGo();
    await refresh();
    focusOn(place);
  } catch (error) {
    if (hold === mine) letGo();
    say("The lessons could not be asked just now. The figure’s card moves it as well.");
    console.warn(error);
  }
}

function letGo() {
  hold?.drop();
  hold = null;
  ghost?.remove();
  ghost = null;
  press = null;
}

function placeOf(held, lesson = held.origin) {
  return { row: held.row.id, kind: held.kind, lesson };
}

/* What a touch of the register did stands below, and what is above it may grow: the row stays where it is. */
async function answered(row, ask) {
  const stood = document.getElementById(row)?.getBoundingClientRect().top;
  await ask();
  settle();
  const stands = document.getElementById(row)?.getBoundingClientRect().top;
  if (stood !== undefined && stands !== undefined) window.scrollBy(0, stands - stood);
  const said = document.querySelector("#board-said.touched")?.getBoundingClientRect();
  const line = document.getElementById(row)?.getBoundingClientRect();
  if (said && line && line.bottom > said.top) window.scrollBy(0, line.bottom - said.top);
}

async function putDown() {
  const held = hold;
  const target = held.target;
  letGo();
  if (target === null) {
    const refused = held.refuses(held.at);
    if (refused) say(refused);
    return held.mark.focus();
  }
  const values = {
    figure: held.row.id.replace("figure-", ""),
    kind: held.kind,
    origin: held.origin,
    target,
    version: register().dataset.version,
  };
  held.mark.classList.add("going");
  const { move } = register().dataset;
  await answered(held.row.id, () => htmx.ajax("POST", move, { values, swap: "none", source: register() }));
  focusOn(placeOf(held, target));
}

async function refresh() {
  const { now, version } = register().dataset;
  await htmx.ajax("GET", `${now}?version=${version}`, { swap: "none", source: register() });
  settle();
}

/* The answer carries the version the draft has now. */
function settle() {
  const said = document.getElementById("board-said");
  if (said) register().dataset.version = said.dataset.version;
}

function closeSaid() {
  const said = document.getElementById("board-said");
  said?.classList.remove("touched");
  said?.querySelector("[role=status]").replaceChildren();
}

function say(words) {
  const status = document.querySelector("#board-said [role=status]");
  const note = document.createElement("p");
  note.className = "note warn";
  note.textContent = words;
  status?.replaceChildren(note);
  document.getElementById("board-said")?.classList.add("touched");
}

/* The mark that was moved has the focus where it stands now; where it stands nowhere, its figure has. */
function focusOn({ row, kind, lesson }) {
  const line = document.getElementById(row);
  if (!line) return;
  const heads = [...register().querySelectorAll("#board-lessons > th")];
  const cell = line.querySelectorAll(":scope > td")[heads.findIndex((head) => head.dataset.lesson === lesson)];
  const marks = [cell?.querySelector(`[data-mark=${kind}]`), line.querySelector(".name [data-mark]")];
  const mark = marks.find(Boolean) ?? line.querySelector(".name a");
  mark?.focus({ preventScroll: true });
}

function columnUnder(event) {
  const box = register().closest(".board-box").getBoundingClientRect();
  if (event.clientY < box.top - 40 || event.clientY > box.bottom + 40) return -1;
  const names = hold.row.querySelector(".name").getBoundingClientRect();
  if (event.clientX <= names.right && event.clientX >= names.left) return "none";
  const at = hold.cells.findIndex((cell) => {
    const seen = cell.getBoundingClientRect();
    return event.clientX >= seen.left && event.clientX < seen.right;
  });
  return hold.lessonOf(at) || hold.refuses(at) ? at : -1;
}

function follow(event) {
  ghost.style.left = `${event.clientX}px`;
  ghost.style.top = `${event.clientY}px`;
  const box = register().closest(".board-box");
  const seen = box.getBoundingClientRect();
  const names = hold.row.querySelector(".name").getBoundingClientRect();
  if (event.clientX > seen.right - EDGE) box.scrollLeft += 14;
  else if (event.clientX > names.right && event.clientX < names.right + EDGE) box.scrollLeft -= 14;
  const at = columnUnder(event);
  if (at !== hold.at) hold.point(at);
}

document.addEventListener("pointerdown", (event) => {
  const mark = markOf(event);
  if (!mark || event.button !== 0 || hold) return;
  press = { mark, x: event.clientX, y: event.clientY, id: event.pointerId };
});

document.addEventListener("pointermove", (event) => {
  if (!press || event.pointerId !== press.id) return;
  if (!ghost) {
    if (Math.hypot(event.clientX - press.x, event.clientY - press.y) < FAR_ENOUGH) return;
    ghost = press.mark.cloneNode(true);
    ghost.className += " ghost";
    ghost.removeAttribute("href");
    document.body.append(ghost);
    takeUp(press.mark);
  }
  if (hold) follow(event);
});

document.addEventListener("pointerup", (event) => {
  if (!press || event.pointerId !== press.id) return;
  const dragged = Boolean(ghost);
  press = null;
  if (!dragged) return;
  swallowClick();
  if (hold) putDown();
  else letGo();
});

document.addEventListener("pointercancel", () => {
  if (ghost) letGo();
  press = null;
});

/* The click that ends a drag is none. */
function swallowClick() {
  const stop = (event) => {
    event.preventDefault();
    event.stopPropagation();
  };
  document.addEventListener("click", stop, { capture: true, once: true });
  setTimeout(() => document.removeEventListener("click", stop, { capture: true }), 0);
}

document.addEventListener("dragstart", (event) => {
  if (markOf(event)) event.preventDefault();
});

document.addEventListener("click", (event) => {
  if (event.target.closest("[data-close-said]")) return closeSaid();
  const mark = markOf(event);
  if (!mark || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  htmx.ajax("GET", mark.getAttribute("href"), {
    target: "#card",
    swap: "innerHTML show:#card:top",
    values: { seen: register().dataset.version },
  });
});

const KEYS = {
  ArrowRight: () => hold.step(1),
  ArrowLeft: () => hold.step(-1),
  Home: () => hold.point(hold.stops[0]),
  End: () => hold.point(hold.stops.at(-1)),
  Delete: () => hold.point("none"),
  Backspace: () => hold.point("none"),
  Enter: () => putDown(),
  " ": () => putDown(),
  Escape: () => {
    const { mark } = hold;
    letGo();
    mark.focus();
  },
};

document.addEventListener("keydown", (event) => {
  if (hold) {
    if (event.key === "Tab") return letGo();
    if (!KEYS[event.key]) return;
    event.preventDefault();
    KEYS[event.key]();
    return;
  }
  const mark = markOf(event);
  if (!mark || (event.key !== "Enter" && event.key !== " ")) return;
  event.preventDefault();
  takeUp(mark);
});

document.addEventListener("focusin", (event) => {
  if (hold) return;
  const mark = markOf(event);
  if (mark) light(mark.closest("tr"));
  else if (register()) unlight(register());
});

/* A mark is taken up like a button, and says so. */
function arm() {
  for (const mark of document.querySelectorAll("#register [data-mark]:not([role])")) {
    mark.setAttribute("role", "button");
    mark.setAttribute("aria-describedby", "board-help");
    mark.setAttribute("draggable", "false");
  }
}

const help = document.getElementById("board-help");
if (help) help.hidden = false;
arm();
document.addEventListener("htmx:afterSettle", arm);
document.addEventListener("htmx:oobAfterSwap", () => {
  arm();
  if (register()) settle();
});
