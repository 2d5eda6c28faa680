// A register too wide for the screen opens where the term has got to: at tonight, or the next lesson to come.
function openAtNow(box) {
  const past = [...box.querySelectorAll("tbody td.past")];
  const names = box.querySelector("tbody .name");
  const edge = Math.max(0, ...past.map((cell) => cell.offsetLeft + cell.offsetWidth));
  // One lesson that has been stays in sight, for where it came from.
  const kept = past.length ? past[0].offsetWidth : 0;
  if (names) box.scrollLeft = Math.max(0, edge - kept - names.offsetWidth);
}

const boxes = document.querySelectorAll("[data-opens-at-now]");
for (const box of boxes) openAtNow(box);

// A card beside it makes it narrower; where the reader has not scrolled yet, it opens at now again.
document.addEventListener("htmx:afterSwap", (event) => {
  if (event.detail.target?.id !== "card") return;
  for (const box of boxes) if (!box.scrollLeft) openAtNow(box);
});
