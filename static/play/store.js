// What this phone keeps on its disk, in IndexedDB. A promise resolves once the disk has all of it, never before.

const STORES = { items: ["user", "kind", "id"], numbers: "device", days: ["user", "player"], kept: ["user", "name"] };

/** What lies under a key that begins with this user. */
export const ofUser = (user) => IDBKeyRange.bound([user], [user, []]);

/** The outcome of one request inside a transaction. */
export const got = (request) => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

let connection = null;

function connect() {
  connection ??= new Promise((resolve, reject) => {
    const request = indexedDB.open("practice-ledger", 1);
    request.onupgradeneeded = () => {
      for (const [name, keyPath] of Object.entries(STORES)) request.result.createObjectStore(name, { keyPath });
      request.transaction.objectStore("items").createIndex("ball", ["user", "values.ball"]);
    };
    request.onsuccess = () => {
      const database = request.result;
      database.onclose = () => { connection = null; };
      database.onversionchange = () => { database.close(); connection = null; };
      resolve(database);
    };
    request.onerror = () => reject(request.error);
  });
  return connection;
}

async function attempt(names, mode, work) {
  const transaction = (await connect()).transaction(names, mode, { durability: "strict" });
  const onDisk = new Promise((resolve, reject) => {
    transaction.oncomplete = resolve;
    transaction.onabort = () => reject(transaction.error ?? new DOMException("Aborted.", "AbortError"));
  });
  const working = work(Object.fromEntries(names.map((name) => [name, transaction.objectStore(name)])));
  // Without being told to, it would wait until the page has taken every answer. Of a fault it says itself better why.
  working.then(() => transaction.commit()).catch(() => {});
  await onDisk;
  return working;
}

async function transact(names, mode, work) {
  try {
    return await attempt(names, mode, work);
  } catch (fault) {
    if (fault.name === "QuotaExceededError") throw fault;
    // Browsers drop the connection of a page that was put aside: once more, over a new one.
    connection = null;
    return attempt(names, mode, work);
  }
}

/** Do `work(stores)`, which waits for nothing but the stores' own requests, in one transaction: all of it or nothing.
 * It may be run a second time. Throws a QuotaExceededError when the phone is full. */
export const write = (names, work) => transact(names, "readwrite", work);

export const read = (names, work) => transact(names, "readonly", work);
