/** All of a plan's work, for what is chosen from or drawn at once: the service gives it a page at a time. */

import { get } from "./api.js";

/** The most that the service gives at once. */
const NAMES = 5000;

/** Every task by its name, with zone, state and finish. @param {import("./sheet.js").Sheet} sheet @returns {Promise<any[]>} In the plan's order. */
export async function allTasks(sheet) {
  const { activities } = await everything(sheet, "/activities/names", { kind: "task", limit: NAMES });
  return activities;
}

async function everything(sheet, path, query) {
  const page = (offset) => get(sheet.path(path), { query: { ...query, offset } });
  const first = await page(0);
  const offsets = [];
  for (let offset = query.limit; offset < first.total; offset += query.limit) offsets.push(offset);
  const others = await Promise.all(offsets.map(page));
  return { ...first, activities: [first, ...others].flatMap((one) => one.activities) };
}
