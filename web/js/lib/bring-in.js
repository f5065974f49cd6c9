/** Bringing in a plan file: it becomes a new project, which is opened. */

import { post } from "./api.js";
import { el } from "./dom.js";
import { field, form, showErrors } from "./forms.js";
import { t } from "./text.js";

/** @returns {HTMLFormElement} */
export function bringInForm() {
  const node = form(
    [
      field({
        label: t`Bring in a plan file`,
        name: "file",
        type: "file",
        hint: t`It becomes a project of its own.`,
        attributes: { accept: ".json,application/json" },
      }),
      el("button.button", {}, t`Bring it in`),
    ],
    async () => {
      const [file] = node.elements.file.files;
      const plan = file && (await content(file));
      if (!plan) {
        const message = file ? t`${file.name} is no plan file: it does not hold JSON` : t`Choose a plan file first`;
        showErrors(node, [{ field: "file", message }]);
        return;
      }
      const { id } = await post("/projects", plan);
      location.href = `/today?project=${id}`;
    },
  );
  return node;
}

/** What a file holds as JSON; null if it is none. @param {File} file */
async function content(file) {
  try {
    return JSON.parse(await file.text());
  } catch {
    return null;
  }
}
