/** A sheet that also opens without a network: the browser keeps it, and the page says as of when. */

import { fill, instant } from "./dom.js";
import { t } from "./text.js";

const WORKER = "/service-worker.js";

/**
 * Let the browser keep this sheet, what it is made of and what it was told. It does on addresses
 * that it trusts: https, and this machine's own.
 */
export async function keepSheet() {
  const { serviceWorker } = navigator;
  if (!serviceWorker) return;
  await serviceWorker.register(WORKER);
  const { active } = await serviceWorker.ready;
  const asked = performance.getEntriesByType("resource").map(({ name }) => new URL(name));
  const files = asked.filter(({ pathname }) => pathname.startsWith("/assets/")).map(({ pathname }) => pathname);
  const answers = asked.filter(({ pathname }) => pathname.startsWith("/api/")).map(({ href }) => href);
  active.postMessage({ keep: [...new Set(files)], answers: [...new Set(answers)] });
}

/** Say in a line as of when the figures are, as long as they are kept ones. @param {HTMLElement} line */
export function tellOffline(line) {
  document.addEventListener("answered", ({ detail: { keptAt } }) => {
    const isKept = Boolean(keptAt);
    if (line.hidden === !isKept && line.dataset.keptAt === String(keptAt)) return;
    line.hidden = !isKept;
    line.dataset.keptAt = String(keptAt);
    if (isKept) fill(line, t`There is no network. This is how things stood on ${instant(keptAt)}; what you record is kept here and sent when the network is back.`);
  });
}
