// A register too wide for the screen opens where the term has got to: at tonight, or the next lesson to come.
for (const box of document.querySelectorAll("[data-opens-at-now]")) {
  const past = [...box.querySelectorAll("tbody td.past")];
  const names = box.querySelector("tbody .name");
  const edge = Math.max(0, ...past.map((cell) => cell.offsetLeft + cell.offsetWidth));
  // One lesson that has been stays in sight, for where it came from.
  const kept = past.length ? past[0].offsetWidth : 0;
  if (names) box.scrollLeft = Math.max(0, edge - kept - names.offsetWidth);
}
