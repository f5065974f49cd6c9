/** An address that is no sheet: the frame and the index, without a plan. */

import { byId } from "../lib/dom.js";
import { drawEmptySheet } from "../lib/sheet.js";

drawEmptySheet();
byId("main").setAttribute("aria-busy", "false");
