/** The packing list of one item: what goes into the crate, what must come back, what to mind. */

import { openChecks } from "../components/open-checks.js";
import { get } from "../lib/api.js";
import { backward } from "../lib/arrows.js";
import { byId, el, fill } from "../lib/dom.js";
import { runPage } from "../lib/sheet.js";
import { t, told } from "../lib/text.js";
import { hazardName } from "../lib/words.js";

runPage(async (sheet) => {
  const item = new URLSearchParams(location.search).get("item");
  if (!item) {
    await chooseItem(sheet);
    return;
  }
  await showList(sheet, item);
});

async function showList(sheet, item) {
  const list = await get(sheet.path(`/send-outs/${encodeURIComponent(item)}/packing-list`));
  document.title = t`Packing list, ${list.name}`;
  const vendor = list.country ? `${list.vendor_name} (${list.country})` : list.vendor_name;
  fill(byId("item"), t`${list.name}, to ${vendor}`);
  fill(
    byId("tools"),
    el("a.button", { href: `${sheet.link("away")}#${encodeURIComponent(list.send_out)}` }, backward(t`Away`)),
    el("button.button.strong", { type: "button", onclick: () => print() }, t`Print the list`),
  );
  const checks = openChecks(sheet, list.open_checks, { again: () => showList(sheet, item) });
  fill(byId("list"), [checks && panel(t`First: checks that are still open`, checks), ...parts(list)].filter(Boolean));
}

/** Without an item: those that can still be packed. */
async function chooseItem(sheet) {
  const { send_outs: items } = await get(sheet.path("/away"));
  const toGo = items.filter(({ shipped, accepted }) => !shipped && !accepted);
  fill(byId("item"), toGo.length ? t`Of which item?` : t`No item has still to leave.`);
  fill(byId("list"), el("ul", {}, toGo.map(({ id, name }) => el("li", {}, el("a", { href: sheet.link("packing-list", { item: id }) }, name)))));
}

function parts(list) {
  return [
    list.findings.length ? panel(t`In the crate`, boxes(list.findings)) : null,
    panel(t`Goes with it`, usual(list.goes_with_it)),
    panel(t`Must come back`, usual(list.must_come_back), list.note && el("p.soft", {}, t`Note: ${told(list.note)}.`), el("p.soft", {}, t`Usual for this kind, from memory: the vendor and your own file decide.`)),
    hazards(list),
    panel(t`Papers`, list.customs && el("p", {}, told(list.customs)), el("p.write-in", {}, told(list.insurance)), el("p.write-in", {}, t`Value, serial number, as-removed tag:`), el("p.write-in", {}, t`Packed by, on:`)),
    el("p.standing-line", {}, told(list.standing_line)),
  ];
}

function panel(title, ...content) {
  return el("section.panel", {}, el("h2", {}, title), content);
}

/** What the trade sends along with such an item. */
function usual(lines) {
  return lines.length ? boxes(lines.map(told)) : el("p.soft", {}, t`Nothing is noted for this kind of item.`);
}

function boxes(lines) {
  return el("ul.boxes", { role: "list" }, lines.map((one) => el("li", {}, el("span.box", { "aria-hidden": "true" }), one)));
}

function hazards({ hazards: found }) {
  const entries = Object.entries(found).map(([tag, { caution, source }]) => [
    el("dt", {}, hazardName(tag)),
    el("dd", {}, told(caution), " ", el("small", {}, told(source))),
  ]);
  return entries.length ? panel(t`Mind on the road`, el("dl.road", {}, entries)) : null;
}
