// Keeps the screen on. A browser does so only on a secure address, and only while the page is seen.

const CANNOT = "This screen may fall asleep: ";

export function keepAwake(say) {
  if (!("wakeLock" in navigator)) {
    const why = window.isSecureContext
      ? "this browser cannot keep it on."
      : "a browser keeps it on only over https.";
    say(`${CANNOT}${why} Switch its sleep off in its own settings.`);
    return;
  }
  let lock = null;
  async function ask() {
    if (document.visibilityState !== "visible" || (lock && !lock.released)) return;
    try {
      lock = await navigator.wakeLock.request("screen");
      say("");
    } catch {
      say(`${CANNOT}it refuses to stay on, perhaps because its battery is low.`);
    }
  }
  document.addEventListener("visibilitychange", ask);
  setInterval(ask, 60_000);
  ask();
}
