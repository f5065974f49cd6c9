/** Line drawing of a two-seat biplane with a round engine, in two views that share their x axis. */

import { t } from "../lib/text.js";
import { bothSides, boxZone, circle, mirrored, moved, ribLines, systemsBox } from "./drawing-parts.js";

const BLADE = "M78 160 C70 122 72 62 80 24 C89 62 92 122 88 160 Z M78 182 C70 220 72 280 80 318 C89 280 92 220 88 182 Z";
const SECTION = "M0 24 C10 8 46 1 88 5 C130 9 158 18 176 28 C142 35 60 39 18 34 C6 32 0 28 0 24 Z";

const side = {
  title: t`Seen from the left`,
  viewBox: [0, -104, 1000, 600],
  zones: {
    gear: {
      d: `M252 236 L266 236 L312 330 L298 334 Z M350 238 L362 238 L318 332 L306 330 Z ${circle(306, 346, 36)} M862 190 L874 188 L896 232 L882 236 Z`,
      fill: { box: [250, 186, 648, 198], from: "bottom" },
      label: { at: [520, 430], to: [336, 362] },
    },
    nose: {
      d:
        "M104 112 C98 146 98 196 104 230 C118 240 138 244 156 244 L156 98 C138 98 118 102 104 112 Z M156 106 L222 112 L222 236 L156 240 Z " +
        `M102 154 C86 157 76 164 72 171 C76 178 86 185 102 188 Z ${BLADE}`,
      fill: { box: [70, 22, 153, 298], from: "bottom" },
      label: { at: [20, -50], to: [142, 100] },
    },
    centre: {
      d: "M222 112 L350 117 L350 240 L222 236 Z",
      fill: { box: [221, 111, 130, 130], from: "bottom" },
      label: { at: [20, 430], to: [232, 226] },
    },
    cockpit: {
      d: "M350 117 L374 92 L384 117 L436 116 L458 88 L470 114 C486 102 508 104 522 119 L522 238 L350 240 Z",
      fill: { box: [349, 86, 174, 155], from: "bottom" },
      label: { at: [440, 14], to: [484, 112] },
    },
    rear: {
      d: "M522 119 C600 126 700 140 776 152 L776 206 C700 220 600 234 522 238 Z",
      fill: { box: [521, 118, 256, 121], from: "bottom" },
      label: { at: [560, 332], to: [640, 222] },
    },
    tail: {
      d:
        "M776 152 L934 172 C940 176 940 182 936 186 L776 206 Z " +
        "M800 155 C822 147 836 120 848 96 C862 68 900 60 926 80 C952 102 958 154 946 198 C941 208 930 208 926 200 L934 172 Z",
      fill: { box: [775, 64, 180, 144], from: "bottom" },
      label: { at: [985, 16], to: [906, 74], anchor: "end" },
    },
    llower: {
      d: moved(SECTION, 256, 228),
      fill: { box: [255, 228, 178, 38], from: "bottom" },
    },
    lupper: {
      d: moved(SECTION, 188, 0),
      fill: { box: [187, 0, 178, 38], from: "bottom" },
    },
  },
  lines: {
    contour: [
      // ring and cylinders
      "M124 102 L124 240 M124 118 L156 118 M124 134 L156 134 M124 152 L156 152 M124 171 L156 171 M124 190 L156 190 M124 208 L156 208 M124 226 L156 226",
      "M164 228 L214 250 L226 250",
      // cabane and interplane struts, bracing wires
      "M236 36 L250 113 M322 36 L332 116 M322 36 L250 113",
      "M206 34 L284 232 M338 33 L412 236 M338 33 L284 232",
      // cockpits, turtle deck, rudder hinge, tailplane, wheel
      "M384 118 C394 134 424 134 436 117 M470 115 C478 132 500 132 510 112",
      "M522 142 L776 162",
      "M888 65 C892 100 898 150 902 196",
      "M806 160 C826 151 888 149 954 160 C888 170 826 169 806 160 Z",
      circle(306, 346, 21), circle(306, 346, 5),
      "M232 130 L260 131",
    ],
    fine: [
      "M262 114 L262 236 M306 116 L306 228 M400 130 L400 234 M452 116 L452 238",
      "M580 125 L580 234 M636 132 L636 228 M690 139 L690 221 M736 146 L736 213",
      "M350 180 L776 182",
      "M866 86 L890 84 M856 118 L894 116 M840 140 L896 142",
      "M230 4 L230 36 M310 8 L310 36 M298 232 L298 264 M378 236 L378 264",
    ],
    datum: ["M16 171 L984 171"],
  },
  marks: ["M958 216 L974 216 L966 230 Z"],
};

const RIGHT_UPPER = "M188 -60 L190 -500 C192 -556 222 -596 268 -598 C320 -596 356 -568 362 -522 L364 -60 Z";
const RIGHT_LOWER = "M256 -55 L258 -440 C262 -494 292 -528 336 -530 C388 -528 422 -500 428 -458 L432 -53 Z";
const RIGHT_TAILPLANE = "M806 -20 C806 -80 818 -130 842 -150 C866 -170 912 -166 926 -140 C938 -112 940 -60 938 -8 Z";
const RIGHT_BLADE = "M78 -12 C70 -50 72 -112 80 -148 C89 -112 92 -50 88 -14 Z";

