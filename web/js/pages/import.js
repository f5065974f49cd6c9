/** Take in a table: the file, its columns, what would come of it; one below the other. */

import { chosen, columnFields } from "../components/column-match.js";
import { movedWords } from "../components/finish-words.js";
import { longTable } from "../components/long-table.js";
import { fileLinks } from "../components/table-links.js";
import { takeBack, tellDone } from "../components/undo.js";
import { address, upload } from "../lib/api.js";
import { byId, datedText, el, fill } from "../lib/dom.js";
import { field, form, sendButton, showErrors } from "../lib/forms.js";
import { formatNumber } from "../lib/format.js";
import { sayProblem } from "../lib/notice.js";
import { runPage } from "../lib/sheet.js";
import { table } from "../lib/table.js";
import { many, t } from "../lib/text.js";

/** So many problems stand in one table; more are searched and turned page by page. */
const FEW = 20;

const TABLES = [
  ["findings", t`Findings`],
  ["tasks", t`Tasks`],
  ["vendors", t`Vendors`],
  ["costs", t`Costs`],
  ["exchange-rates", t`Exchange rates`],
  ["hours", t`Hours worked`],
];

runPage(async (sheet) => {
  byId("looking").hidden = !sheet.readOnly;
  if (!sheet.readOnly) new TableImport(sheet).begin();
});

class TableImport {
  constructor(sheet) {
    this.sheet = sheet;
  }

  begin() {
    const asked = new URLSearchParams(location.search).get("table");
    const value = TABLES.some(([name]) => name === asked) ? asked : "findings";
    const templates = el("p.table-links.soft");
    const again = () => {
      this.#hideFrom("columns");
      this.#templates(templates);
    };
    const fields = [
      el(
        "div.fields",
        {},
        field({ label: t`It holds`, name: "table", type: "select", value, options: TABLES, attributes: { onchange: again } }),
        field({
          label: t`File`,
          name: "file",
          type: "file",
          hint: t`A workbook (.xlsx) or text with separated values (.csv), up to 20 MB.`,
          attributes: { accept: ".xlsx,.csv,.tsv,.txt", onchange: again },
        }),
      ),
      templates,
    ];
    this.file = form(fields, () => this.#look());
    this.file.append(el("div.button-row", {}, sendButton(this.file, t`Look at the columns`)));
    fill(byId("file-form"), this.file);
    this.#templates(templates);
    byId("file").hidden = false;
  }

  #templates(place) {
    fill(place, t`An empty table to fill in:`, fileLinks(t`Empty table`, (kind) => address(this.#path(`template.${kind}`))));
  }

  #path(what) {
    return this.sheet.path(`/imports/${this.file.elements.table.value}/${what}`);
  }

  /** Send the file as it is: what it is called or said to be does not count. */
  #send(what, query) {
    const [file] = this.file.elements.file.files;
    return upload(this.#path(what), new Blob([file]), { query });
  }

  #hideFrom(step) {
    if (step === "columns") byId("columns").hidden = true;
    byId("trial").hidden = true;
  }

  async #look(query = {}) {
    if (!this.file.elements.file.files.length) {
      showErrors(this.file, [{ field: "file", message: t`Choose a file first.` }]);
      return;
    }
    this.#hideFrom("columns");
    const look = await this.#send("look", query);
    const lookAgain = (changed) => this.#look(changed).catch(sayProblem);
    const fields = columnFields(look, lookAgain);
    const node = form(fields.node, () => this.#try(look, fields));
    node.append(el("div.button-row", {}, sendButton(node, t`Try it`)));
    node.addEventListener("change", () => this.#hideFrom("trial"));
    this.columns = node;
    fill(byId("columns-form"), node);
    this.#show("columns");
  }

  #show(step) {
    byId(step).hidden = false;
    byId(`${step}-title`).focus();
  }

  async #try(look, fields) {
    const query = chosen(this.columns, look);
    const trial = await this.#send("try", query);
    if (trial.questions.length) {
      fields.ask(trial.questions);
    } else {
      this.#showTrial(trial, query);
    }
  }

  #showTrial(trial, query) {
    const { counts, problems, problems_in_all: all } = trial;
    const good = counts.added + counts.changed;
    const take = (which) => async ({ currentTarget }) => {
      currentTarget.disabled = true;
      try {
        await this.#take({ ...query, rows: which, plan_version: trial.plan_version });
      } catch (error) {
        currentTarget.disabled = false;
        sayProblem(error);
      }
    };
    const which = problems.length ? "good" : "all";
    const text = problems.length ? t`Take in the good rows: ${formatNumber(good)}` : many(good, "Take in {n} row", "Take in {n} rows");
    fill(
      byId("trial-body"),
      el("p.trial-counts", {}, counted(counts)),
      good > 0 && el("p.soft", {}, movedWords(trial)),
      problems.length > 0 && this.#problems(problems, all, query),
      good > 0
        ? el("div.button-row", {}, el("button.button.strong", { type: "button", onclick: take(which) }, text))
        : el("p.empty-state", {}, t`There is nothing to take in.`),
    );
    this.#show("trial");
  }

  #problems(problems, all, query) {
    const along = () => this.#takeAlong(query).catch(sayProblem);
    return [
      el("p", {}, t`Mend them in the file and choose it again, or take in the good rows alone.`),
      problemTable(problems),
      all > problems.length && el("p.soft", {}, t`These are the first ${formatNumber(problems.length)} of ${formatNumber(all)}: the list to take along has them all.`),
      el("p", {}, el("button.button", { type: "button", onclick: along }, t`Take the list along (csv)`)),
    ];
  }

  async #takeAlong(query) {
    const list = await this.#send("problems.csv", query);
    const href = URL.createObjectURL(list);
    el("a", { href, download: "problems.csv" }).click();
    URL.revokeObjectURL(href);
  }

  async #take(query) {
    const done = await this.#send("apply", query);
    const { kind, key, version, counts } = done;
    const refresh = () => this.sheet.refreshTitleBlock();
    await refresh();
    this.#hideFrom("columns");
    this.begin();
    tellDone(t`Taken in: ${counted({ ...counts, refused: 0 })}`, done, () =>
      takeBack(this.sheet, { kind, key, version, name: t`the table` }, refresh),
    );
  }
}

function problemTable(problems) {
  const caption = t`What cannot come in`;
  const columns = [
    { label: t`Row`, cell: ({ row }) => (row === null ? "–" : String(row)), sort: ({ row }) => row, numeric: true, heading: true },
    { label: t`Column`, cell: ({ column }) => column || "–", sort: ({ column }) => column },
    { label: t`Value`, cell: ({ value }) => value || "–", sort: ({ value }) => value },
    { label: t`Why`, cell: ({ sentence }) => datedText(sentence), sort: ({ sentence }) => sentence },
  ];
  if (problems.length <= FEW) return table({ caption, columns, rows: problems });
  const text = ({ row, column, value, sentence }) => `${row} ${column} ${value} ${sentence}`;
  const list = longTable({ caption, columns, text });
  list.showRows(problems);
  return list.node;
}

function counted({ added, changed, unchanged, kept, refused }) {
  const parts = [
    added && t`${formatNumber(added)} new`,
    changed && t`${formatNumber(changed)} changed`,
    unchanged && t`${formatNumber(unchanged)} as they are`,
    kept && t`${formatNumber(kept)} left aside`,
    refused && t`${formatNumber(refused)} cannot come in`,
  ].filter(Boolean);
  return `${parts.join(", ") || t`Nothing`}.`;
}
