// What waits in this phone until the laptop is in reach, in the order of the presses. Kept in IndexedDB, forced to
// the phone's disk before it is said to be kept; where there is none (some private windows) in localStorage.

const NAME = "raisebook";
const STORE = "waiting";

const OPEN_WITHIN_MS = 3000;

let opened = null;

// A browser that answers neither yes nor no shall not swallow a press.
function open() {
  opened = opened ?? new Promise((done, failed) => {
    const wish = indexedDB.open(NAME, 1);
    setTimeout(() => failed(new Error("the database does not open")), OPEN_WITHIN_MS);
    wish.onupgradeneeded = () => wish.result.createObjectStore(STORE, { keyPath: "order", autoIncrement: true });
    wish.onsuccess = () => done(wish.result);
    wish.onerror = () => failed(wish.error);
  });
  return opened;
}

async function inDatabase(mode, work) {
  const database = await open();
  return new Promise((done, failed) => {
    const deal = database.transaction(STORE, mode, { durability: "strict" });
    const wish = work(deal.objectStore(STORE));
    deal.oncomplete = () => done(wish.result);
    deal.onerror = () => failed(deal.error);
    deal.onabort = () => failed(deal.error);
  });
}

const database = {
  all: () => inDatabase("readonly", (store) => store.getAll()),
  put: (item) => inDatabase("readwrite", (store) => store.put(item)),
  remove: (order) => inDatabase("readwrite", (store) => store.delete(order)),
};

const plain = {
  read: () => JSON.parse(localStorage.getItem(`${NAME}.${STORE}`) ?? "[]"),
  write: (items) => localStorage.setItem(`${NAME}.${STORE}`, JSON.stringify(items)),
  async all() {
    return plain.read();
  },
  async put(item) {
    if (item.fields.some(([, value]) => typeof value !== "string")) {
      throw new Error("photos are not kept here");
    }
    const items = plain.read();
    const order = item.order ?? Math.max(0, ...items.map((other) => other.order)) + 1;
    plain.write([...items.filter((other) => other.order !== order), { ...item, order }].sort((a, b) => a.order - b.order));
    return order;
  },
  async remove(order) {
    plain.write(plain.read().filter((item) => item.order !== order));
  },
};

let chosen = null;

function place() {
  chosen = chosen ?? open().then(moved).then(() => database, () => plain);
  return chosen;
}

// What was kept in localStorage while there was no database goes into it.
async function moved() {
  for (const { order, ...item } of await plain.all()) {
    await database.put(item);
    await plain.remove(order);
  }
}

// A page that is left lets go of the database, so that it holds up no later page.
addEventListener("pagehide", () => {
  opened?.then((held) => held.close(), () => {});
  opened = chosen = null;
});

/** Everything that waits or was refused, oldest first. */
export async function all() {
  return (await place()).all();
}

/** Keep an item, new or changed; gives its order once it is safe, and throws if the phone cannot keep it. */
export async function put(item) {
  return (await place()).put(item);
}

/** Forget an item that was answered, or that its owner threw away. */
export async function remove(order) {
  await (await place()).remove(order);
}
