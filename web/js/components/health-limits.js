/** The form of a shop's own limits of plan health: empty means the usual one. */

import { el } from "../lib/dom.js";
import { field, readForm } from "../lib/forms.js";
import { formatDays, formatNumber } from "../lib/format.js";
import { t, told } from "../lib/text.js";
import { editForm } from "./editing.js";

/**
 * @param {import("../lib/sheet.js").Sheet} sheet
 * @param {{limits: any[]}} health
 * @param {{version: number}} project
 * @param {() => Promise<void>} afterwards
 */
export function limitsForm(sheet, { limits }, project, afterwards) {
  const thing = { kind: "project", key: "", path: sheet.path(), name: t`the limits of plan health`, version: project.version };
  const before = Object.fromEntries(limits.map(({ id, own }) => [id, own]));
  const fields = el("div.fields.health-limits", {}, limits.map(limitField));
  const typed = () => {
    const now = Object.entries(readForm(node)).map(([id, text]) => [id, ownLimit(limits, id, text)]);
    return { health_limits: Object.fromEntries(now.filter(([id, own]) => own !== before[id])) };
  };
  const node = editForm(sheet, thing, fields, typed, afterwards);
  const note = t`The usual limits were made for large contracts. Where a shop has good reason, it sets its own; they are kept with the plan.`;
  return el("details.behind", { "data-key": "limits" }, el("summary", {}, t`The limits of this shop`), el("p.soft", {}, note), node);
}

function limitField({ id, means, unit, usual, own, at_least: isFloor }) {
  return field({
    label: unit === "days" ? t`${told(means)}, days` : `${told(means)}, %`,
    name: id,
    type: "number",
    value: own === null ? "" : entered(own, unit),
    hint: usualWords(usual, unit, isFloor),
    attributes: { min: 0, step: "any", inputmode: "decimal" },
  });
}

function usualWords(usual, unit, isFloor) {
  if (usual === null) return t`Usual: none, it is only listed.`;
  if (unit === "days") return t`Usual: ${formatDays(usual)}.`;
  const share = formatNumber(100 * usual);
  return isFloor ? t`Usual: at least ${share} %.` : t`Usual: at most ${share} %.`;
}

/** A share as it is typed; 0.07 is 7 and not 7.000000000000001. */
function entered(own, unit) {
  return unit === "days" ? own : Number((100 * own).toPrecision(12));
}

function ownLimit(limits, id, text) {
  if (text === null) return null;
  const { unit } = limits.find((one) => one.id === id);
  return unit === "days" ? Number(text) : Number((Number(text) / 100).toPrecision(12));
}
