/** How a drawing of lanes is cut into pages: between lanes or, where one is long, between its rows. */

/** So much of a page has to be filled before it is cut between two lanes. [share] */
const FILLED = 0.6;

/**
 * @param {{end: number, tops: number[], feet: number[]}} drawing Its last row, where its lanes begin, and
 *   where its rows end. [rows]
 * @param {[number, number]} rooms What the first page has room for, and each of the others. [rows]
 * @returns {{from: number, to: number, isWithin: boolean}[]} `isWithin`: it goes on with the lane of the page before.
 */
export function inPages({ end, tops, feet }, [first, other]) {
  const pages = [];
  for (let from = 0; from < end; from = pages.at(-1).to) {
    const room = pages.length ? other : first;
    const isCut = (at) => at > from && at <= from + room;
    const lane = Math.max(...tops.filter(isCut));
    const foot = Math.max(...feet.filter(isCut));
    const cut = lane - from >= FILLED * room ? lane : Math.max(lane, foot);
    const to = from + room >= end || cut < 0 ? end : cut;
    pages.push({ from, to, isWithin: from > 0 && !tops.includes(from) });
  }
  return pages;
}
