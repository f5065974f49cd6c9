/** Forms: labelled fields, an error summary that takes the focus, nothing typed is ever lost. */

import { ApiError } from "./api.js";
import { whatChanged } from "./changes.js";
import { datedText, el, freshId } from "./dom.js";
import { signInAddress } from "./entry.js";
import { bringTogether } from "./merging.js";
import { t } from "./text.js";

/**
 * A labelled field.
 *
 * @param {object} parts
 * @param {string} parts.label
 * @param {string} parts.name
 * @param {string} [parts.type] Of the input; "select" with `options`, "textarea" for longer text.
 * @param {any} [parts.value]
 * @param {string} [parts.hint]
 * @param {[string, string][]} [parts.options] Value and text.
 * @param {string[]} [parts.suggestions] Offered while typing; anything else can be typed as well.
 * @param {Record<string, any>} [parts.attributes] More for the input: min, max, step, required.
 * @returns {HTMLElement}
 */
export function field({ label, name, type = "text", value = "", hint, options = [], suggestions = [], attributes = {} }) {
  const id = freshId(`field-${name}`);
  const hintId = hint && `${id}-hint`;
  const listId = suggestions.length ? `${id}-list` : null;
  const shared = { id, name, list: listId, "aria-describedby": hintId, ...attributes };
  const input = control(type, value, options, shared);
  return el(
    "div.field",
    { "data-field": name },
    el("label", { for: id }, label),
    input,
    hint && el("span.hint", { id: hintId }, hint),
    listId && el("datalist", { id: listId }, suggestions.map((text) => el("option", { value: text }))),
  );
}

function control(type, value, options, attributes) {
  if (type === "select") {
    const choices = options.map(([key, text]) =>
      el("option", { value: key, selected: key === String(value ?? "") }, text),
    );
    return el("select", attributes, choices);
  }
  if (type === "textarea") return el("textarea", { rows: 3, ...attributes }, value ?? "");
  return el("input", { type, ...attributes, value: value ?? "" });
}

/**
 * One of several, as radio buttons that are all in sight.
 * @param {{label: string, name: string, value: string, options: [string, string, string?][]}} parts
 *   An option is its value, its text, and a hint below it.
 */
export function picks({ label, name, value, options }) {
  const pick = ([key, text, hint]) =>
    el("label.pick", {}, el("input", { type: "radio", name, value: key, checked: key === value }), el("span", {}, text, hint ? el("span.hint", {}, hint) : null));
  return el("fieldset.picks", { "data-field": name, "data-entry": true }, el("legend.label", {}, label), el("div.pick-row", {}, options.map(pick)));
}

/** What a form holds, by name; empty fields are null. @param {HTMLFormElement} form */
export function readForm(form) {
  const data = new FormData(form);
  return Object.fromEntries(
    [...data.entries()].map(([key, value]) => [key, String(value).trim() || null]),
  );
}

/**
 * Name what is wrong, above the form and beside each field. A form that saves nothing says in
 * `data-refused` what then did not happen.
 * @param {HTMLFormElement} form
 * @param {{field?: string | null, index?: number | null, message: string}[]} problems `index` is
 *   the entry that is meant, in a field that holds several.
 */
export function showErrors(form, problems) {
  clearErrors(form);
  const entries = problems.map(({ field: name, index, message }) => {
    const place = name && form.querySelector(`[data-field="${CSS.escape(name)}"]`);
    const entry = place && (place.querySelectorAll("[data-entry]")[index ?? -1] ?? place);
    return el("li", {}, entry ? linkTo(entry, message) : datedText(message));
  });
  const summary = el(
    "div.error-summary",
    { tabindex: "-1", role: "alert" },
    el("h3", {}, form.dataset.refused ?? t`Not saved yet`),
    el("ul", {}, entries),
  );
  form.prepend(summary);
  summary.focus();
}

/** @param {HTMLFormElement} form */
export function clearErrors(form) {
  form.querySelector(".error-summary")?.remove();
  for (const note of form.querySelectorAll(".wrong")) note.remove();
  for (const input of form.querySelectorAll("[aria-invalid]")) input.removeAttribute("aria-invalid");
}

