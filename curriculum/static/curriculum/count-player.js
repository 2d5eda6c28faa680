/* The count player: one for each [data-count-player] on the page.

   Sounds are set ahead on the audio clock: every LOOK_EVERY milliseconds those of the next AHEAD seconds. So a
   busy page may be late and the clicks are not. The chart's row, the count and the prints light up by the
   same clock. "counts:set" tells of every sound as it is set, with its time and what time it is now. */

import { Clicks, Voice } from "./count-sounds.js";
import { Timeline, partOf, secondsPerTick, soundsOf } from "./counts-grid.js";

const AHEAD = 0.25;
const LOOK_EVERY = 25;
const FIRST_AFTER = 0.04;

class CountPlayer {
  constructor(root) {
    this.root = root;
    this.score = JSON.parse(document.getElementById(root.dataset.score).textContent);
    this.form = root.querySelector("form");
    this.button = root.querySelector("[data-play]");
    this.status = root.querySelector("[role=status]");
    this.lights = new Lights(root, this.score);
    this.voice = new Voice();
    this.audio = null;
    this.running = null;
    if (!this.voice.speech) root.querySelector("[data-needs-voice]").remove();
    this.form.hidden = false;
    this.form.addEventListener("submit", (event) => event.preventDefault());
    this.form.addEventListener("input", () => this.changeTempo());
    this.form.addEventListener("change", (event) => this.changePart(event.target.name));
    this.button.addEventListener("click", () => (this.running ? this.stop() : this.start()));
    window.addEventListener("pagehide", () => this.stop());
    document.addEventListener("visibilitychange", () => document.hidden && this.stop());
  }

  choice(name) {
    return new FormData(this.form).get(name);
  }

  perTick() {
    const field = this.form.elements.tempo;
    const bars = field.validity.valid && field.value ? Number(field.value) : Number(field.defaultValue);
    return secondsPerTick(this.score, bars, Number(this.choice("percent")));
  }

  async start() {
    for (const other of players) if (other !== this) other.stop();
    this.audio ??= new AudioContext({ latencyHint: "interactive" });
    this.clicks ??= new Clicks(this.audio);
    const run = { next: null, timer: null, tick: 0 };
    this.running = run;
    this.show("Stop", "Playing.");
    await this.audio.resume();
    if (this.running !== run) return;
    const first = Number(this.choice("first"));
    const last = Math.max(first, Number(this.choice("last")));
    const sounds = soundsOf(this.score, partOf(this.score, first, last), () => this.choice("again") !== null);
    run.timeline = new Timeline(this.audio.currentTime + FIRST_AFTER, this.perTick());
    run.sounds = sounds;
    this.look(run);
    run.timer = setInterval(() => this.look(run), LOOK_EVERY);
    this.lights.follow(this.audio);
  }

  /* Sets what sounds in the next AHEAD seconds. */
  look(run) {
    const horizon = this.audio.currentTime + AHEAD;
    for (;;) {
      run.next ??= run.sounds.next().value;
      const time = run.timeline.at(run.next.tick);
      if (run.next.kind === "end" ? time > this.audio.currentTime : time > horizon) return;
      if (run.next.kind === "end") return this.stop();
      this.set(run.next, time);
      run.tick = run.next.tick;
      run.next = null;
    }
  }

  set(sound, time) {
    if (sound.kind !== "held" || this.choice("held") !== null) this.clicks.sound(sound.kind, time);
    const role = this.choice("voice");
    const count = sound.row === null ? null : this.score.counts[sound.row];
    if (role && count && count[role] !== null) this.voice.say(count.said, time - this.audio.currentTime);
    if (role && sound.beat) this.voice.say(String(sound.beat), time - this.audio.currentTime);
    this.lights.at(time, sound);
    const detail = { ...sound, time, now: this.audio.currentTime };
    this.root.dispatchEvent(new CustomEvent("counts:set", { bubbles: true, detail }));
  }

  changeTempo() {
    this.running?.timeline?.changeFrom(this.running.tick, this.perTick());
  }

  /* Another part is begun anew; a part cannot end before it begins. */
  changePart(name) {
    if (name !== "first" && name !== "last") return;
    const { first, last } = this.form.elements;
    if (Number(last.value) < Number(first.value)) (name === "first" ? last : first).value = this.form.elements[name].value;
    if (this.running) {
      this.stop();
      this.start();
    }
  }

  stop() {
    if (!this.running) return;
    clearInterval(this.running.timer);
    this.running = null;
    this.clicks.silence();
    this.voice.silence();
    this.lights.out();
    this.audio.suspend();
    this.show("Play the counts", "Stopped.");
  }

  show(label, said) {
    this.button.textContent = label;
    this.button.classList.toggle("quiet", label === "Stop");
    this.status.textContent = said;
  }
}

/* What lights up when: the count in the line, the chart's row, the prints of both roles. */
class Lights {
  constructor(root, score) {
    const place = root.closest("[data-counted]") ?? root;
    const rows = place.querySelectorAll("table.chart tbody tr");
    const said = root.querySelectorAll("[data-count]");
    this.countIn = root.querySelector("[data-count-in]");
    this.lit = [];
    this.waiting = [];
    this.of = score.counts.map((count, row) => [
      said[row],
      ...(rows[row] ? [rows[row]] : []),
      ...["leader", "follower"].flatMap((role) =>
        count[role] === null ? [] : [...place.querySelectorAll(`.print-${role}[data-rows~="${count[role]}"]`)],
      ),
    ]);
  }

  at(time, sound) {
    if (sound.row !== null || sound.beat !== null) this.waiting.push({ time, sound });
  }

  follow(audio) {
    const look = () => {
      if (audio !== this.audio) return;
      const heard = audio.currentTime - (audio.outputLatency || 0);
      while (this.waiting.length && this.waiting[0].time <= heard) this.show(this.waiting.shift().sound);
      requestAnimationFrame(look);
    };
    this.audio = audio;
    look();
  }

  show(sound) {
    for (const element of this.lit) element.classList.remove("now");
    this.lit = sound.row === null ? [] : this.of[sound.row];
    for (const element of this.lit) element.classList.add("now");
    this.countIn.textContent = sound.beat === null ? "" : `Count-in: ${sound.beat}`;
  }

  out() {
    this.audio = null;
    this.waiting = [];
    this.show({ row: null, beat: null });
  }
}

const players = [...document.querySelectorAll("[data-count-player]")].map((root) => new CountPlayer(root));
