/** What somebody is shown on the sheet that they look at first: where it stands, and what it is for. */

import { t } from "../lib/text.js";

/** @type {Record<string, {at: string, title: string, text: string}[]>} */
export const STOPS = {
  today: [
    { at: "#in-work", title: t`The work of today`, text: t`What is in work stands first, then what can be started. In each trade the card at the top protects the finish most. Start, Done and Hold are one touch; a notice offers to undo it.` },
    { at: "#chase", title: t`Whom to call`, text: t`Who to chase about what is away: first what would bring the finish forward most, then who is due a call, with the last word from them.` },
    { at: "#found", title: t`Found something`, text: t`Something new on the aircraft? Say what and where, take a photo. The planner makes work of it.` },
    { at: "#airframe", title: t`The way in by zone`, text: t`The hatch rises in a zone as its work is done. Touch a zone to see its work alone.` },
    { at: "#title-block", title: t`The finish`, text: t`What you record moves this date, or does not. It is likely, not promised: the second date is kept with 8 chances in 10.` },
  ],
  forecast: [
    { at: "#answer", title: t`When it will fly`, text: t`The likely finish: half of the possible courses of the work keep it. Beside it the date that is kept with 8 chances in 10, and what chance your own date has. Below it: what moved it since your last look.` },
    { at: "#money-panel", title: t`What it costs`, text: t`What is spent, what is still to come, and what it likely is in the end, against the budget.` },
    { at: "#why-panel", title: t`Why this date`, text: t`Unfold it: step by step, what sets the finish. No date here is without its reason.` },
    { at: "#set-index [href^='/money']", title: t`Your yes or no`, text: t`Money asks for your yes or no to work that was found since. Nothing else can be changed by accident.` },
    { at: "#title-block", title: t`On every sheet`, text: t`The title block has the finish and your date, whichever sheet you are on.` },
  ],
  "what-if": [
    { at: "#late", title: t`If something comes late`, text: t`Choose what is late, and slide the days: the curve says from which day on the finish moves. The plan itself stays as it is.` },
    { at: "#pull-in", title: t`Pull it in`, text: t`Give a wanted date, or a sum: the cheapest days that can be bought are found.` },
    { at: "#cases", title: t`Cases`, text: t`Sentences with slots make a case: somebody late, a Saturday worked, a task left out. Several stand side by side; one is taken into the plan when you say so, and can be undone.` },
    { at: "#set-index [href^='/schedule']", title: t`The whole plan`, text: t`Schedule draws the work zone by zone, with what sets the finish as one inked line.` },
    { at: "#title-block", title: t`The finish`, text: t`How the plan stands now. It moves only when the plan does.` },
  ],
};
