/** Every task of a plan, for what is chosen from: the service gives them a page at a time. */

import { get } from "./api.js";

/** The most that the service gives at once. */
const PAGE = 1000;

/** @param {import("./sheet.js").Sheet} sheet @returns {Promise<any[]>} In the plan's order. */
export async function allTasks(sheet) {
  const page = (offset) => get(sheet.path("/tasks"), { query: { limit: PAGE, offset } });
  const { total, tasks } = await page(0);
  const offsets = Array.from({ length: Math.ceil(total / PAGE) - 1 }, (_, place) => (place + 1) * PAGE);
  const others = await Promise.all(offsets.map(page));
  return [...tasks, ...others.flatMap((one) => one.tasks)];
}
