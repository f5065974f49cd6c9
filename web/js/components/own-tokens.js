/** One's tokens: for a script, or for a calendar elsewhere. */

import { get, post, remove } from "../lib/api.js";
import { openDialog } from "../lib/dialog.js";
import { byId, el, fill, instant } from "../lib/dom.js";
import { formatDays } from "../lib/format.js";
import { field, form, readForm } from "../lib/forms.js";
import { say, sayProblem } from "../lib/notice.js";
import { many, t } from "../lib/text.js";
import { addresses } from "./calendar-addresses.js";
import { copyField } from "./copy-field.js";
import { unfolding } from "./editing.js";

const SCOPES = [
  ["read", t`read`],
  ["write", t`read and change`],
  ["calendar", t`show the calendar, nothing else`],
];
const LASTS = [
  ["30", formatDays(30)],
  ["90", formatDays(90)],
  ["366", t`a year`],
];

/** Whether a token opens anything still. */
function opens({ revoked_at: revoked, ends_at: ends }) {
  return !revoked && Date.parse(ends) > Date.now();
}

/** @param {any[]} projects Those that one takes part in. */
export async function showTokens(projects) {
  const { tokens } = await get("/account/tokens");
  const good = tokens.filter(opens);
  const over = tokens.filter((one) => !opens(one));
  fill(byId("tokens-count"), String(good.length));
  fill(
    byId("tokens-list"),
    good.length ? el("ul.lines", { role: "list" }, good.map((one) => line(one, projects))) : el("p.empty-state", {}, t`No token.`),
    over.length ? unfolding("over", el("b", {}, many(over.length, "One that opens nothing any more", "{n} that open nothing any more")), el("ul.lines", { role: "list" }, over.map((one) => line(one, projects)))) : null,
    unfolding("new", el("b", {}, t`Make a token`), newToken(projects)),
  );
}

function line(one, projects) {
  const { id, name, scope, project, ends_at: ends, last_used_at: used, revoked_at: revoked } = one;
  const may = SCOPES.find(([key]) => key === scope)[1];
  const where = project === null ? t`all projects` : projects.find((known) => known.id === project)?.name ?? t`project ${project}`;
  const isOver = !opens(one);
  const revoke = el("button.button", { type: "button", "aria-label": t`Revoke: ${name}` }, t`Revoke`);
  revoke.addEventListener("click", async () => {
    try {
      await remove(`/account/tokens/${id}`);
      await showTokens(projects);
      say(t`Revoked: ${name} opens nothing any more.`);
    } catch (error) {
      sayProblem(error);
    }
  });
  const until = revoked ? t`revoked ${instant(revoked)}` : isOver ? t`over since ${instant(ends)}` : t`until ${instant(ends)}`;
  const lately = used ? t`last used ${instant(used)}` : t`never used`;
  return el(
    "li.line.device",
    {},
    el("div", {}, el("h3", {}, name), el("p.soft", {}, t`May ${may}, ${where}; ${until}; ${lately}.`)),
    isOver ? null : revoke,
  );
}

function newToken(projects) {
  const node = form(
    [
      el(
        "div.fields",
        {},
        field({ label: t`What it is for`, name: "name", attributes: { maxlength: 80, autocomplete: "off" } }),
        field({ label: t`It may`, name: "scope", type: "select", value: "read", options: SCOPES }),
        field({ label: t`Where`, name: "project", type: "select", value: "", options: [["", t`in all my projects`], ...projects.map(({ id, name }) => [String(id), name])] }),
        field({ label: t`How long`, name: "days", type: "select", value: "90", options: LASTS }),
      ),
      el("div.button-row", {}, el("button.button.strong", {}, t`Make the token`)),
    ],
    async () => {
      const { name, scope, project, days } = readForm(node);
      const made = await post("/account/tokens", { name: name ?? "", scope, project: project ? Number(project) : null, days: Number(days) });
      await showTokens(projects);
      tell(made, projects);
    },
  );
  node.dataset.refused = t`Not made yet`;
  return node;
}

/** What opens is told this once. */
function tell({ token, line: { name, scope, project } }, projects) {
  const shown = scope === "calendar" ? projects.filter(({ id }) => project === null || id === project) : [];
  const calendars = shown.map(({ id, name: called }) => [shown.length > 1 ? el("h3", {}, called) : null, addresses(id, token)]);
  const use = scope === "calendar" ? t`Subscribe to one of these addresses where the calendar is kept.` : t`A script sends it with each request, as “Authorization: Bearer”, then the token.`;
  openDialog({
    title: t`Token: ${name}`,
    wide: true,
    content: [
      el("p", {}, use, " ", t`It is shown this once.`),
      shown.length ? calendars : copyField({ label: t`Token`, name: "token", value: token, copy: t`Copy the token`, done: t`The token is copied.` }),
    ],
  });
}
