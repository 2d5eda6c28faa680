/* A mark of the register in the hand: what each lesson says to it, in its own cells and in words.
   Nothing is decided here; the server answers for every lesson at once. */

const ROOM_TO_GROW = 40; // pixels: what is said of a lesson may take another line or two

export class Hold {
  constructor(mark) {
    this.mark = mark;
    this.row = mark.closest("tr");
    this.table = mark.closest("table");
    this.heads = [...this.table.querySelectorAll("#board-lessons > th")];
    this.cells = [...this.row.querySelectorAll(":scope > td")];
    this.bar = document.getElementById("board-hold");
    this.kind = mark.dataset.mark;
    const cell = mark.closest("td");
    this.from = cell ? this.cells.indexOf(cell) : -1;
    this.origin = this.lessonOf(this.from);
    this.name = this.row.querySelector(".name a").textContent.trim();
    this.stops = this.heads.map((_, at) => at).filter((at) => this.lessonOf(at));
    this.at = this.from;
    this.answers = null;
  }

  lessonOf(place) {
    return this.heads[place]?.dataset.lesson ?? "";
  }

  /* Why nothing can be put down in a column; "" where it can, or is none. */
  refuses(place) {
    return this.heads[place]?.dataset.refuses ?? "";
  }

  /* Ask every lesson. False where somebody changed the draft since it was drawn. */
  async ask() {
    const asked = new URLSearchParams({ kind: this.kind, version: this.table.dataset.version });
    if (this.kind === "again") asked.set("origin", this.origin);
    const answer = await fetch(`${this.mark.getAttribute("href")}places/?${asked}`, { headers: { Accept: "application/json" } });
    if (!answer.ok) throw new Error(`the lessons did not answer: ${answer.status}`);
    const said = await answer.json();
    if (said.stale) return false;
    this.answers = said.places;
    if (this.isHeld) this.draw();
    return true;
  }

  take() {
    this.isHeld = true;
    this.table.classList.add("holding");
    this.row.classList.add("held-row");
    this.mark.classList.add("held");
    this.mark.setAttribute("aria-pressed", "true");
    light(this.row);
    this.bar.hidden = false;
    const word = this.kind === "again" ? "Again" : "New";
    const stands = this.from < 0 ? "in no lesson" : this.heads[this.from].dataset.called;
    this.bar.querySelector(".held").textContent = `In your hand: ${this.name}, ${word}. It stands in ${stands.replace(/^L/, "l").replace(/^in /, "")}.`;
    this.draw();
    const below = this.row.getBoundingClientRect().bottom;
    this.bar.classList.toggle("above", below > this.bar.getBoundingClientRect().top - ROOM_TO_GROW);
  }

  draw() {
    for (const at of this.stops) {
      const said = this.answers?.[this.lessonOf(at)];
      const cell = this.cells[at];
      cell.classList.toggle("may", Boolean(said?.may));
      cell.classList.toggle("may-not", Boolean(said && !said.may));
      let word = cell.querySelector(".says");
      if (!word) {
        word = document.createElement("span");
        word.className = "says";
        cell.append(word);
      }
      const sign = said?.may ? "✓" : "✕";
      word.textContent = !said ? "" : at === this.from ? "stands here" : `${sign} ${said.short}`;
    }
    this.point(this.at);
  }

  /* Over a lesson (its column), out of the plan ("none"), or nowhere (-1). */
  point(at) {
    this.at = at;
    for (const head of this.heads) head.classList.remove("target");
    for (const cell of this.cells) cell.classList.remove("target");
    this.heads[at]?.classList.add("target");
    this.cells[at]?.classList.add("target");
    this.row.querySelector(".name").classList.toggle("target", at === "none");
    this.bar.querySelector(".over").textContent = this.words(at);
  }

  words(at) {
    if (at === -1) return "";
    if (at !== this.from && this.refuses(at)) return `✕ ${this.refuses(at)}`;
    const where = at === "none" ? "Out of the plan" : this.heads[at].dataset.called;
    if (!this.answers) return `${where}: asking.`;
    const said = this.answers[at === "none" ? "none" : this.lessonOf(at)];
    if (!said) return `${where}.`;
    if (at === this.from) return `${where}: it stands here.`;
    const cost = said.costs.length ? ` ${said.costs.join(". ")}.` : "";
    return said.may ? `${where}: ✓ ${said.short}.${cost}` : `${where}: ✕ ${said.short}. ${said.sentence}${cost}`;
  }

  step(by) {
    const place = this.stops.indexOf(this.at);
    const next = place < 0 ? (by > 0 ? 0 : this.stops.length - 1) : place + by;
    if (next >= 0 && next < this.stops.length) this.point(this.stops[next]);
    this.cells[this.at]?.scrollIntoView({ block: "nearest", inline: "nearest" });
  }

  /* Where it would be put down: a lesson's key, "" for out of the plan, null for nothing to do. */
  get target() {
    if (this.at === "none") return this.origin === "" ? null : "";
    const lesson = this.lessonOf(this.at);
    return lesson && this.at !== this.from ? lesson : null;
  }

  drop() {
    this.isHeld = false;
    this.table.classList.remove("holding");
    this.row.classList.remove("held-row");
    this.mark.classList.remove("held");
    this.mark.removeAttribute("aria-pressed");
    this.row.querySelector(".name").classList.remove("target");
    for (const one of [...this.cells, ...this.heads]) one.classList.remove("may", "may-not", "target");
    for (const word of this.row.querySelectorAll(".says")) word.remove();
    unlight(this.table);
    this.bar.hidden = true;
    this.bar.classList.remove("above");
    for (const line of this.bar.querySelectorAll(".held, .over")) line.textContent = "";
  }
}

/* What a figure needs, and what waits for it, is lit in their rows. */
export function light(row) {
  const table = row.closest("table");
  unlight(table);
  const own = row.id.replace("figure-", "");
  const needs = (row.dataset.needs ?? "").split(" ").filter(Boolean);
  for (const need of needs) table.querySelector(`#figure-${need}`)?.classList.add("is-needed");
  for (const other of table.querySelectorAll("tr[data-needs]")) {
    if (other.dataset.needs.split(" ").includes(own)) other.classList.add("waits");
  }
}

export function unlight(table) {
  for (const row of table.querySelectorAll(".is-needed, .waits")) row.classList.remove("is-needed", "waits");
}