const SYSTEMS = systemsBox(640, -424, { at: [640, -192] });
const FRONT = [
  // engine, wings, struts, wheels, fin, tailplane, propeller
  circle(164, 100, 26), circle(164, 100, 9),
  "M24 56 L304 56 L304 62 L24 62 Z M138 112 L40 116 L40 122 L144 120 M190 112 L288 116 L288 122 L184 120",
  "M76 62 L80 115 M252 62 L248 115 M152 62 L156 76 M176 62 L172 76",
  "M146 119 L128 146 M182 119 L200 146 M122 140 L132 140 L132 168 L122 168 Z M196 140 L206 140 L206 168 L196 168 Z",
  "M164 74 L164 40", "M136 128 L192 72",
].map((d) => moved(d, 640, 240));

const plan = {
  title: t`Seen from above`,
  viewBox: [0, -624, 1000, 1300],
  zones: {
    rlower: {
      d: RIGHT_LOWER,
      fill: { box: [255, -532, 178, 480], from: "bottom" },
      label: { at: [480, -462], to: [416, -440] },
    },
    llower: {
      d: mirrored(RIGHT_LOWER),
      fill: { box: [255, 52, 178, 480], from: "top" },
      label: { at: [480, 492], to: [416, 440] },
    },
    nose: {
      d:
        "M104 -62 C118 -71 138 -74 156 -74 L156 74 C138 74 118 71 104 62 C98 40 98 -40 104 -62 Z M156 -60 L190 -58 L190 58 L156 60 Z " +
        `M102 -18 C86 -14 76 -6 72 0 C76 6 86 14 102 18 Z ${bothSides(RIGHT_BLADE)}`,
      fill: { box: [70, -150, 121, 300], from: "left" },
    },
    cockpit: {
      d: "M364 -55 L522 -50 L522 50 L364 55 Z",
      fill: { box: [363, -56, 160, 112], from: "left" },
    },
    rear: {
      d: "M522 -50 C610 -45 700 -36 776 -24 L776 24 C700 36 610 45 522 50 Z",
      fill: { box: [521, -51, 256, 102], from: "left" },
    },
    tail: {
      d: `M776 -24 L938 -6 L938 6 L776 24 Z ${bothSides(RIGHT_TAILPLANE)}`,
      fill: { box: [775, -172, 166, 344], from: "left" },
    },
    rupper: {
      d: RIGHT_UPPER,
      fill: { box: [187, -600, 178, 541], from: "bottom" },
      label: { at: [480, -556], to: [342, -566] },
    },
    lupper: {
      d: mirrored(RIGHT_UPPER),
      fill: { box: [187, 59, 178, 541], from: "top" },
      label: { at: [480, 586], to: [342, 566] },
    },
    centre: {
      d: "M188 -60 L364 -60 L364 60 L188 60 Z",
      fill: { box: [187, -61, 178, 122], from: "left" },
    },
    systems: SYSTEMS.zone,
    whole: boxZone(640, 240, { at: [640, 226] }),
  },
  lines: {
    contour: [
      // ailerons on the lower wings, struts' feet, elevators
      bothSides("M398 -300 L396 -492 M398 -300 L430 -300 M396 -492 L418 -492"),
      bothSides("M892 -12 L892 -162 M892 -56 L938 -56"),
      bothSides("M210 -404 L222 -404 L222 -392 L210 -392 Z M332 -404 L344 -404 L344 -392 L332 -392 Z"),
      "M800 0 C836 -6 884 -6 900 -5 L900 5 C884 6 836 6 800 0 Z M900 -5 L958 0 L900 5",
      // cockpits and windscreens, fuel filler, cylinders
      "M384 -34 C400 -44 424 -44 438 -34 L438 34 C424 44 400 44 384 34 Z M372 -30 L384 -36 L384 36 L372 30 Z",
      "M470 -32 C484 -40 502 -40 512 -30 L512 30 C502 40 484 40 470 32 Z M456 -28 L470 -33 L470 33 L456 28 Z",
      circle(276, 0, 12), "M188 0 L240 0",
      "M124 -71 L124 71 M124 -46 L156 -46 M124 -20 L156 -20 M124 20 L156 20 M124 46 L156 46",
      SYSTEMS.lines, ...FRONT,
    ],
    fine: [
      bothSides("M230 -60 L232 -590 M320 -60 L318 -586 M400 -54 L398 -300"),
      bothSides("M812 -64 L892 -64 M820 -112 L892 -112 M850 -146 L892 -146"),
      "M580 -47 L580 47 M636 -42 L636 42 M690 -37 L690 37 M736 -30 L736 30",
    ],
    datum: ["M24 0 L990 0"],
    ribs: [
      { clip: "rlower", d: ribLines({ first: -86, step: -34, count: 14, from: 364, to: 440 }) },
      { clip: "llower", d: ribLines({ first: 86, step: 34, count: 14, from: 364, to: 440 }) },
      { clip: "rupper", d: ribLines({ first: -90, step: -34, count: 15, from: 180, to: 370 }) },
      { clip: "lupper", d: ribLines({ first: 90, step: 34, count: 15, from: 180, to: 370 }) },
    ],
  },
  marks: [],
};

/** The two views, side view first. Zones are drawn in the order they stand in. */
export const biplane = { name: t`Biplane`, views: { side, plan } };
