/* A student's own marks on a figure's page: shown at once, kept on the device until the school has them, the
   last one of a figure and role alone. Without this script each is a plain form. */

const outbox = globalThis.freefootOutbox;
const person = Number(document.body.dataset.person);
const forms = [...document.querySelectorAll("form[data-own-mark]")];
const status = document.querySelector(".own-said");
const KEPT = "No network. Your mark is kept on this device and goes out by itself when the network is back.";

const subjectOf = (form) => `mark-${form.dataset.ownMark}`;
const buttonsOf = (form) => [...form.querySelectorAll("button[data-mark]")];
const markOf = (entry) => new URLSearchParams(entry.body).get("mark");

function say(words) {
  status.textContent = words;
}

/* `mark`: "" for none. A press on the one that stands takes it away. */
function show(form, mark) {
  for (const button of buttonsOf(form)) {
    const stands = button.dataset.mark === mark;
    button.setAttribute("aria-pressed", String(stands));
    button.value = stands ? "" : button.dataset.mark;
  }
}

const shown = (form) => buttonsOf(form).find((button) => button.getAttribute("aria-pressed") === "true")?.dataset.mark ?? "";

function entryOf(form, mark) {
  return {
    uuid: outbox.identifier(),
    kind: "mark",
    person,
    lesson: subjectOf(form),
    url: new URL(form.action).pathname,
    title: form.dataset.title,
    body: new URLSearchParams({ role: form.elements.role.value, mark }).toString(),
    at: Date.now(),
    state: "waiting",
    said: "",
  };
}

/* As a plain form would, where the device keeps nothing. */
function postPlainly(form, mark) {
  const field = document.createElement("input");
  Object.assign(field, { type: "hidden", name: "mark", value: mark });
  form.append(field);
  form.submit();
}

async function touch(event) {
  const form = event.currentTarget;
  const pressed = event.submitter;
  event.preventDefault();
  const before = shown(form);
  const mark = pressed.value;
  const entry = entryOf(form, mark);
  show(form, mark);
  say("");
  try {
    await outbox.put(entry);
  } catch {
    postPlainly(form, mark);
    return;
  }
  form.dataset.last = entry.uuid;
  const sent = await outbox.send();
  const is = (other) => other.uuid === entry.uuid;
  const now = (await outbox.all()).find(is) ?? sent.find(is);
  if (now && now.state !== "waiting") await outbox.remove(entry.uuid);
  if (form.dataset.last !== entry.uuid) return;
  if (now?.state === "waiting") await waits();
  else if (now?.state === "asks") refused(form, before, now);
  else done(form, mark ? `Marked: ${pressed.textContent}.` : "Mark taken away.");
}

async function waits() {
  const signedIn = await outbox.whoIsSignedIn();
  const isOut = signedIn !== null && signedIn.person !== person;
  say(isOut ? "You are no longer signed in. Your mark is kept on this device and goes out once you are." : KEPT);
  const worker = await navigator.serviceWorker?.getRegistration();
  await worker?.sync?.register("freefoot-outbox").catch(() => {});
}

function refused(form, before, answered) {
  delete form.dataset.last;
  show(form, before);
  say(answered.said);
}

/* The page as the device keeps it is of before. */
function done(form, words) {
  delete form.dataset.last;
  say(words);
  const keep = [location.href.split("#")[0]];
  navigator.serviceWorker?.controller?.postMessage({ person, keep });
}

/* A kept page is of before what still waits. */
async function showWhatWaits() {
  const waiting = (await outbox.all()).filter((entry) => entry.person === person && entry.state === "waiting");
  for (const form of forms) {
    const entry = waiting.find((other) => other.lesson === subjectOf(form));
    if (!entry) continue;
    form.dataset.last = entry.uuid;
    show(form, markOf(entry));
    say(KEPT);
  }
}

/* Somebody sent it, this page or the worker. */
async function lookAgain() {
  await outbox.send();
  const waiting = new Set((await outbox.all()).filter((entry) => entry.state === "waiting").map((entry) => entry.uuid));
  for (const form of forms) {
    if (form.dataset.last && !waiting.has(form.dataset.last)) done(form, "Your mark is with the school now.");
  }
}

if (outbox && forms.length) {
  for (const form of forms) form.addEventListener("submit", touch);
  globalThis.addEventListener("online", () => lookAgain().catch(() => {}));
  await showWhatWaits().catch(() => {});
  if (forms.some((form) => form.dataset.last)) await lookAgain().catch(() => {});
}
