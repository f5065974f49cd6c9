/** The originality ledger: zone by zone what stays, what is made anew and after what, what goes. */

import { el, fill, when } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { table } from "../lib/table.js";
import { many, t, told } from "../lib/text.js";
import { AUTHENTICITY, keptWords, OUTCOMES, RUNGS, wordFor } from "./finding-words.js";

/** @param {HTMLElement} place @param {any} ledger As the service answers. */
export function showLedger(place, { restored_to: restoredTo, zones, by_outcome: byOutcome, open_points: open }) {
  const shown = restoredTo ? t`The restoration shows the aircraft as of ${restoredTo}.` : t`No restoration date is named yet.`;
  const lacks = open ? many(open, "{n} point is still open.", "{n} points are still open.") : t`Nothing is open.`;
  fill(
    place,
    el("p", {}, `${shown} ${zones.length ? lacks : t`Nothing is found yet.`}`),
    zones.length ? el("ul.ledger-counts", { role: "list" }, OUTCOMES.filter(([code]) => byOutcome[code]).map(([code, words]) => el("li", {}, el("b", {}, formatNumber(byOutcome[code])), ` ${words}`))) : null,
    zones.map(zoneLedger),
  );
}

function zoneLedger({ id, name: given, lines }) {
  const name = id === null ? t`No zone` : given;
  return el(
    "section.ledger-zone",
    {},
    el("h3", {}, name),
    table({
      caption: t`Originality: ${name}`,
      hideCaption: true,
      stacks: true,
      rows: lines,
      columns: [
        { label: t`What`, cell: ({ finding, title }) => [el("span.finding-id", {}, finding), " ", title], heading: true },
        { label: t`Found as`, cell: ({ authenticity }) => wordFor(AUTHENTICITY, authenticity) },
        { label: t`What is done`, cell: ({ outcome }) => wordFor(OUTCOMES, outcome) },
        { label: t`After what`, cell: ({ rung }) => wordFor(RUNGS, rung) },
        { label: t`Old part or later work`, cell: keptWords },
        { label: t`Decided`, cell: decided },
        { label: t`Still open`, cell: ({ open_points: points }) => points.map((point) => el("div", {}, told(point))) },
      ],
    }),
  );
}

function decided({ decided_by: who, decided_on: on }) {
  return who || on ? el("span", {}, who, who && on ? ", " : null, on && when(on)) : "";
}
