/**
 * Line drawing of a two-seat amphibious flying boat, in two views that share their x axis.
 *
 * One unit is about a centimetre. Nose to the left; the side view is seen from the left, so
 * the left wing lies lower in the plan. A zone's `fill` is the box that its accomplished share
 * grows in, and the edge it grows from.
 */

import { t } from "../lib/text.js";
import { bothSides, mirrored, systemsBox } from "./drawing-parts.js";

const WHEEL = "M364 356 C364 336 380 322 398 322 C416 322 432 336 432 356 C432 376 416 390 398 390 C380 390 364 376 364 356 Z";
const TAIL_WHEEL = "M832 266 C832 258 838 252 846 252 C854 252 860 258 860 266 C860 274 854 280 846 280 C838 280 832 274 832 266 Z";
const GEAR_LEG = "M404 262 L418 262 L405 330 L391 330 Z";

const side = {
  title: t`Seen from the left`,
  viewBox: [0, -104, 1000, 600],
  zones: {
    bow: {
      d: "M235 200 C180 202 116 212 84 234 C68 246 60 254 62 262 C68 290 132 326 235 331 Z",
      fill: { box: [60, 198, 176, 134], from: "bottom" },
      label: { at: [20, 116], to: [112, 216] },
    },
    cockpit: {
      d: "M235 200 L284 154 C306 143 372 142 402 152 C412 155 420 160 427 166 L427 337 L235 331 Z",
      fill: { box: [234, 141, 194, 197], from: "bottom" },
      label: { at: [120, 44], to: [318, 144] },
    },
    centre: {
      d: "M427 190 L640 188 L640 286 L522 314 L522 341 L427 337 Z",
      fill: { box: [426, 187, 215, 154], from: "bottom" },
      label: { at: [505, 430], to: [556, 310] },
    },
    aft: {
      d: "M640 188 C700 185 760 180 800 177 L800 243 C750 258 700 271 640 286 Z",
      fill: { box: [639, 176, 162, 115], from: "bottom" },
      label: { at: [690, 356], to: [722, 267] },
    },
    tail: {
      d:
        "M800 177 L926 182 C932 190 928 198 920 203 C884 218 840 231 800 243 Z " +
        "M790 178 C828 168 842 112 858 74 C866 50 898 42 918 58 C950 86 964 140 948 192 " +
        "C942 208 932 214 920 208 L926 182 Z",
      fill: { box: [788, 46, 172, 202], from: "bottom" },
      label: { at: [985, 16], to: [900, 50], anchor: "end" },
    },
    gear: {
      d: `${GEAR_LEG} ${WHEEL} M838 238 L850 234 L850 254 L842 254 Z ${TAIL_WHEEL}`,
      fill: { box: [362, 234, 500, 158], from: "bottom" },
      label: { at: [20, 430], to: [372, 376] },
    },
    lwing: {
      d: "M430 181 C434 168 470 160 520 161 C570 163 610 174 634 187 C600 191 500 196 450 192 C438 190 431 186 430 181 Z",
      fill: { box: [428, 159, 208, 38], from: "bottom" },
    },
    floats: {
      d: "M464 274 C470 264 500 258 532 258 C566 258 592 264 606 270 C590 282 566 288 546 290 L545 297 C510 298 478 290 464 274 Z",
      fill: { box: [462, 257, 146, 41], from: "bottom" },
    },
    pylon: {
      d:
        "M446 22 C441 40 441 96 446 114 L500 112 C508 110 508 26 500 24 Z " +
        "M505 35 C570 35 640 52 674 67 C640 84 570 100 505 102 Z " +
        "M418 68 C420 61 431 55 446 54 L446 82 C431 81 420 75 418 68 Z " +
        "M433 58 C426 30 428 -8 435 -29 C443 -8 445 30 441 57 Z " +
        "M433 78 C426 106 428 142 435 160 C443 142 445 106 441 79 Z " +
        "M470 112 L482 112 L478 168 L466 168 Z M556 97 L569 95 L594 170 L581 170 Z",
      fill: { box: [416, -30, 260, 200], from: "bottom" },
      label: { at: [530, -56], to: [580, 36] },
    },
  },
  lines: {
    contour: [
      // chines, sill, hinge, tailplane, strut
      "M64 266 C112 288 170 295 235 297 L522 304",
      "M522 288 L640 268 L800 231 L912 206", "M235 322 L427 328 L522 332",
      "M235 200 L427 190",
      "M884 49 C887 90 893 150 897 196",
      "M806 132 C818 124 862 121 944 132 C862 141 818 140 806 132 Z",
      "M866 139 L838 179",
      "M482 112 L583 168", "M400 276 L444 300",
      "M508 258 L496 195 M556 259 L572 191 M508 258 L572 191",
      // canopy: windscreen and five sliding panels
      "M284 154 L276 198 M309 147 L308 196 M335 145 L336 195 M362 145 L364 194 M388 148 L392 193",
      "M254 183 C300 178 370 176 427 178",
      // wheel, tail wheel, water rudder
      "M389 356 C389 351 393 347 398 347 C403 347 407 351 407 356 C407 361 403 365 398 365 C393 365 389 361 389 356 Z",
      "M374 356 C374 342 385 332 398 332 C411 332 422 342 422 356 C422 370 411 380 398 380 C385 380 374 370 374 356 Z",
      "M842 266 L850 266 M846 262 L846 270",
      "M908 211 L934 222 L928 244 L912 236 Z",
      // cowl: cylinders behind the ring, exhaust, hatch, bitt, bow light
      "M452 40 L496 40 M451 54 L499 54 M450 68 L500 68 M451 82 L499 82 M452 97 L496 97",
      "M506 92 L538 104 L556 104",
      "M572 206 L618 204 L618 240 L572 242 Z",
      "M128 212 L128 200 M120 200 L136 200 M158 207 L158 195 M150 195 L166 195",
      "M80 238 C72 236 70 242 72 246",
      "M150 238 C176 230 206 228 228 228",
    ],
    fine: [
      // frames and stringers behind the skin
      "M130 216 L130 288 M182 206 L182 296",
      "M286 200 L286 299 M338 199 L338 300 M390 194 L390 301",
      "M470 197 L470 302 M522 196 L522 291 M596 192 L596 279",
      "M682 187 L682 261 M724 184 L724 251 M764 181 L764 241 M840 180 L840 224",
      "M235 250 L427 246 L640 232 L800 207",
      "M862 80 L884 74 M852 106 L887 104 M838 150 L892 156 M888 100 L942 96 M892 140 L954 140 M895 176 L950 178",
      "M476 165 L476 193 M566 166 L566 191",
    ],
    datum: ["M16 308 L984 308"],
  },
  marks: ["M958 290 L974 290 L966 304 Z"],
};

