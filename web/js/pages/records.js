/** Records: what holds, who signed, and what licensed people must settle before flight. */

import { mountAirframe } from "../components/airframe.js";
import { unfoldOnPaper } from "../components/fold.js";
import { onlyHere, rememberZone, zoneAsked } from "../components/only-here.js";
import { holdingChecks, passedOver, withoutRecord } from "../components/records-checks.js";
import { ruleBook, ruleList } from "../components/records-rules.js";
import { openItems, signOffTable } from "../components/records-tables.js";
import { tableLinks } from "../components/table-links.js";
import { workEntry } from "../components/work-entry.js";
import { get } from "../lib/api.js";
import { byId, el, fill } from "../lib/dom.js";
import { formatNumber } from "../lib/format.js";
import { runPage } from "../lib/sheet.js";
import { many, t, told } from "../lib/text.js";

runPage(async (sheet) => {
  unfoldOnPaper("main details");
  byId("print").addEventListener("click", () => print());
  fill(byId("tables"), tableLinks(sheet, ["sign-offs"]));
  fill(byId("entry"), await workEntry(sheet));
  /** Whose checks alone are listed; null: all. */
  let zone = zoneAsked();
  let records = null;
  const choose = (wanted) => {
    zone = wanted;
    map.select(zone);
    rememberZone(zone);
    drawChecks();
    if (zone) byId("checks-title").scrollIntoView({ block: "start" });
  };
  const drawChecks = () => {
    const { open_checks: all } = records;
    const here = zone ? all.filter((one) => one.zone === zone) : all;
    const about = zone ? el("div.no-print", {}, onlyHere(aboutZone(map.nameOf(zone), here.length), () => choose(null))) : null;
    fill(byId("checks"), about, holdingChecks(sheet, here, all, again));
  };
  const show = async () => {
    records = await get(sheet.path("/records"));
    draw(sheet, records, again);
    drawChecks();
  };
  const again = async () => {
    await Promise.all([show(), map.refresh(), sheet.refreshTitleBlock()]);
  };
  sheet.keepUp(() => records && again());
  const map = await mountAirframe(byId("airframe"), sheet, { selected: zone, onSelect: choose });
  await show();
});

function aboutZone(name, number) {
  return number ? t`Only ${name}: ${formatNumber(number)} open.` : t`No check of ${name} is open.`;
}

function draw(sheet, records, again) {
  const { open_checks: open, passed_over: passed, sign_offs: signed, open_items: groups } = records;
  fill(byId("standing-line"), told(records.standing_line));
  fill(byId("summary"), summary(records));
  count("checks-count", open.length);
  fill(byId("book"), ruleBook(sheet, records, again));
  fill(byId("rules"), ruleList(sheet, records, again));
  count("passed-count", passed.length);
  fill(byId("passed"), passedOver(passed), withoutRecord(records.no_record));
  count("signed-count", signed.length);
  fill(byId("signed"), signOffTable(signed));
  count("open-count", groups.reduce((sum, { items }) => sum + items.length, 0));
  fill(byId("open"), openItems(groups));
}

/** How many a section has; on paper those without any are one line. */
function count(id, number) {
  const place = byId(id);
  fill(place, formatNumber(number));
  place.closest(".panel").dataset.empty = String(number === 0);
}

/** What stands between here and the first flight, in two sentences. */
function summary({ records, open_checks: open, settled, rule_book: book }) {
  const stated = records.filter(({ is_stated: said }) => said).length;
  const said = book
    ? many(records.length, "{0} of {n} record is stated as settled.", "{0} of {n} records are stated as settled.", formatNumber(stated))
    : t`Which rule book it will fly by is not chosen yet.`;
  const done = many(settled, "{n} check is settled", "{n} checks are settled");
  return [said, " ", t`${done}, ${many(open.length, "{n} is open", "{n} are open")}.`];
}
