// One sending at a time in a device, whichever tab it is: of entries, of photos.

/** A function that does `work`, or joins the doing under way, which is then done once more. */
export function oneAtATime(name, work) {
  let doing = null;
  let again = false;
  return function ask() {
    again = Boolean(doing);
    doing ??= alone(name, work, ask).finally(() => {
      doing = null;
      if (again) ask();
    });
    return doing;
  };
}

// Plain http has no locks: there two tabs may send the same thing, which the server keeps once.
function alone(name, work, ask) {
  if (!navigator.locks) return work();
  return navigator.locks.request(name, { ifAvailable: true }, (lock) => {
    if (lock) return work();
    // Another tab is sending. Should it be gone to sleep over that, it is asked again soon.
    setTimeout(ask, 2000);
  });
}