const RIGHT_WING =
  "M432 -62 L468 -500 C474 -560 500 -602 540 -604 C576 -602 592 -572 594 -520 L628 -54 Z";
const RIGHT_TAILPLANE =
  "M810 -24 C820 -80 830 -126 838 -152 C848 -186 902 -194 922 -170 C934 -150 936 -70 935 -9 Z";
const RIGHT_FLOAT = "M464 -470 C480 -488 520 -490 550 -486 C580 -482 598 -476 606 -470 C598 -464 580 -458 550 -454 C520 -450 480 -452 464 -470 Z";
const BLADE = "M433 -10 C425 -40 427 -78 435 -97 C443 -78 446 -40 441 -11 Z";
const RIGHT_WHEEL = "M366 -98 L430 -98 L430 -76 L366 -76 Z";

const SYSTEMS = systemsBox(24, -612, { at: [24, -372] });

const ribs = Array.from({ length: 17 }, (_, index) => 78 + index * 30.5);
const ribLines = (sign) => ribs.map((y) => `M400 ${sign * y} L660 ${sign * y}`).join(" ");

const plan = {
  title: t`Seen from above`,
  viewBox: [0, -624, 1000, 1300],
  zones: {
    gear: {
      d: bothSides(RIGHT_WHEEL),
      fill: { box: [364, -100, 68, 200], from: "left" },
    },
    bow: {
      d: "M235 -58 C190 -56 112 -46 78 -22 C58 -8 58 8 78 22 C112 46 190 56 235 58 Z",
      fill: { box: [60, -60, 176, 120], from: "left" },
    },
    cockpit: {
      d: "M235 -58 C300 -63 370 -66 432 -65 L432 65 C370 66 300 63 235 58 Z",
      fill: { box: [234, -67, 199, 134], from: "left" },
    },
    centre: {
      d: "M432 -65 C500 -66 570 -61 640 -50 L640 50 C570 61 500 66 432 65 Z",
      fill: { box: [431, -67, 210, 134], from: "left" },
    },
    aft: {
      d: "M640 -50 L800 -26 L800 26 L640 50 Z",
      fill: { box: [639, -51, 162, 102], from: "left" },
    },
    tail: {
      d: `M800 -26 L935 -9 L935 9 L800 26 Z ${bothSides(RIGHT_TAILPLANE)}`,
      fill: { box: [799, -192, 138, 384], from: "left" },
    },
    rwing: {
      d: RIGHT_WING,
      fill: { box: [430, -605, 200, 551], from: "bottom" },
      label: { at: [660, -286], to: [596, -256] },
    },
    lwing: {
      d: mirrored(RIGHT_WING),
      fill: { box: [430, 54, 200, 551], from: "top" },
      label: { at: [660, 316], to: [596, 256] },
    },
    floats: {
      d: bothSides(RIGHT_FLOAT),
      fill: { box: [462, -490, 146, 980], from: "left" },
      label: { at: [660, -520], to: [600, -474] },
    },
    pylon: {
      d:
        "M446 -46 C441 -30 441 30 446 46 L500 44 C508 42 508 -42 500 -44 Z " +
        "M505 -34 C570 -32 634 -16 674 0 C634 16 570 32 505 34 Z " +
        `M418 0 C420 -7 431 -13 446 -14 L446 14 C431 13 420 7 418 0 Z ${bothSides(BLADE)}`,
      fill: { box: [416, -98, 260, 196], from: "left" },
    },
    systems: SYSTEMS.zone,
    whole: {
      d: "M24 424 L352 424 L352 612 L24 612 Z",
      fill: { box: [24, 424, 328, 188], from: "bottom" },
      label: { at: [24, 404] },
    },
  },
  lines: {
    contour: [
      // ailerons, elevators, tab, fin and rudder
      bothSides("M578 -300 L568 -552 M578 -300 L611 -300 M568 -552 L590 -552"),
      bothSides("M886 -17 L886 -184 M886 -60 L935 -60"),
      "M790 0 C830 -6 880 -6 897 -5 L897 5 C880 6 830 6 790 0 Z M897 -5 L958 0 L897 5",
      // canopy frames and centre bow, hatches, bitts
      "M240 -42 C300 -50 380 -52 425 -46 M240 42 C300 50 380 52 425 46",
      "M240 -42 C228 -20 228 20 240 42 M272 -46 L272 46 M304 -48 L304 48 M336 -50 L336 50 M368 -50 L368 50 M400 -49 L400 49",
      "M240 0 L425 0",
      "M140 -18 L184 -20 L184 20 L140 18 Z M108 -10 L108 10 M120 -12 L120 12",
      "M505 -34 L505 34",
      // legs
      bothSides("M398 -76 L404 -65"),
      // wing leading edge over the hull, trailing edge
      "M432 -62 L432 -46 M432 62 L432 46 M628 -54 L626 -14 M628 54 L626 14",
      SYSTEMS.lines,
      // whole aircraft: a small front view
      "M52 500 L324 500 M52 500 C60 492 150 486 188 486 C226 486 316 492 324 500",
      "M172 500 C170 530 178 552 188 560 C198 552 206 530 204 500",
      "M176 470 C176 463 181 458 188 458 C195 458 200 463 200 470 C200 477 195 482 188 482 C181 482 176 477 176 470 Z",
      "M188 444 L188 496 M84 500 L84 524 M292 500 L292 524 M76 524 L92 524 L88 536 L80 536 Z M284 524 L300 524 L296 536 L288 536 Z",
      "M150 566 L158 566 L158 584 L150 584 Z M218 566 L226 566 L226 584 L218 584 Z M174 540 L156 566 M202 540 L220 566",
    ],
    fine: [
      bothSides("M484 -60 L502 -590 M562 -58 L554 -590"),
      "M660 -44 L660 44 M700 -38 L700 38 M744 -32 L744 32 M470 -62 L470 -46 M470 62 L470 46",
      "M182 -54 L182 -22 M182 54 L182 22",
      bothSides("M845 -60 L886 -60 M836 -110 L886 -110 M846 -150 L886 -150"),
    ],
    datum: ["M24 0 L990 0"],
    ribs: [
      { clip: "rwing", d: ribLines(-1) },
      { clip: "lwing", d: ribLines(1) },
    ],
  },
  marks: [],
};

/** The two views, side view first. Zones are drawn in the order they stand in. */
export const amphibian = { name: t`Amphibious flying boat`, views: { side, plan } };
