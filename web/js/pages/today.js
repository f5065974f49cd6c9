import { runPage } from "../lib/sheet.js"; import { byId } from "../lib/dom.js"; import { mountAirframe } from "../components/airframe.js";
runPage(async (sheet) => { await mountAirframe(byId("airframe"), sheet, { onSelect(z) { console.log(z); } }); });
