/* The button that prints; without this script the browser's own menu does. */

for (const press of document.querySelectorAll("[data-print]")) {
  press.hidden = false;
  press.addEventListener("click", () => print());
}
