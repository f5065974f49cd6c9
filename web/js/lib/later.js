/** Work that waits for a pause: while somebody types, or the pointer moves on. */

/** A function that runs once nobody has called it for a while, unless it is cancelled. @param {number} pause [ms] */
export function later(pause, work) {
  let timer = 0;
  const run = () => {
    clearTimeout(timer);
    timer = setTimeout(work, pause);
  };
  return Object.assign(run, { cancel: () => clearTimeout(timer) });
}
