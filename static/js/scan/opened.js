// A database of this device that is opened when it is needed. A browser may lose its hold on it while
// a page sleeps: after `close` it is opened anew.
import { openDB } from "../../vendor/idb-8.0.4.js";

export function database(name, upgrade) {
  let open = null;
  const close = () => {
    const closing = open;
    open = null;
    closing?.then((db) => db.close()).catch(() => {});
  };
  const opened = () =>
    (open ??= openDB(name, 1, { upgrade, blocking: close, terminated: () => (open = null) }));
  return { opened, close };
}
