// The chart grid by keyboard, and rows pasted from a spreadsheet. Without this file the grid is a plain form
// whose row buttons are answered by the server; here the same is done at once.

const table = document.querySelector("table.grid");
if (table) {
  const form = table.closest("form");
  const most = Number(table.dataset.most);
  const status = form.querySelector("[data-grid-says]");
  const undoButton = document.createElement("button");
  const before = [];
  let dirty = false;

  const rows = () => [...table.querySelectorAll("tbody.grid-row")];
  const cells = (row) => [...row.querySelectorAll("td > input")];
  const values = () => rows().map((row) => cells(row).map((cell) => cell.value));
  const place = (cell) => {
    const row = cell.closest("tbody");
    return [rows().indexOf(row), cells(row).indexOf(cell)];
  };

  const goTo = (rowNumber, column) => {
    const all = rows();
    const row = all[Math.max(0, Math.min(rowNumber, all.length - 1))];
    const cell = cells(row)[Math.max(0, Math.min(column, cells(row).length - 1))];
    cell.focus();
    cell.select();
  };

  const say = (text) => { status.textContent = text; };

  // Tells the form, so that what follows from the chart is worked out anew.
  const changed = () => {
    dirty = true;
    table.dispatchEvent(new Event("change", { bubbles: true }));
  };

  const number = () => {
    rows().forEach((row, index) => {
      const summary = row.querySelector("summary");
      summary.textContent = index + 1;
      summary.setAttribute("aria-label", `row ${index + 1}, change the row`);
      summary.tabIndex = -1;
      for (const cell of cells(row)) cell.setAttribute("aria-label", `${cell.dataset.name}, row ${index + 1}`);
      for (const button of row.querySelectorAll("button[name=do]")) {
        button.value = `${button.value.split(":")[0]}:${index}`;
      }
    });
  };

  const emptyRow = () => {
    const row = rows()[0].cloneNode(true);
    row.className = "grid-row";
    row.querySelector("tr.said")?.remove();
    row.querySelector("details").open = false;
    for (const cell of cells(row)) {
      cell.value = "";
      cell.removeAttribute("value");
      cell.removeAttribute("aria-invalid");
      cell.removeAttribute("aria-describedby");
    }
    return row;
  };

  const grow = (wanted) => {
    while (rows().length < Math.min(wanted, most)) table.append(emptyRow());
  };

  // Keeps the grid as it is, so that what comes next can be undone.
  const keep = () => {
    before.push(values());
    undoButton.hidden = false;
  };

  const undo = () => {
    const kept = before.pop();
    if (!kept) return;
    grow(kept.length);
    rows().slice(kept.length).forEach((row) => row.remove());
    rows().forEach((row, index) => cells(row).forEach((cell, column) => { cell.value = kept[index][column]; }));
    undoButton.hidden = before.length === 0;
    number();
    changed();
    say("Undone.");
    goTo(0, 0);
  };

  const full = () => {
    if (rows().length < most) return false;
    say(`A chart has at most ${most} rows.`);
    return true;
  };

  const deeds = {
    below(index, column) {
      if (full()) return;
      keep();
      rows()[index].after(emptyRow());
      say(`Row ${index + 2} is new.`);
      finish(index + 1, column);
    },
    out(index, column) {
      keep();
      const row = rows()[index];
      if (rows().length === 1) row.after(emptyRow());
      row.remove();
      say(`Row ${index + 1} is out.`);
      finish(index, column);
    },
    up(index, column) {
      if (index === 0) return;
      keep();
      rows()[index - 1].before(rows()[index]);
      say(`It is row ${index} now.`);
      finish(index - 1, column);
    },
    down(index, column) {
      if (index === rows().length - 1) return;
      keep();
      rows()[index + 1].after(rows()[index]);
      say(`It is row ${index + 2} now.`);
      finish(index + 1, column);
    },
  };

  const finish = (index, column) => {
    number();
    changed();
    goTo(index, column);
  };

  const whole = (cell) => cell.selectionStart === 0 && cell.selectionEnd === cell.value.length;
  const atStart = (cell) => whole(cell) || cell.selectionEnd === 0;
  const atEnd = (cell) => whole(cell) || cell.selectionStart === cell.value.length;

  const withAlt = { Enter: "below", Delete: "out", ArrowUp: "up", ArrowDown: "down" };

  table.addEventListener("keydown", (event) => {
    const cell = event.target;
    if (!(cell instanceof HTMLInputElement) || event.ctrlKey || event.metaKey || event.isComposing) return;
    const [row, column] = place(cell);
    if (event.altKey) {
      if (!(event.key in withAlt)) return;
      event.preventDefault();
      deeds[withAlt[event.key]](row, column);
      return;
    }
    if (event.key === "Enter") {
      event.preventDefault();
      if (!event.shiftKey && row === rows().length - 1 && !full()) { grow(row + 2); number(); }
      goTo(row + (event.shiftKey ? -1 : 1), column);
    } else if (event.shiftKey) {
      return;
    } else if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      goTo(row + (event.key === "ArrowDown" ? 1 : -1), column);
    } else if (event.key === "ArrowLeft" && column > 0 && atStart(cell)) {
      event.preventDefault();
      goTo(row, column - 1);
    } else if (event.key === "ArrowRight" && column < cells(rows()[row]).length - 1 && atEnd(cell)) {
      event.preventDefault();
      goTo(row, column + 1);
    }
  });

  // A cell of a spreadsheet that holds a tab, a line end or a quote comes in quotes, its own quotes doubled.
  const split = (text) => {
    const lines = [[""]];
    let quoted = false;
    for (let at = 0; at < text.length; at += 1) {
      const line = lines[lines.length - 1];
      const last = line.length - 1;
      const sign = text[at];
      if (quoted && sign === '"' && text[at + 1] === '"') { line[last] += '"'; at += 1; }
      else if (quoted && sign === '"') quoted = false;
      else if (quoted) line[last] += sign === "\n" ? " " : sign;
      else if (sign === '"' && line[last] === "") quoted = true;
      else if (sign === "\t") line.push("");
      else if (sign === "\n") lines.push([""]);
      else line[last] += sign;
    }
    if (lines.length > 1 && lines[lines.length - 1].join("") === "") lines.pop();
    return lines;
  };

  table.addEventListener("paste", (event) => {
    const cell = event.target;
    const text = (event.clipboardData?.getData("text/plain") ?? "").replace(/\r\n?/g, "\n");
    if (!(cell instanceof HTMLInputElement) || !/[\t\n]/.test(text.trimEnd())) return;
    event.preventDefault();
    const [row, column] = place(cell);
    const lines = split(text);
    keep();
    grow(row + lines.length);
    number();
    const all = rows();
    const fits = lines.slice(0, all.length - row);
    let beyond = 0;
    fits.forEach((line, down) => {
      const targets = cells(all[row + down]);
      line.forEach((value, across) => {
        const target = targets[column + across];
        if (target) target.value = value.trim();
        else if (value.trim()) beyond += 1;
      });
    });
    const left = lines.length - fits.length;
    say(`${fits.length} ${fits.length === 1 ? "row" : "rows"} pasted.`
      + (left ? ` ${left} found no room: a chart has at most ${most} rows.` : "")
      + (beyond ? ` ${beyond} ${beyond === 1 ? "cell" : "cells"} beyond the last column left out.` : ""));
    finish(row, column);
  });

  form.addEventListener("click", (event) => {
    const button = event.target.closest("button[name=do]");
    if (!button) return;
    const [name, index] = button.value.split(":");
    if (name === "more") {
      event.preventDefault();
      if (full()) return;
      const old = rows().length;
      grow(old + 8);
      number();
      goTo(old, 0);
    } else if (name in deeds) {
      event.preventDefault();
      button.closest("details").open = false;
      deeds[name](Number(index), 0);
    }
  });

  form.addEventListener("input", () => { dirty = true; });
  form.addEventListener("submit", () => { dirty = false; });
  window.addEventListener("beforeunload", (event) => { if (dirty) event.preventDefault(); });

  undoButton.type = "button";
  undoButton.className = "button quiet small";
  undoButton.textContent = "Undo";
  undoButton.hidden = true;
  undoButton.addEventListener("click", undo);
  status.before(undoButton);
  for (const hint of document.querySelectorAll(".with-script")) hint.hidden = false;
  number();
}
