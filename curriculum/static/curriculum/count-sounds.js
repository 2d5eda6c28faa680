/* The clicks: short tones made on the spot, set ahead of time on the audio clock. */

const VOICES = {
  accent: { pitch: 1568, loud: 0.5, lasts: 0.06 },
  beat: { pitch: 1047, loud: 0.32, lasts: 0.045 },
  off: { pitch: 784, loud: 0.22, lasts: 0.035 },
  held: { pitch: 392, loud: 0.07, lasts: 0.05 },
};

export class Clicks {
  constructor(audio) {
    this.audio = audio;
    this.waiting = new Set();
  }

  sound(kind, time) {
    const { pitch, loud, lasts } = VOICES[kind];
    const tone = new OscillatorNode(this.audio, { type: "triangle", frequency: pitch });
    const volume = new GainNode(this.audio, { gain: 0 });
    volume.gain.setValueAtTime(0, time);
    volume.gain.linearRampToValueAtTime(loud, time + 0.002);
    volume.gain.exponentialRampToValueAtTime(0.0005, time + lasts);
    tone.connect(volume).connect(this.audio.destination);
    tone.start(time);
    tone.stop(time + lasts + 0.01);
    this.waiting.add(tone);
    tone.addEventListener("ended", () => this.waiting.delete(tone));
  }

  silence() {
    for (const tone of this.waiting) tone.stop();
    this.waiting.clear();
  }
}

const SPOKEN = { "&": "and", a: "a", S: "slow", Q: "quick" };

/* The device's own voice, where it has one; it is never needed. */
export class Voice {
  constructor() {
    this.speech = window.speechSynthesis ?? null;
    this.waiting = new Set();
  }

  say(count, afterSeconds) {
    if (!this.speech) return;
    const timer = setTimeout(() => {
      this.waiting.delete(timer);
      const said = new SpeechSynthesisUtterance(SPOKEN[count] ?? count);
      said.lang = document.documentElement.lang;
      said.rate = 1.6;
      // A voice that is behind says nothing rather than something late.
      this.speech.cancel();
      this.speech.speak(said);
    }, Math.max(0, afterSeconds * 1000));
    this.waiting.add(timer);
  }

  silence() {
    for (const timer of this.waiting) clearTimeout(timer);
    this.waiting.clear();
    this.speech?.cancel();
  }
}
