/* A button beside a field copies what stands in it. Without this script the field is there to be copied by hand. */

for (const button of document.querySelectorAll("[data-copies]")) {
  const field = document.getElementById(button.dataset.copies);
  const said = button.parentElement.querySelector("[data-copied]");
  button.hidden = false;
  button.addEventListener("click", async () => {
    field.select();
    try {
      // Only there on HTTPS and localhost, and a browser may refuse it.
      await navigator.clipboard.writeText(field.value);
      said.textContent = "Copied.";
    } catch {
      said.textContent = "It is marked: copy it by hand.";
    }
  });
}
