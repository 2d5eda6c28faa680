/* The record form: filled in from what the live page saw, kept on the device before it is sent. Without
   this script it is a plain form. */

import { tell } from "./device.js";
import { became } from "./live-time.js";

const outbox = globalThis.freefootOutbox;
const form = document.querySelector("form[data-record]");

function choose(figure, outcome) {
  const radio = form.querySelector(`input[name="figure-${figure}-outcome"][value="${outcome}"]`);
  if (!radio) return false;
  radio.checked = true;
  return true;
}

/* Of a form nobody has filled in yet: what was skipped or cut short on the live page. */
function fillFromLivePage() {
  const kept = JSON.parse(localStorage.getItem(`freefoot:live:${form.dataset.record}`));
  if (!kept?.run) return;
  const seen = [...became(kept.plan, kept.run, Date.now() + kept.plan.shift)];
  const changed = seen.filter(([figure, fate]) => choose(figure, fate === "cut" ? "finish_later" : "not_reached"));
  const note = form.querySelector("[data-filled-in]");
  if (!changed.length || !note) return;
  note.textContent = "Filled in from the live page: what you skipped is marked. Change what went otherwise.";
  const press = form.querySelector("[data-as-planned]");
  press.textContent = "Record as filled in";
  press.removeAttribute("name");
}

/* What waits for the network stands in the form again, with the version it was written against. */
async function fillFromOutbox() {
  const waiting = (await outbox.all()).find(
    (entry) =>
      entry.person === Number(document.body.dataset.person) &&
      entry.lesson === form.dataset.record &&
      entry.state !== "sent",
  );
  if (!waiting) return false;
  const said = new URLSearchParams(waiting.body);
  for (const field of form.elements) {
    if (!field.name || field.name === "csrfmiddlewaretoken") continue;
    if (field.type === "radio" || field.type === "checkbox") field.checked = said.getAll(field.name).includes(field.value);
    else if (field.tagName !== "BUTTON" && field.name !== "figures" && said.has(field.name)) field.value = said.get(field.name);
  }
  return true;
}

function entryOf(submitter) {
  const data = new FormData(form, submitter);
  data.delete("csrfmiddlewaretoken");
  data.delete("submission");
  return {
    uuid: outbox.identifier(),
    person: Number(document.body.dataset.person),
    lesson: form.dataset.record,
    url: location.pathname,
    title: form.dataset.title,
    body: new URLSearchParams(data).toString(),
    at: Date.now(),
    state: "waiting",
    said: "",
  };
}

/* "To finish later" opens a field under the choice, which the bar at the foot must not hide. */
function showWhatOpened(event) {
  if (event.target.value === "finish_later") event.target.closest(".outcome-row").scrollIntoView({ block: "nearest" });
}

/* As a plain form would, but known by the entry's identifier; the form may have been kept for days. */
async function postPlainly(uuid) {
  form.elements.csrfmiddlewaretoken.value = (await outbox.token()) || form.elements.csrfmiddlewaretoken.value;
  const field = document.createElement("input");
  Object.assign(field, { type: "hidden", name: "submission", value: uuid });
  form.append(field);
  form.submit();
}

/* Before the lesson's hour the school takes a record only with a tick. Without network nobody would ask for
   it until much later, so it is asked for here, before anything is kept. */
function wantsItsTick() {
  const early = form.querySelector("[data-begins]");
  const tick = early?.querySelector("input[name=early]");
  if (!tick || tick.checked || Date.now() >= Number(early.dataset.begins)) return false;
  early.querySelector("[data-asks-early]")?.classList.add("error");
  early.scrollIntoView({ block: "center" });
  tick.focus({ preventScroll: true });
  return true;
}

async function record(event) {
  if (event.submitter?.name === "add") return;
  event.preventDefault();
  if (wantsItsTick()) return;
  if (form.dataset.sending) return;
  form.dataset.sending = "1";
  const entry = entryOf(event.submitter);
  try {
    await outbox.put(entry);
  } catch {
    await postPlainly(entry.uuid);
    return;
  }
  const answered = (await outbox.send()).find((other) => other.uuid === entry.uuid);
  if (answered?.state === "asks") await postPlainly(entry.uuid);
  else if (answered) await goOn(answered);
  else await keptForLater();
}

/* The page that comes says itself what was recorded. */
async function goOn(sent) {
  await outbox.remove(sent.uuid);
  location.assign(sent.goesTo);
}

/* The school was reached, but takes whoever is at this page for nobody, or for somebody else. */
async function isSignedOut() {
  const signedIn = await outbox.whoIsSignedIn();
  return signedIn !== null && signedIn.person !== Number(document.body.dataset.person);
}

function tellToSignIn() {
  const way = document.createElement("a");
  way.href = `/sign-in/?next=${encodeURIComponent(location.pathname.replace(/record\/$/, ""))}`;
  way.textContent = "Sign in";
  const words = "You are no longer signed in. What you recorded is kept on this device and goes out by itself once you are.";
  return tell(words, "warn", way);
}

async function keptForLater() {
  delete form.dataset.sending;
  const line = (await isSignedOut()) ? tellToSignIn() : tell(
    "No network. What you recorded is kept on this device and goes out by itself when the network is back, even if you close this page.",
    "warn",
  );
  line.scrollIntoView({ block: "start" });
  const worker = await navigator.serviceWorker?.getRegistration();
  await worker?.sync?.register("freefoot-outbox").catch(() => {});
}

if (form) {
  form.addEventListener("submit", record);
  form.addEventListener("change", showWhatOpened);
  const filled = !form.dataset.answers && (await fillFromOutbox().catch(() => false));
  try {
    if (!filled && form.hasAttribute("data-fresh")) fillFromLivePage();
  } catch {
    // A form filled in as planned is right enough to start from.
  }
}
