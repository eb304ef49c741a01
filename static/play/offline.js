// What the browser can do for a phone with no signal: keep the page, keep what was logged, keep the screen lit.
// Where it lacks one of them, the page works as well without.

/** Let a worker keep this page. Called when the page is ready: nothing is fetched for it before the first tap. */
export function registerWorker() {
  navigator.serviceWorker?.register("../sw.js", { scope: "../" })
    .catch((fault) => console.warn("This page is not kept for opening without a signal.", fault));
}

const storage = { asked: false };

/** Ask that the browser does not clear what is logged here when the phone runs short of space. */
export async function askToKeepStorage() {
  if (storage.asked) return;
  storage.asked = true;
  if (navigator.storage?.persist && !(await navigator.storage.persisted())) await navigator.storage.persist();
}

const awake = { wanted: false, asking: false, lock: null };

/** Keep the screen lit, or let it go dark again. */
export function keepAwake(on) {
  awake.wanted = on;
  settle();
}

async function settle() {
  if (!navigator.wakeLock || awake.asking) return;
  if (awake.wanted && document.visibilityState === "visible" && awake.lock?.released !== false) {
    awake.asking = true;
    // The system may refuse, at a low battery for instance.
    awake.lock = await navigator.wakeLock.request("screen").catch(() => null);
    awake.asking = false;
  }
  if (!awake.wanted && awake.lock?.released === false) await awake.lock.release();
}

// The system takes the lock away from a page that is hidden.
document.addEventListener("visibilitychange", settle);
