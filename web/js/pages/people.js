/** All accounts, for keepers of the server: who there is, what they may, and the account log. */

import { showAccountLog } from "../components/account-log.js";
import { unfolding } from "../components/editing.js";
import { handOver } from "../components/hand-over.js";
import { guestFields, ROLES_MAY, ROLE_OPTIONS, standing, whoIs } from "../components/people-words.js";
import { tellInvited } from "../components/project-people.js";
import { get, patch, post } from "../lib/api.js";
import { ask } from "../lib/dialog.js";
import { byId, el, fill } from "../lib/dom.js";
import { field, form, readForm, submitting } from "../lib/forms.js";
import { say } from "../lib/notice.js";
import { runWithoutProject } from "../lib/sheet.js";
import { t } from "../lib/text.js";
import { roleName } from "../lib/words.js";

runWithoutProject(async ({ person }) => {
  if (!person.is_keeper) {
    const sentence = person.entry === "open" ? t`Nobody has an account here. The link that the service prints when it starts makes the first.` : t`Keepers of the server look after accounts. Who takes part in a project is said by its planner, on Settings.`;
    fill(byId("main"), el("h1", {}, t`All accounts`), el("p", {}, sentence));
    return;
  }
  await showAll();
});

async function showAll() {
  const [{ people }, { projects }] = await Promise.all([get("/people"), get("/projects")]);
  await showAccountLog(byId("log-lines"), people, projects);
  fill(byId("accounts-count"), String(people.length));
  fill(byId("accounts-list"), people.map((one) => entry(one, projects)), unfolding("new", el("b", {}, t`Let somebody in`), invitation(projects)));
}

function entry(person, projects) {
  const node = el("form.stack", { id: `account-${person.id}` });
  node.append(el("p", {}, partsText(person, projects)), el("div.button-row", {}, buttons(person, node)));
  const keeper = person.keeper ? el("span.stamp.in_work", {}, t`keeper`) : null;
  return unfolding(String(person.id), [whoIs(person), " ", keeper, " ", standing(person)], node);
}

function partsText({ keeper, parts, second_factor: hasFactor }, projects) {
  const named = ({ project, role }) => t`${roleName(role)} of ${projects.find(({ id }) => id === project)?.name ?? t`project ${project}`}`;
  const all = [keeper ? t`planner of all projects` : null, ...parts.map(named)].filter(Boolean).join("; ");
  return `${all ? `${all[0].toUpperCase()}${all.slice(1)}.` : t`Takes part in no project.`} ${hasFactor ? t`With a second factor.` : t`Without a second factor.`}`;
}

function buttons(person, node) {
  const { id, name, closed, keeper, version, has_come: hasCome } = person;
  const change = (body, question, told) => () =>
    submitting(
      node,
      async () => {
        if (question && !(await ask(question))) return;
        await patch(`/people/${id}`, body, { version });
        await showAll();
        say(told);
      },
      showAll,
    );
  const button = (text, act, plain = false) => el(plain ? "button.button.plain" : "button.button", { type: "button", "aria-label": `${text}: ${name}`, onclick: act }, text);
  if (closed) return button(t`Open again`, change({ closed: false }, null, t`Opened again: the account of ${name}. The password that they had lets them in.`));
  const link = () => submitting(node, async () => handOver(await post("/new-password-links", { account: id }), name));
  const closing = { title: t`Close the account of ${name}?`, text: t`They are signed out everywhere, and links and tokens open nothing. What they did stays. It can be opened again.`, action: t`Close the account` };
  return [
    button(hasCome ? t`Link for a new password` : t`Another link`, link),
    keeper ? button(t`No keeper any more`, change({ keeper: false }, null, t`${name} is no keeper any more.`)) : button(t`Make a keeper`, change({ keeper: true }, null, t`${name} keeps the server from now on.`)),
    button(t`Close the account`, change({ closed: true }, closing, t`Closed: the account of ${name}.`), true),
  ];
}

function invitation(projects) {
  const options = projects.map(({ id, name }) => [String(id), name]);
  const node = form(
    [
      el(
        "div.fields",
        {},
        guestFields(),
        options.length ? field({ label: t`Project`, name: "project", type: "select", value: options[0][0], options: [...options, ["", t`none for now`]] }) : null,
        options.length ? field({ label: t`Role there`, name: "role", type: "select", value: "lead", options: ROLE_OPTIONS }) : null,
      ),
      options.length ? el("p.soft", {}, ROLES_MAY) : null,
      el("div.fields", {}, field({ label: t`Keeps the server as well`, name: "keeper", type: "select", value: "no", options: [["no", t`no`], ["yes", t`yes, as a keeper`]] })),
      el("div.button-row", {}, el("button.button.strong", {}, t`Let them in`)),
    ],
    async () => {
      const { email, name, project, role, keeper } = readForm(node);
      const parts = project ? [{ project: Number(project), role }] : [];
      const { link } = await post("/people", { email: email ?? "", name: name ?? "", parts, keeper: keeper === "yes" });
      await showAll();
      tellInvited(link, name ?? email);
    },
  );
  return node;
}
