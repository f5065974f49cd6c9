/**
 * Two people at one thing: what the other one wrote comes into the form beside what was typed.
 *
 * A field that was left alone takes the newer value. Where both wrote something, both are shown,
 * and whoever sits here chooses; texts can also be kept one after the other.
 */

import { el } from "./dom.js";
import { t } from "./text.js";

const IS_LONG = "textarea, input[type=text]";

/**
 * Bring what was changed since into a form.
 * @param {HTMLFormElement} form
 * @param {any[]} changes Lines of the change log, oldest first.
 * @returns {number} Fields in which both wrote something: they are to choose.
 */
export function bringTogether(form, changes) {
  let open = 0;
  for (const [name, { who, before, after }] of lastOf(changes)) {
    const control = form.elements.namedItem(name);
    const place = form.querySelector(`[data-field="${CSS.escape(name)}"]`);
    if (!place || !control || control.type === "checkbox") continue;
    place.querySelector(".both")?.remove();
    if (control.value === after) continue;
    if (control.value === before) {
      put(control, after);
      place.append(el("p.both", {}, before ? t`${who} wrote this meanwhile; it was ${before}.` : t`${who} wrote this meanwhile; it was empty.`));
    } else {
      place.append(choice(control, who, after));
      open += 1;
    }
  }
  return open;
}

/** What each field was before and is now, by the names of the plan; lists and ranges are left out. */
function lastOf(changes) {
  const fields = new Map();
  for (const { who, before, after } of changes) {
    const old = flat(before);
    const now = flat(after);
    for (const name of new Set([...Object.keys(old), ...Object.keys(now)])) {
      if (old[name] === now[name]) continue;
      fields.set(name, { who, before: fields.get(name)?.before ?? old[name] ?? "", after: now[name] ?? "" });
    }
  }
  return fields;
}

function flat(document) {
  const { status = {}, ...rest } = document ?? {};
  const isPlain = ([, value]) => value === null || typeof value !== "object";
  const entries = [...Object.entries(rest), ...Object.entries(status ?? {})].filter(isPlain);
  return Object.fromEntries(entries.map(([name, value]) => [name, String(value ?? "")]));
}

function choice(control, who, theirs) {
  const node = el("div.both", { role: "group", "aria-label": t`What ${who} wrote` });
  const mine = control.value;
  const settle = (value) => {
    put(control, value);
    node.remove();
    control.focus?.();
  };
  const button = (text, value) => el("button.button", { type: "button", onclick: () => settle(value) }, text);
  const isText = control instanceof Element && control.matches(IS_LONG);
  const gap = control instanceof HTMLTextAreaElement ? "\n" : "; ";
  node.append(
    el("p", {}, t`${who} wrote: ${el("b", {}, theirs ? worded(control, theirs) : t`nothing`)}`),
    el("div.button-row", {}, button(t`Take that`, theirs), button(t`Keep mine`, mine), isText && theirs ? button(t`Keep both`, `${theirs}${gap}${mine}`) : ""),
  );
  return node;
}

/** How a choice is called, where the field has choices. */
function worded(control, value) {
  const option = control instanceof HTMLSelectElement ? [...control.options].find((one) => one.value === value) : null;
  return option?.textContent ?? value;
}

function put(control, value) {
  control.value = value;
  const target = control instanceof Element ? control : control[0];
  for (const kind of ["input", "change"]) target.dispatchEvent(new Event(kind, { bubbles: true }));
}
