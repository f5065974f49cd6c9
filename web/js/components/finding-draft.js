/**
 * What is typed into a form and not sent yet, kept in this window: it survives a reload.
 *
 * Only what differs from the form as it was drawn is kept, so that nothing old comes back on top of
 * what somebody else has written since.
 */

const PAUSE_MS = 250;

/** Drafts of one project by name of the form. @param {number} project */
export function draftsOf(project) {
  const place = `ribstitch-findings-${project}`;
  const read = () => JSON.parse(sessionStorage.getItem(place) ?? "{}");
  const write = (all) => sessionStorage.setItem(place, JSON.stringify(all));
  return {
    /** @returns {Record<string, any>} By name. */
    all: read,
    /** @param {string} name @param {any} draft Undefined forgets it. */
    set(name, draft) {
      write({ ...read(), [name]: draft });
    },
  };
}

/** What a form holds, field by field. @param {HTMLFormElement} form */
export function captured(form) {
  const values = {};
  for (const field of form.elements) {
    if (!field.name) continue;
    if (field.type === "radio") values[field.name] = field.checked ? field.value : (values[field.name] ?? "");
    else values[field.name] = field.type === "checkbox" ? field.checked : field.value;
  }
  return values;
}

/** Put values back. @param {HTMLFormElement} form @param {Record<string, any>} values */
export function restore(form, values) {
  for (const field of form.elements) {
    if (!(field.name in values)) continue;
    const value = values[field.name];
    if (field.type === "radio") field.checked = field.value === value;
    else if (field.type === "checkbox") field.checked = value;
    else field.value = value;
  }
}

/**
 * Tell what was typed a moment after the last stroke, and when the window goes. A form that was
 * sent and taken away meanwhile tells nothing: its words would come back.
 * @param {HTMLFormElement} form
 * @param {(changed: Record<string, any>) => void} keep What differs from now.
 * @returns {() => void} Call it to begin anew from what the form holds.
 */
export function watchTyping(form, keep) {
  let before = captured(form);
  let timer = 0;
  const tell = () => {
    clearTimeout(timer);
    timer = 0;
    if (!form.isConnected) return;
    const now = captured(form);
    keep(Object.fromEntries(Object.entries(now).filter(([name, value]) => value !== before[name])));
  };
  const soon = () => {
    clearTimeout(timer);
    timer = setTimeout(tell, PAUSE_MS);
  };
  form.addEventListener("input", soon);
  form.addEventListener("change", soon);
  addEventListener("pagehide", () => {
    if (timer) tell();
  });
  return () => {
    clearTimeout(timer);
    timer = 0;
    before = captured(form);
  };
}
