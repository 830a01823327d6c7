// Photos on this device that are not yet known to be on the server, in a store of their own: large
// things that wait long must not stand before the entries.
import { database } from "../scan/opened.js";

const { opened, close } = database("photos", (db) =>
  db.createObjectStore("waiting", { keyPath: "ref" }),
);

// A browser may lose its hold on the store while a page sleeps: it is then opened anew, once.
async function use(work) {
  try {
    return await work(await opened());
  } catch {
    close();
    return work(await opened());
  }
}

/** On the disk when it resolves. The picture as bytes: some browsers cannot keep a Blob. */
export const put = (photo) =>
  use(async (db) => {
    const change = db.transaction("waiting", "readwrite", { durability: "strict" });
    await Promise.all([change.store.put(photo), change.done]);
  });

export const remove = (ref) => use((db) => db.delete("waiting", ref));

/** The first taken first. */
export const all = async () =>
  (await use((db) => db.getAll("waiting"))).sort((one, other) =>
    one.taken_at.localeCompare(other.taken_at),
  );

export const blobOf = (photo) => new Blob([photo.bytes], { type: photo.type });