function linkTo(place, message) {
  const input = place.querySelector("input, select, textarea");
  const note = el("span.wrong", { id: `${input.id}-wrong` }, datedText(message));
  if (place.hasAttribute("data-entry")) place.prepend(note);
  else input.before(note);
  input.setAttribute("aria-invalid", "true");
  const described = [input.getAttribute("aria-describedby"), note.id].filter(Boolean).join(" ");
  input.setAttribute("aria-describedby", described);
  const link = el("a", { href: `#${input.id}` }, datedText(message));
  link.addEventListener("click", (event) => {
    event.preventDefault();
    input.focus();
  });
  return link;
}

/**
 * Run a submission: button asleep meanwhile, refusals shown on the form.
 *
 * @param {HTMLFormElement} form
 * @param {() => Promise<void>} work
 * @param {(error: ApiError) => Promise<void>} [onStale] Read the newer version, so that saving
 *   again works; what was typed stays.
 */
export async function submitting(form, work, onStale) {
  const buttons = [...form.elements].filter(({ type }) => type === "submit");
  for (const button of buttons) button.disabled = true;
  try {
    clearErrors(form);
    await work();
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    if (error.isSignedOut && !form.dataset.refused) {
      showErrors(form, [{ message: t`You are signed out. What you typed stays here: sign in in another window, then save again.` }]);
      form.querySelector(".error-summary").append(el("p", {}, el("a", { href: signInAddress(), target: "_blank" }, t`Sign in in another window`)));
    } else if (error.isStale && onStale) {
      await onStale(error);
      const open = bringTogether(form, error.problem.changes_since ?? []);
      const advice = open
        ? t`What you typed is still here: choose where you both wrote, then save again.`
        : t`What you typed is still here: save again to put it on top.`;
      showErrors(form, [{ message: `${whatChanged(error)} ${advice}` }]);
    } else {
      const name = fieldOf(form, error.problem.field);
      const [, index] = /\[(\d+)\](?:\[\d+\])?$/.exec(error.problem.field ?? "") ?? [];
      showErrors(form, [{ field: name, index, message: reasonFor(form, name, error) }]);
    }
  } finally {
    for (const button of buttons) button.disabled = false;
  }
}

/** The button that sends a form from outside it. @param {HTMLFormElement} node @param {string} text */
export function sendButton(node, text) {
  return el("button.button.strong", { type: "submit", form: node.id }, text);
}

/**
 * The field that the service names: "status.finished" is "finished" here, "after[1]" is "after".
 * @param {HTMLFormElement} form @param {string | null | undefined} named @returns {string | undefined}
 */
export function fieldOf(form, named) {
  const where = String(named ?? "");
  const steps = where.split(/[.[\]]+/).filter(Boolean);
  return [where, where.replace(/\[\d+\]$/, ""), ...steps.reverse()].find(
    (name) => name && form.querySelector(`[data-field="${CSS.escape(name)}"]`),
  );
}

/** The service's sentence, with the field's label in place of its path in the plan file. */
function reasonFor(form, name, { message, problem }) {
  const path = `${problem.field}: `;
  if (!name || !message.startsWith(path)) return message;
  const label = form.querySelector(`[data-field="${CSS.escape(name)}"] :is(label, legend)`);
  return `${label.textContent}: ${message.slice(path.length)}`;
}

/** Why the service refuses, in the words of a form. @param {HTMLFormElement} form @param {ApiError} error */
export function refusalIn(form, error) {
  return reasonFor(form, fieldOf(form, error.problem.field), error);
}

/** A form that is filled and sent by `work`. @param {any} content @param {() => Promise<void>} work */
export function form(content, work, onStale) {
  const attributes = { id: freshId("form"), novalidate: true };
  const node = /** @type {HTMLFormElement} */ (el("form.stack", attributes, content));
  node.addEventListener("submit", (event) => {
    event.preventDefault();
    submitting(node, work, onStale);
  });
  return node;
}

