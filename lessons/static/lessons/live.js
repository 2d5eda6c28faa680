/* The live page: now, what is left, what comes. It follows the clock until somebody touches a button.
   It makes no sound and touches no music. What was touched stays on the device, so that a reload goes on. */

import * as time from "./live-time.js";

const TICK = 1000;

class Evening {
  constructor(page) {
    this.page = page;
    this.plan = JSON.parse(document.getElementById("live-plan").textContent);
    this.key = `freefoot:live:${this.plan.lesson}`;
    this.print = JSON.stringify(this.plan.segments.map(({ title, minutes }) => [title, minutes]));
    this.run = this.remembered();
    this.parts = Object.fromEntries(
      [...page.querySelectorAll("[data-part]")].map((part) => [part.dataset.part, part]),
    );
    this.rows = [...page.querySelectorAll("[data-row]")];
    this.clock = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", timeZone: this.plan.zone });
    this.listen();
    page.querySelector("[data-stage]").hidden = false;
    page.classList.add("running");
    this.show();
    setInterval(() => this.show(), TICK);
    document.addEventListener("visibilitychange", () => this.show());
  }

  now() {
    return Date.now() + this.plan.shift;
  }

  listen() {
    const presses = {
      next: (now) => time.next(this.plan, this.run, now),
      more: (now) => time.more(this.plan, this.run, now, 2),
      skip: (now) => time.skip(this.plan, this.run, now),
      begin: (now) => time.begin(this.plan, now),
      follow: () => null,
      fit: (now) => ({ ...this.run, minutes: time.refit(this.plan, this.run, now).minutes }),
    };
    this.page.addEventListener("click", (event) => {
      const press = presses[event.target.closest("[data-press]")?.dataset.press];
      if (!press) return;
      this.run = press(this.now());
      this.remember();
      this.show();
    });
  }

  /* Only of the sheet that was touched: one that was planned anew begins anew. */
  remembered() {
    try {
      const kept = JSON.parse(localStorage.getItem(this.key));
      return kept?.print === this.print ? kept.run : null;
    } catch {
      return null;
    }
  }

  remember() {
    try {
      localStorage.setItem(this.key, JSON.stringify({ print: this.print, plan: this.plan, run: this.run }));
    } catch {
      // A device that keeps nothing still shows the evening.
    }
  }

  show() {
    const now = this.now();
    const stood = time.stand(this.plan, this.run, now);
    this.say("clock", this.clock.format(now));
    this.page.dataset.phase = stood.phase;
    this.showNow(stood);
    this.showNext(stood, now);
    this.showOffer(stood, now);
    this.showList(stood, now);
    this.parts.mode.hidden = stood.phase !== "on";
    this.say(
      "mode",
      stood.follows ? "Moves on by itself, with the clock. From your first touch on it waits for you." : "Waits for your touch to move on.",
    );
    this.parts.follow.hidden = stood.follows;
  }

  showNow(stood) {
    const segment = this.plan.segments[stood.at];
    const over = stood.left < 0;
    this.page.classList.toggle("over", over);
    if (stood.phase === "before") {
      this.say("now", "Not begun yet");
      const [number, unit] = wait(stood.left);
      this.say("left", number);
      this.say("unit", unit);
    } else if (stood.phase === "after") {
      this.say("now", "The lesson is over");
      this.say("left", "");
      this.say("unit", "");
    } else {
      this.say("now", segment.title);
      this.say("left", over ? `+${whole(-stood.left)}` : String(Math.ceil(stood.left / time.MINUTE)));
      this.say("unit", over ? "min over" : "min left");
    }
    const kind = stood.phase === "on" ? segment.kind : "";
    this.say("kind", { new: "New", review: "Again", carry: "Carry over" }[kind] ?? "");
    const part = stood.phase === "on" ? Math.max(0, Math.min(1, stood.left / (stood.until - stood.since || 1))) : 0;
    this.parts.bar.setAttribute("width", String(Math.round(part * 1000)));
  }

  showNext(stood, now) {
    const at = stood.phase === "before" ? 0 : time.following(this.plan, this.run, stood.at);
    const beginning = at === null ? null : time.beginnings(this.plan, this.run, now).get(at);
    if (stood.phase === "after") this.say("next", "");
    else if (at === null) this.say("next", "Then the lesson ends");
    else this.say("next", `${this.clock.format(beginning)} ${this.plan.segments[at].title}`);
    this.parts["next-head"].hidden = stood.phase === "after" || at === null;
  }

  showOffer(stood, now) {
    const carried = stood.phase === "on" ? time.carried(this.plan, this.run, now) : 0;
    this.parts.offer.hidden = carried === 0;
    if (carried === 0) return;
    const minutes = Math.abs(carried) === 1 ? "1 minute" : `${Math.abs(carried)} minutes`;
    const fitted = time.refit(this.plan, this.run, now);
    this.say("carried", `${minutes} ${carried > 0 ? "over" : "under"} the plan.`);
    this.parts.fit.hidden = fitted === null;
    this.say("fits", fitted === null ? "Nothing is left to fit." : this.changes(fitted.minutes));
  }

  changes(minutes) {
    const said = minutes
      .map((length, at) => [this.plan.segments[at].title, this.run.minutes[at], length])
      .filter(([, before, after]) => before !== after)
      .map(([title, before, after]) => (after === 0 ? `${title} falls out` : `${title} ${before} → ${after}`));
    return said.join(", ");
  }

  showList(stood, now) {
    const listed = time.listed(this.plan, this.run, now);
    this.rows.forEach((row, at) => {
      const current = stood.phase === "on" && at === stood.at;
      if (current) row.setAttribute("aria-current", "step");
      else row.removeAttribute("aria-current");
      row.classList.toggle("past", stood.phase !== "before" && at < stood.at);
      const { starts, minutes, skipped } = listed[at];
      row.classList.toggle("out", skipped);
      if (starts !== null) row.querySelector("time").textContent = this.clock.format(starts);
      row.querySelector("[data-minutes]").textContent = String(minutes);
    });
  }

  say(part, words) {
    if (this.parts[part].textContent !== words) this.parts[part].textContent = words;
  }
}

function whole(milliseconds) {
  return Math.floor(milliseconds / time.MINUTE);
}

/* Until the lesson begins: a number and what it counts. */
function wait(milliseconds) {
  const minutes = Math.ceil(milliseconds / time.MINUTE);
  if (minutes >= 24 * 60) return [String(Math.floor(minutes / (24 * 60))), minutes >= 48 * 60 ? "days to go" : "day to go"];
  if (minutes >= 60) return [`${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`, "hours to go"];
  return [String(minutes), "min to go"];
}

/* The screen stays awake while the page is in sight, where the browser allows it. */
async function stayAwake(says) {
  if (!("wakeLock" in navigator)) {
    says.textContent = window.isSecureContext
      ? "This browser lets the screen go dark. Set your phone to stay on."
      : "The screen may go dark: keeping it on needs HTTPS. Set your phone to stay on.";
    return;
  }
  const ask = async () => {
    if (document.visibilityState !== "visible") return;
    try {
      await navigator.wakeLock.request("screen");
      says.textContent = "The screen stays on.";
    } catch {
      says.textContent = "The phone lets the screen go dark now, perhaps to save its battery.";
    }
  };
  document.addEventListener("visibilitychange", ask);
  await ask();
}

const page = document.querySelector("[data-live]");
if (page) {
  new Evening(page);
  stayAwake(page.querySelector("[data-awake]"));
}
