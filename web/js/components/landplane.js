/** Line drawing of a two-seat low-wing landplane with a tail wheel, in two views that share their x axis. */

import { t } from "../lib/text.js";
import { bothSides, boxZone, circle, mirrored, moved, ribLines, systemsBox } from "./drawing-parts.js";

const BLADE = "M66 158 C58 120 60 62 68 26 C77 62 80 120 76 158 Z M66 178 C58 216 60 274 68 310 C77 274 80 216 76 178 Z";

const side = {
  title: t`Seen from the left`,
  viewBox: [0, -104, 1000, 600],
  zones: {
    gear: {
      d: `M300 246 L326 246 L320 330 L304 330 Z ${circle(311, 346, 35)} M858 182 L872 180 L880 222 L868 224 Z ${circle(874, 234, 14)}`,
      fill: { box: [274, 178, 616, 204], from: "bottom" },
      label: { at: [520, 430], to: [340, 362] },
    },
    nose: {
      d:
        "M88 134 C128 121 174 115 220 113 L220 235 C172 231 122 220 88 204 C80 190 80 148 88 134 Z " +
        `M84 140 C60 147 46 160 42 168 C46 176 60 190 84 198 Z ${BLADE}`,
      fill: { box: [40, 24, 182, 290], from: "bottom" },
      label: { at: [120, -58], to: [168, 122] },
    },
    centre: {
      d: "M220 113 L350 108 L350 245 L220 235 Z",
      fill: { box: [219, 106, 132, 140], from: "bottom" },
      label: { at: [20, 430], to: [229, 204] },
    },
    cockpit: {
      d: "M350 108 L386 64 C402 52 448 50 470 60 C488 70 498 88 508 106 L508 240 L350 245 Z",
      fill: { box: [349, 50, 160, 196], from: "bottom" },
      label: { at: [392, 6], to: [440, 60] },
    },
    rear: {
      d: "M508 106 C590 112 690 126 770 140 L770 198 C690 214 590 232 508 240 Z",
      fill: { box: [507, 105, 264, 136], from: "bottom" },
      label: { at: [560, 332], to: [640, 214] },
    },
    tail: {
      d:
        "M770 140 L930 161 C938 166 938 172 934 176 L770 198 Z " +
        "M788 142 C820 132 838 92 852 56 C860 38 892 34 910 48 C940 76 952 134 944 192 C940 203 930 204 926 196 L930 161 Z",
      fill: { box: [769, 36, 182, 166], from: "bottom" },
      label: { at: [985, -4], to: [896, 48], anchor: "end" },
    },
    lwing: {
      d: "M226 238 C236 221 284 213 342 218 C404 223 452 233 486 246 C440 253 306 259 254 254 C236 252 226 246 226 238 Z",
      fill: { box: [225, 214, 262, 44], from: "bottom" },
    },
  },
  lines: {
    contour: [
      // cowl: split line, louvres, exhaust stubs
      "M90 170 L220 174", "M152 128 L152 168 M166 126 L166 168 M180 124 L180 168 M194 122 L194 168",
      "M128 188 L150 191 M128 196 L150 199 M164 193 L186 196 M164 201 L186 204",
      // canopy, sill, door
      "M386 64 L380 106 M426 52 L424 104 M470 60 L468 104 M358 110 C410 104 460 103 508 107",
      "M392 120 L462 118 L462 210 L396 212 Z",
      // filler, step, rudder hinge, tailplane, wheel
      "M262 124 L286 123 M470 244 L470 258 L482 258",
      "M880 37 C884 80 890 142 894 190",
      "M800 148 C820 139 884 137 950 148 C884 158 820 157 800 148 Z",
      circle(311, 346, 20), circle(311, 346, 5), "M870 234 L878 234 M874 230 L874 238",
      // oleo link
      "M326 272 L336 286 L322 300",
    ],
    fine: [
      "M262 113 L262 236 M306 110 L306 214",
      "M408 104 L408 218 M508 106 L508 240",
      "M560 112 L560 234 M614 119 L614 226 M668 126 L668 216 M720 133 L720 206",
      "M508 146 L770 158 M508 196 L770 182",
      "M866 70 L886 66 M856 102 L887 98 M840 128 L890 134",
      "M276 217 L276 254 M404 224 L404 255",
    ],
    datum: ["M16 168 L984 168"],
  },
  marks: ["M958 150 L974 150 L966 164 Z"],
};

