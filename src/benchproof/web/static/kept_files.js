// Photographs that wait to be sent are too large for where other entries are kept: they lie in a
// store of this browser's own, under the id of their entry.

const STORE = "files";
const ABANDONED = 24 * 3600 * 1000; // ms after which a file without an entry is thrown away

function opened() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open("benchproof", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE);
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

async function deed(mode, work) {
  const base = await opened();
  try {
    return await new Promise((resolve, reject) => {
      const going = base.transaction(STORE, mode);
      const asked = work(going.objectStore(STORE));
      going.oncomplete = () => resolve(asked.result);
      going.onerror = () => reject(going.error);
      going.onabort = () => reject(going.error);
    });
  } finally {
    base.close();
  }
}

// Bytes and not files: some browsers forget what a file held once its page is gone.
export async function keepFiles(id, files) {
  const held = await Promise.all(files.map(async ([field, file]) => (
    { field, name: file.name, type: file.type, data: await file.arrayBuffer() }
  )));
  await deed("readwrite", (store) => store.put({ at: Date.now(), held }, id));
}

export async function filesOf(id) {
  const found = await deed("readonly", (store) => store.get(id));
  return (found?.held ?? []).map(({ field, name, type, data }) => [field, new File([data], name, { type })]);
}

export function forgetFiles(id) {
  return deed("readwrite", (store) => store.delete(id)).catch(() => {});
}

// A page that was killed between keeping a file and keeping its entry leaves the file behind.
export async function sweep(isKnown) {
  try {
    const ids = await deed("readonly", (store) => store.getAllKeys());
    for (const id of ids.filter((each) => !isKnown(each))) {
      const found = await deed("readonly", (store) => store.get(id));
      if (Date.now() - (found?.at ?? 0) > ABANDONED) await forgetFiles(id);
    }
  } catch {
    // A browser that keeps no files has none to sweep.
  }
}
