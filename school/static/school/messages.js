/* What was said of the last action goes with the next one: on a page of which only parts come anew, it would
   stand there when it is no longer true. */

document.addEventListener("htmx:beforeRequest", (event) => {
  if (event.detail.requestConfig.verb !== "get") document.querySelector(".messages")?.remove();
});
