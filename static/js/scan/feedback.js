// Said to gloves and noise: the whole screen in one colour with one word, a tone, a shake.
const SHOWN_MS = 1100;
let sound = null;

/** A browser gives sound only from within a tap: called at its start. */
export function wake() {
  try {
    sound ??= new AudioContext();
    sound.resume();
  } catch {
    // A device without sound still has colour, word and shake.
  }
}

function tone(pitches, length) {
  if (!sound || sound.state === "closed") return;
  pitches.forEach((pitch, place) => {
    const [from, voice, volume] = [
      sound.currentTime + place * length,
      sound.createOscillator(),
      sound.createGain(),
    ];
    voice.frequency.value = pitch;
    volume.gain.setValueAtTime(0.3, from);
    volume.gain.exponentialRampToValueAtTime(0.001, from + length);
    voice.connect(volume).connect(sound.destination);
    voice.start(from);
    voice.stop(from + length);
  });
}

/** Good rises and is one short shake; bad falls and is three. */
export function signal(word, { bad = false } = {}) {
  document.querySelector("[data-flash]")?.remove();
  const flash = document.createElement("div");
  flash.className = bad ? "flash bad" : "flash";
  flash.dataset.flash = "";
  flash.setAttribute("aria-hidden", "true");
  const said = document.createElement("span");
  said.textContent = word;
  flash.append(said);
  document.body.append(flash);
  setTimeout(() => flash.remove(), SHOWN_MS);
  if (bad) tone([330, 220, 165], 0.22);
  else tone([660, 990], 0.14);
  navigator.vibrate?.(bad ? [120, 80, 120, 80, 120] : 120);
}
