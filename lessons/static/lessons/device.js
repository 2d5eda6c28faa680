/* On every page of somebody signed in: sends what waits on the device, says what happened to it, keeps the
   pages of an evening, and forgets everything when they sign out. Needs outbox.js before it. */

const outbox = globalThis.freefootOutbox;
const person = Number(document.body.dataset.person);
const OURS = "freefoot";

/* One line at the top of the page; a new one takes the place of the old. */
export function tell(words, kind = "", ...more) {
  const line = document.createElement("div");
  line.className = `note device-note ${kind}`.trim();
  line.setAttribute("role", "status");
  const text = document.createElement("p");
  text.textContent = words;
  line.append(text, ...more);
  document.querySelector(`.device-note`)?.remove();
  document.getElementById("main").prepend(line);
  return line;
}

function link(words, address) {
  const made = document.createElement("a");
  made.href = address;
  made.textContent = words;
  return made;
}

/* The school's own form, with what was entered here and beside it what stands there already. */
async function lookAtIt(entry) {
  const form = document.createElement("form");
  form.method = "post";
  form.action = entry.url;
  const token = await outbox.token();
  if (!token) throw new Error("no network");
  const fields = [...new URLSearchParams(entry.body), ["submission", entry.uuid], ["csrfmiddlewaretoken", token]];
  for (const [name, value] of fields) {
    const field = document.createElement("input");
    Object.assign(field, { type: "hidden", name, value });
    form.append(field);
  }
  document.body.append(form);
  form.submit();
}

function tellWhatAsks(entry) {
  const press = document.createElement("button");
  press.type = "button";
  press.className = "button";
  press.textContent = "Look at it";
  press.addEventListener("click", () => lookAtIt(entry).catch(() => tell("There is no network yet.", "warn")));
  tell(`${entry.kind === "note" ? called(entry) : entry.title}: ${entry.said}`, "warn", press);
}

const called = (entry) => (entry.kind === "note" ? `Your note on ${entry.title}` : `The record of ${entry.title}`);
const isMark = (entry) => entry.kind === "mark";

/* A refused mark is not asked about: it is touched again, or not. */
async function tellOfMarks(marks, [asks, sent, waits]) {
  const what = marks.length > 1 ? "Some of your marks are" : `Your mark on ${marks[0].title} is`;
  if (asks) tell(`${asks.title}: ${asks.said}`, "warn");
  else if (sent) tell("What you marked without network has been sent.", "good");
  else if (waits) tell(`${what} kept on this device and wait${marks.length > 1 ? "" : "s"} for the network.`, "warn");
  for (const entry of marks) if (entry.state !== "waiting") await outbox.remove(entry.uuid);
}

async function tellWhatWasSent(entry) {
  tell(`${called(entry)}, kept on this device, has been sent.`, "good", link("Look at it", entry.goesTo));
  await outbox.remove(entry.uuid);
}

const firstOfEach = (entries) =>
  ["asks", "sent", "waiting"].map((state) => entries.find((entry) => entry.state === state));

/* One thing at a time: first what somebody has to look at. */
async function tellOfOutbox() {
  const own = (await outbox.all()).filter((entry) => entry.person === person);
  const marks = own.filter(isMark);
  const [asks, sent, waits] = firstOfEach(own.filter((entry) => !isMark(entry)));
  if (asks) tellWhatAsks(asks);
  else if (sent) await tellWhatWasSent(sent);
  else if (marks.length) await tellOfMarks(marks, firstOfEach(marks));
  else if (waits) tell(`${called(waits)} is kept on this device and waits for the network.`, "warn");
}

async function sendAndTell() {
  const answered = document.querySelector("[data-answers]")?.dataset.answers;
  if (answered) await outbox.remove(answered);
  await outbox.send();
  await tellOfOutbox();
}

/* Pages, what was entered, and where the evening stood. The files of the program are nobody's. */
async function forget() {
  await tellWorkerToForget();
  for (const name of await (globalThis.caches?.keys() ?? [])) if (name.startsWith(OURS)) await caches.delete(name);
  await outbox.clear();
  for (const key of Object.keys(localStorage)) if (key.startsWith(OURS)) localStorage.removeItem(key);
}

/* Pages still on their way would be kept after all; the worker gives them up. */
async function tellWorkerToForget() {
  const worker = navigator.serviceWorker?.controller;
  if (!worker) return;
  const { port1, port2 } = new MessageChannel();
  const late = new Promise((resolve) => setTimeout(resolve, 2000));
  const told = new Promise((resolve) => port1.addEventListener("message", resolve, { once: true }));
  port1.start();
  worker.postMessage("forget", [port2]);
  await Promise.race([told, late]);
}

async function signOut(event) {
  event.preventDefault();
  const form = event.target;
  const own = (await outbox.all().catch(() => [])).filter((entry) => entry.person === person && entry.state !== "sent");
  const asked =
    "What you entered without network has not been sent yet. Sign out all the same and lose it?";
  if (own.length && !confirm(asked)) return;
  await forget().catch(() => {});
  form.submit();
}

async function keepPages(kept) {
  if (!("serviceWorker" in navigator)) return;
  await navigator.serviceWorker.register(kept.dataset.kept);
  const ready = await navigator.serviceWorker.ready;
  const linked = [...document.querySelectorAll("[data-kept-too] a, a[data-kept-too]")].map((found) => found.href);
  // Opened before the worker was there, this page has not gone through it.
  const addresses = [location.href, ...linked].filter((address) => address.startsWith(location.origin));
  ready.active.postMessage({ person, keep: [...new Set(addresses.map((address) => address.split("#")[0]))] });
}

/* What only the school can do is held while there is no network: its buttons are dead and look it. */
function holdForms(isHeld) {
  for (const form of document.querySelectorAll("form[data-needs-network]")) {
    for (const button of form.querySelectorAll("button")) button.disabled = isHeld;
    if (form.nextElementSibling?.matches(".held")) form.nextElementSibling.remove();
    if (!isHeld) continue;
    const said = document.createElement("span");
    said.className = "soft held";
    said.textContent = "needs the network";
    form.after(said);
  }
}

const since = document.body.dataset.keptSince;
if (since) {
  const at = new Intl.DateTimeFormat("en-GB", { weekday: "short", hour: "2-digit", minute: "2-digit" });
  tell(`No network. This is the page as kept on this device, ${at.format(Number(since))}.`);
}
for (const form of document.querySelectorAll("form[data-sign-out]")) form.addEventListener("submit", signOut);
navigator.serviceWorker?.addEventListener("message", (event) => {
  if (event.data === "outbox") tellOfOutbox();
});
globalThis.addEventListener("online", () => {
  holdForms(false);
  sendAndTell().catch(() => {});
});
globalThis.addEventListener("offline", () => holdForms(true));
if (since || !navigator.onLine) holdForms(true);
sendAndTell().catch(() => {});
const kept = document.querySelector("[data-kept]");
if (kept && !since) keepPages(kept).catch(() => {});
