import { runPage } from "../lib/sheet.js"; runPage(async () => {});
