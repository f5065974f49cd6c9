/** Who takes part in a project: for who plans it. */

import { get, patch, post, remove } from "../lib/api.js";
import { ask } from "../lib/dialog.js";
import { el, fill } from "../lib/dom.js";
import { field, form, readForm, submitting } from "../lib/forms.js";
import { say } from "../lib/notice.js";
import { t } from "../lib/text.js";
import { roleName } from "../lib/words.js";
import { unfolding } from "./editing.js";
import { handOver } from "./hand-over.js";
import { guestFields, ROLES_MAY, ROLE_OPTIONS, standing, whoIs } from "./people-words.js";

/**
 * @param {HTMLElement} panel
 * @param {import("../lib/sheet.js").Sheet} sheet
 */
export async function showPeople(panel, sheet) {
  const { people } = await get(sheet.path("/people"));
  const again = () => showPeople(panel, sheet);
  const list = panel.querySelector(".things");
  fill(panel.querySelector(".count"), String(people.length));
  fill(
    list,
    people.length ? people.map((one) => entry(sheet, one, again)) : el("p.empty-state", {}, t`Nobody yet but the keepers of the server. Whoever is let in here sees this project and no other.`),
    unfolding("new", el("b", {}, t`Let somebody in`), invitation(sheet, again)),
  );
}

function entry(sheet, person, again) {
  const path = sheet.path(`/people/${person.id}`);
  const link = el("button.button", { type: "button" }, person.has_come ? t`Link for a new password` : t`Another link`);
  const gone = el("button.button.plain", { type: "button" }, t`Take out of the project`);
  const node = form(
    [
      el("div.fields", {}, field({ label: t`Role`, name: "role", type: "select", value: person.role, options: ROLE_OPTIONS })),
      el("p.soft", {}, ROLES_MAY),
      el("div.button-row", {}, el("button.button.strong", {}, t`Save`), person.closed ? null : link, gone),
    ],
    async () => {
      const { role } = readForm(node);
      await patch(path, { role }, { version: person.version });
      await again();
      say(t`Saved: ${person.name} is ${roleName(role)} here from now on.`);
    },
    again,
  );
  link.addEventListener("click", () =>
    submitting(node, async () => {
      handOver(await post("/new-password-links", { account: person.id }), person.name);
    }),
  );
  gone.addEventListener("click", () => submitting(node, () => takeOut(path, person, again), again));
  return unfolding(String(person.id), [whoIs(person), el("span.soft", {}, `, ${roleName(person.role)} `), standing(person)], node);
}

async function takeOut(path, person, again) {
  const text = t`${person.name} then sees nothing of this project any more. What they did stays in the change log.`;
  if (!(await ask({ title: t`Take ${person.name} out?`, text, action: t`Take out` }))) return;
  await remove(path, { version: person.version });
  await again();
  say(t`Taken out: ${person.name}.`);
}

function invitation(sheet, again) {
  const node = form(
    [
      el(
        "div.fields",
        {},
        guestFields(),
        field({ label: t`Role`, name: "role", type: "select", value: "owner", options: ROLE_OPTIONS }),
      ),
      el("p.soft", {}, ROLES_MAY),
      el("div.button-row", {}, el("button.button.strong", {}, t`Let them in`)),
    ],
    async () => {
      const { email, name, role } = readForm(node);
      const { link } = await post(sheet.path("/people"), { email: email ?? "", name: name ?? "", role });
      await again();
      tellInvited(link, name ?? email);
    },
  );
  return node;
}

/** The link to hand over; who has a password already needs none. @param {any} link @param {string} who */
export function tellInvited(link, who) {
  if (link) handOver(link, who);
  else say(t`${who} has an account already, and finds the project at the next look.`);
}
