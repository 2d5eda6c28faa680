// The row whose figure's card is open is marked in the register, also after the register was fetched anew.
"use strict";

function markOpenRow() {
  const card = document.querySelector("#card .card");
  for (const row of document.querySelectorAll("#register tr.chosen")) row.classList.remove("chosen");
  if (card) document.getElementById(card.dataset.row)?.classList.add("chosen");
}

document.addEventListener("htmx:afterSettle", markOpenRow);
document.addEventListener("htmx:afterSwap", markOpenRow);

// What the page said when it was opened is no longer true once something was changed on it.
document.addEventListener("htmx:afterRequest", (event) => {
  if (event.detail.requestConfig?.verb === "post") document.querySelector("main > .messages")?.remove();
});
