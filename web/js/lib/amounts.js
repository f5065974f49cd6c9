/** Sums of money without rounding: amounts come as decimal strings and are added as whole numbers. */

/** @typedef {string | number} Amount A decimal string, "1234.50". */

/** @param {Amount[]} amounts @returns {string} */
export function sum(amounts) {
  const digits = Math.max(0, ...amounts.map(digitsOf));
  return written(amounts.reduce((total, one) => total + units(one, digits), 0n), digits);
}

/** @param {Amount} from @param {Amount} what @returns {string} */
export function minus(from, what) {
  const digits = Math.max(digitsOf(from), digitsOf(what));
  return written(units(from, digits) - units(what, digits), digits);
}

/** -1, 0 or 1. @param {Amount} one @param {Amount} [other] */
export function compare(one, other = "0") {
  const digits = Math.max(digitsOf(one), digitsOf(other));
  const apart = units(one, digits) - units(other, digits);
  return apart > 0n ? 1 : Number(apart < 0n) * -1;
}

/** Without its sign. @param {Amount} amount @returns {string} */
export function size(amount) {
  return String(amount).replace(/^-/, "");
}

/** Figures after the point. @param {Amount} amount */
export function digitsOf(amount) {
  return (String(amount).split(".")[1] ?? "").length;
}

function units(amount, digits) {
  const [whole, part = ""] = String(amount).split(".");
  return BigInt(whole + part.padEnd(digits, "0"));
}

function written(count, digits) {
  const sign = count < 0n ? "-" : "";
  const figures = String(count < 0n ? -count : count).padStart(digits + 1, "0");
  const point = figures.length - digits;
  return sign + figures.slice(0, point) + (digits ? `.${figures.slice(point)}` : "");
}
