// Beats a minute, measured by tapping along: by touch, by mouse, or by the space bar on the button.

const FEWEST = 4; // taps before a tempo is said
const MOST = 16; // taps that count: the last ones
const PAUSE = 2500; // milliseconds without a tap: a new measurement begins

// Times of taps in milliseconds -> beats a minute to the tenth, or null for too few.
export function tempoOf(taps) {
  if (taps.length < FEWEST) return null;
  const each = (taps.at(-1) - taps[0]) / (taps.length - 1);
  return each > 0 ? Math.round(600000 / each) / 10 : null;
}

function listen(part) {
  const field = document.getElementById(part.dataset.tapFor);
  const button = part.querySelector("button");
  const says = part.querySelector("[role=status]");
  let taps = [];

  function tap(time) {
    if (taps.length && time - taps.at(-1) > PAUSE) taps = [];
    taps = [...taps, time].slice(-MOST);
    const tempo = tempoOf(taps);
    if (tempo === null) {
      says.textContent = `${taps.length} of ${FEWEST} taps.`;
      return;
    }
    field.value = tempo;
    says.textContent = `${tempo} beats a minute, from ${taps.length} taps. Tap on to make it surer.`;
  }

  button.addEventListener("pointerdown", (event) => {
    if (event.isPrimary && event.button === 0) tap(event.timeStamp);
  });
  button.addEventListener("keydown", (event) => {
    if (event.key !== " " && event.key !== "Enter") return;
    event.preventDefault();
    if (!event.repeat) tap(event.timeStamp);
  });
  part.hidden = false;
}

for (const part of document.querySelectorAll("[data-tap-for]")) listen(part);