const RIGHT_WING = "M228 -53 L250 -496 C256 -560 290 -600 334 -602 C376 -600 406 -566 412 -512 L486 -52 Z";
const RIGHT_TAILPLANE = "M804 -20 C812 -70 824 -122 838 -150 C850 -178 902 -184 922 -164 C936 -146 940 -70 940 -8 Z";
const RIGHT_BLADE = "M66 -12 C58 -50 60 -106 68 -142 C77 -106 80 -50 76 -14 Z";

const SYSTEMS = systemsBox(640, -612, { at: [640, -372] });
const FRONT = [
  // fuselage, canopy, wings, wheels, tail, propeller
  circle(164, 96, 24), "M148 78 C150 60 178 60 180 78",
  "M142 110 L24 88 L24 94 L148 120 M186 110 L304 88 L304 94 L180 120",
  "M118 114 L114 142 M210 114 L214 142 M109 136 L119 136 L119 162 L109 162 Z M209 136 L219 136 L219 162 L209 162 Z",
  "M164 72 L164 30 M122 64 L148 64 M180 64 L206 64", "M136 124 L192 68",
].map((d) => moved(d, 640, 424));

const plan = {
  title: t`Seen from above`,
  viewBox: [0, -624, 1000, 1300],
  zones: {
    nose: {
      d:
        "M88 -38 C128 -48 174 -53 220 -54 L220 54 C174 53 128 48 88 38 C80 24 80 -24 88 -38 Z " +
        `M84 -26 C60 -21 46 -8 42 0 C46 8 60 21 84 26 Z ${bothSides(RIGHT_BLADE)}`,
      fill: { box: [40, -144, 182, 288], from: "left" },
    },
    centre: {
      d: "M220 -54 L350 -56 L350 56 L220 54 Z",
      fill: { box: [219, -57, 132, 114], from: "left" },
    },
    cockpit: {
      d: "M350 -56 C410 -58 460 -56 508 -52 L508 52 C460 56 410 58 350 56 Z",
      fill: { box: [349, -59, 160, 118], from: "left" },
    },
    rear: {
      d: "M508 -52 C600 -46 690 -36 770 -25 L770 25 C690 36 600 46 508 52 Z",
      fill: { box: [507, -53, 264, 106], from: "left" },
    },
    tail: {
      d: `M770 -25 L940 -6 L940 6 L770 25 Z ${bothSides(RIGHT_TAILPLANE)}`,
      fill: { box: [769, -186, 172, 372], from: "left" },
    },
    rwing: {
      d: RIGHT_WING,
      fill: { box: [226, -604, 262, 552], from: "bottom" },
      label: { at: [530, -286], to: [434, -256] },
    },
    lwing: {
      d: mirrored(RIGHT_WING),
      fill: { box: [226, 52, 262, 552], from: "top" },
      label: { at: [530, 316], to: [434, 256] },
    },
    systems: SYSTEMS.zone,
    whole: boxZone(640, 424, { at: [640, 404] }),
  },
  lines: {
    contour: [
      // ailerons, flaps, elevators, tab
      bothSides("M414 -300 L386 -520 M414 -300 L446 -300 M386 -520 L411 -520"),
      bothSides("M446 -64 L418 -292 M418 -292 L447 -292 M446 -64 L484 -64"),
      bothSides("M884 -13 L884 -177 M884 -64 L939 -64"),
      "M788 0 C830 -6 880 -6 892 -5 L892 5 C880 6 830 6 788 0 Z M892 -5 L954 0 L892 5",
      // canopy, cowl, filler, exhaust
      "M360 -36 C420 -44 470 -42 508 -26 L508 26 C470 42 420 44 360 36 Z M384 -39 L384 39 M424 -42 L424 42 M468 -40 L468 40",
      "M100 0 L220 0", circle(274, 0, 11),
      bothSides("M128 -49 L128 -56 L186 -60"),
      SYSTEMS.lines, ...FRONT,
    ],
    fine: [
      bothSides("M286 -54 L304 -598 M398 -54 L370 -590"),
      bothSides("M838 -64 L884 -64 M832 -112 L884 -112 M842 -154 L884 -154"),
      "M560 -48 L560 48 M614 -44 L614 44 M668 -38 L668 38 M720 -32 L720 32 M306 -55 L306 55",
    ],
    datum: ["M24 0 L990 0"],
    ribs: [
      { clip: "rwing", d: ribLines({ first: -90, step: -30.5, count: 17, from: 200, to: 520 }) },
      { clip: "lwing", d: ribLines({ first: 90, step: 30.5, count: 17, from: 200, to: 520 }) },
    ],
  },
  marks: [],
};

/** The two views, side view first. Zones are drawn in the order they stand in. */
export const landplane = { name: t`Landplane`, views: { side, plan } };
