/** Find a task of the plan by its words: the service searches, so that any number of tasks will do. */

import { get } from "../lib/api.js";
import { el, fill, freshId } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { later } from "../lib/later.js";
import { sayProblem } from "../lib/notice.js";
import { t } from "../lib/text.js";
import { stateName } from "../lib/words.js";

const SHOWN = 8;
const PAUSE_MS = 150;

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {string} label
 * @param {(id: string) => boolean} isOffered
 * @param {(task: any) => void} choose
 */
export function taskPicker(sheet, label, isOffered, choose) {
  const id = freshId("find-task");
  const told = el("p.soft", { role: "status", "aria-live": "polite" });
  const list = el("ul.picker-list", { "aria-label": t`Tasks found` });
  const look = later(PAUSE_MS, async () => {
    if (!input.value.trim()) {
      draw([], 0);
      return;
    }
    try {
      const { total, activities: tasks } = await get(sheet.path("/activities/names"), { query: { kind: "task", q: input.value, limit: SHOWN } });
      draw(tasks.filter((task) => isOffered(task.id)), total - tasks.length);
    } catch (error) {
      sayProblem(error);
    }
  });
  const input = el("input", { id, type: "search", autocomplete: "off", maxlength: 200, oninput: look, onkeydown: (event) => keys(event) });
  const keys = (event) => {
    if (event.key === "Enter") event.preventDefault();
    if (event.key !== "ArrowDown" && event.key !== "Enter") return;
    event.preventDefault();
    list.querySelector("button")?.focus();
  };
  const line = (task) =>
    el("li", {}, el("button.picker-line", { type: "button", onclick: () => choose(task) }, el("b", {}, task.name || task.id), el("span.soft", {}, [task.id, task.zone, stateName(task.state)].filter(Boolean).join(", "))));
  const draw = (tasks, more) => {
    fill(list, tasks.map(line));
    const nothing = input.value.trim() ? t`No such task, or it is tied already.` : "";
    fill(told, tasks.length ? more > 0 && t`${formatNumber(more)} more: another word narrows it.` : nothing);
  };
  return el("div.field.picker", {}, el("label", { for: id }, t`${label}: a word of its name, or its number`), input, list, told);
}
