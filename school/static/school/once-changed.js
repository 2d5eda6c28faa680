// A form that asked to be read first says "all the same" on its button. Once something in it is changed that is
// no longer what pressing it does: it is looked at afresh.
for (const button of document.querySelectorAll("[data-once-changed]")) {
  button.form?.addEventListener("input", () => (button.textContent = button.dataset.onceChanged), { once: true });
}
