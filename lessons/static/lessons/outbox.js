/* What was entered without network: kept on the device until the school has it, sent exactly once.

   A classic script, for the page and the service worker load the same one. An entry is
   { uuid, kind, person, lesson, url, title, body, at, state, said }. kind: "mark" for a student's own mark,
   "note" for their own note on a figure, none for a lesson's record; lesson: what it is about, a lesson, the mark's figure and role, or the note's figure; body: the form
   as it would have been posted; at: when it was entered; state: "waiting" for the network; "asks" where the school cannot take it as it is: then `said` says why
   and the person looks at it; "sent" until the person was told, its body gone, with `goesTo`. The uuid is what makes a second sending of the same entry change nothing. */

globalThis.freefootOutbox = (() => {
  const STORE = "outbox";

  function open() {
    return new Promise((resolve, reject) => {
      const asked = indexedDB.open("freefoot", 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "uuid" });
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => reject(asked.error);
    });
  }

  /* Resolves once it is on the disk, not before. */
  async function inStore(mode, act) {
    const database = await open();
    try {
      return await new Promise((resolve, reject) => {
        const transaction = database.transaction(STORE, mode);
        const asked = act(transaction.objectStore(STORE));
        transaction.oncomplete = () => resolve(asked?.result);
        transaction.onabort = transaction.onerror = () => reject(transaction.error);
      });
    } finally {
      database.close();
    }
  }

  const all = () => inStore("readonly", (store) => store.getAll());
  const remove = (uuid) => inStore("readwrite", (store) => store.delete(uuid));
  const clear = () => inStore("readwrite", (store) => store.clear());
  const save = (entry) => inStore("readwrite", (store) => store.put(entry));

  /* What somebody enters again about the same takes the place of what still waits. */
  async function put(entry) {
    const others = (await all()).filter(
      (other) => other.person === entry.person && other.lesson === entry.lesson && other.uuid !== entry.uuid,
    );
    await inStore("readwrite", (store) => {
      for (const other of others) store.delete(other.uuid);
      return store.put(entry);
    });
  }

  /* crypto.randomUUID is there on HTTPS and localhost only. */
  function identifier() {
    if (crypto.randomUUID) return crypto.randomUUID();
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const text = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return text.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  }

  /* Sends what waits, of whoever is signed in: the entries that were answered. Nothing is thrown for want of
     a network: what was not sent waits on. One page or worker at a time. */
  function send() {
    if (!navigator.locks) return sendAll();
    return navigator.locks.request("freefoot-outbox", sendAll);
  }

  async function sendAll() {
    const waiting = (await all()).filter((entry) => entry.state === "waiting");
    if (!waiting.length) return [];
    const signedIn = await whoIsSignedIn();
    if (!signedIn) return [];
    const answered = [];
    for (const entry of waiting) {
      if (entry.person !== signedIn.person) continue;
      const answer = await sendOne(entry, signedIn.token);
      if (!answer) continue;
      await save(answer);
      answered.push(answer);
    }
    return answered;
  }

  /* With a fresh token: the one in the form may be days old. */
  async function whoIsSignedIn() {
    try {
      const answer = await fetch("/device/", { cache: "no-store" });
      return answer.ok ? await answer.json() : null;
    } catch {
      return null;
    }
  }

  async function token() {
    return (await whoIsSignedIn())?.token ?? "";
  }

  async function sendOne(entry, token) {
    const body = new URLSearchParams(entry.body);
    body.set("submission", entry.uuid);
    body.set("waited", Math.max(0, Math.floor((Date.now() - entry.at) / 1000)));
    let answer;
    try {
      answer = await fetch(entry.url, {
        method: "POST",
        body,
        headers: { "X-CSRFToken": token, "X-Freefoot-Device": "1" },
      });
    } catch {
      return null;
    }
    // A server that stumbles, or a sign-in that has ended: it waits on.
    if (answer.status >= 500 || answer.redirected) return null;
    if (!answer.ok) return { ...entry, state: "asks", said: "The school does not take it from you any more." };
    const { goes_to: goesTo, asks } = await answer.json();
    return goesTo ? { ...entry, state: "sent", body: "", goesTo } : { ...entry, state: "asks", said: asks };
  }

  return { all, put, remove, clear, send, identifier, token, whoIsSignedIn };
})();
