/** The owner's statement of a month: when, how much, what waits for a yes; made to be printed. */

import { showWhy } from "../components/money-why.js";
import { showAnswer, showNeed, showWaiting } from "../components/statement-answer.js";
import { showChapters, showMonth } from "../components/statement-month.js";
import { spreadSlot } from "../components/spread-slot.js";
import { get } from "../lib/api.js";
import { backward, onward } from "../lib/arrows.js";
import { byId, el, fill, when } from "../lib/dom.js";
import { formatDate } from "../lib/format.js";
import { runPage } from "../lib/sheet.js";
import { t } from "../lib/text.js";

runPage(async (sheet) => {
  const month = new URLSearchParams(location.search).get("month");
  const read = () => get(sheet.path("/statement"), { query: { month } });
  const [statement, project] = await Promise.all([read(), get(sheet.path())]);
  drawHead(sheet, statement, project.start);
  draw(sheet, statement);
  await spreadSlot(sheet, byId("spread"), async ({ state }) => {
    if (state === "ready") draw(sheet, await read());
  });
});

function drawHead(sheet, { month, as_of: asOf, project }, start) {
  const name = formatDate(`${month}-01`, "wholeMonth");
  document.title = t`Owner’s statement, ${name}, ${project}`;
  fill(byId("month"), when(`${month}-01`, "wholeMonth"), `, ${project}`);
  const turn = (by, text) => {
    const other = monthBeside(month, by);
    const isThere = other >= start.slice(0, 7) && other <= asOf.slice(0, 7);
    return isThere ? el("a.button", { href: sheet.link("statement", { month: other }) }, text(when(`${other}-01`, "wholeMonth"))) : null;
  };
  fill(
    byId("turn"),
    turn(-1, backward),
    turn(1, onward),
    el("button.button.strong", { type: "button", onclick: () => print() }, t`Print the statement`),
  );
}

function draw(sheet, statement) {
  showAnswer(byId("answer"), statement);
  showWaiting(byId("waits"), sheet, statement);
  showWhy(byId("why"), sheet, statement);
  showNeed(byId("need"), statement);
  showMonth(byId("done"), sheet, statement);
  showChapters(byId("chapters"), statement);
}

/** "2026-12" and 1 is "2027-01". */
function monthBeside(month, by) {
  const [year, number] = month.split("-").map(Number);
  return new Date(Date.UTC(year, number - 1 + by, 1)).toISOString().slice(0, 7);
}
