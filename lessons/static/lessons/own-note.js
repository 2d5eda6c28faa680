/* A student's own note on a figure: kept on the device before it is sent, with the version it was written
   against, so that what was changed elsewhere meanwhile is shown beside it. Without this script it is a plain form. */

import { tell } from "./device.js";

const outbox = globalThis.freefootOutbox;
const person = Number(document.body.dataset.person);
const form = document.querySelector("form[data-own-note]");
/* Of the entry that waits while this page is open. */
let kept = null;

const isOfThisNote = (entry) => entry.person === person && entry.lesson === form.dataset.ownNote;

function entryOf() {
  const { text, version } = form.elements;
  return {
    uuid: outbox.identifier(),
    kind: "note",
    person,
    lesson: form.dataset.ownNote,
    url: location.pathname,
    title: form.dataset.title,
    body: new URLSearchParams({ text: text.value, version: version.value }).toString(),
    at: Date.now(),
    state: "waiting",
    said: "",
  };
}

/* As a plain form would, but known by the entry's identifier, with a fresh token: the form may be days old. */
async function postPlainly(uuid) {
  form.elements.csrfmiddlewaretoken.value = (await outbox.token()) || form.elements.csrfmiddlewaretoken.value;
  const field = document.createElement("input");
  Object.assign(field, { type: "hidden", name: "submission", value: uuid });
  form.append(field);
  form.submit();
}

async function keep(event) {
  event.preventDefault();
  if (form.dataset.sending) return;
  form.dataset.sending = "1";
  const entry = entryOf();
  try {
    await outbox.put(entry);
  } catch {
    await postPlainly(entry.uuid);
    return;
  }
  const sent = await outbox.send();
  const is = (other) => other.uuid === entry.uuid;
  const now = (await outbox.all()).find(is) ?? sent.find(is);
  if (now?.state === "waiting") await waits(entry);
  else if (now?.state === "asks") await postPlainly(entry.uuid);
  else await goOn(entry);
}

async function goOn(entry) {
  await outbox.remove(entry.uuid);
  location.assign(form.dataset.after);
}

async function waits(entry) {
  delete form.dataset.sending;
  kept = entry;
  const signedIn = await outbox.whoIsSignedIn();
  const isOut = signedIn !== null && signedIn.person !== person;
  const why = isOut ? "You are no longer signed in." : "No network.";
  const when = isOut ? "once you are" : "when the network is back";
  tell(`${why} Your note is kept on this device and goes out by itself ${when}, even if you close this page.`, "warn");
  const worker = await navigator.serviceWorker?.getRegistration();
  await worker?.sync?.register("freefoot-outbox").catch(() => {});
}

/* Whether the school has taken it, sent by this page or by the worker. */
async function isTaken(entry) {
  await outbox.send();
  const now = (await outbox.all()).find((other) => other.uuid === entry.uuid);
  return !now || now.state === "sent";
}

/* What was typed on since stays where it is. */
async function lookAgain() {
  if (!kept || form.dataset.sending) return;
  const entry = kept;
  if (!(await isTaken(entry)) || kept !== entry) return;
  kept = null;
  if (entryOf().body === entry.body) await goOn(entry);
}

/* The page came with the note of before what waits here: that stands in the form again, or the page is asked for
   anew once the school has it. */
async function showWhatWaits() {
  const entry = (await outbox.all()).find(isOfThisNote);
  if (!entry) return;
  if (entry.state !== "sent") {
    const written = new URLSearchParams(entry.body);
    for (const name of ["text", "version"]) form.elements[name].value = written.get(name);
    kept = entry.state === "waiting" ? entry : null;
  }
  if (!(await isTaken(entry)) || form.dataset.sending) return;
  await outbox.remove(entry.uuid);
  if (!kept || entryOf().body === entry.body) location.reload();
}

if (outbox && form) {
  form.addEventListener("submit", keep);
  globalThis.addEventListener("online", () => lookAgain().catch(() => {}));
  navigator.serviceWorker?.addEventListener("message", () => lookAgain().catch(() => {}));
  if (!form.dataset.answers) await showWhatWaits().catch(() => {});
}
