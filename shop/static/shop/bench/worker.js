/** The service worker: the page opens without signal, and new versions wait for a good moment. */

import { state, tell } from "./state.js";

/** So soon after opening nobody is in the middle of anything: the new version takes over by itself. */
const AT_OPENING = 5000;

let waiting = null;
let isReplacing = false;

export async function startWorker() {
  if (!navigator.serviceWorker) return;
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (isReplacing) location.reload();
  });
  const registered = await navigator.serviceWorker.register("/bench/sw.js", { scope: "/bench/" }).catch(() => null);
  if (!registered) return;
  const look = () => {
    waiting = registered.waiting;
    if (waiting && navigator.serviceWorker.controller) {
      state.newVersion = true;
      tell();
    }
  };
  look();
  if (waiting && performance.now() < AT_OPENING) return useNewVersion();
  registered.addEventListener("updatefound", () => registered.installing?.addEventListener("statechange", look));
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && registered.update().catch(() => {}));
  return undefined;
}

/** Change over to the new version. The queue is in the phone's own store and goes on as it is. */
export function useNewVersion() {
  isReplacing = true;
  waiting?.postMessage("take over");
}
