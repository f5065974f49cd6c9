/** Day or night: follows the device until somebody chooses, and remembers that here. */

import { byId, el } from "./dom.js";
import { t } from "./text.js";

const KEY = "ribstitch-light";
const CHOICES = { auto: t`Device`, day: t`Day`, night: t`Night` };

/** Apply the remembered choice and offer the picker in the head. */
export function startLight() {
  const chosen = localStorage.getItem(KEY) ?? "auto";
  apply(chosen);
  const options = Object.entries(CHOICES).map(([value, title]) =>
    el("option", { value, selected: value === chosen }, title),
  );
  const picker = el("select", { id: "light" }, options);
  picker.addEventListener("change", () => {
    localStorage.setItem(KEY, picker.value);
    apply(picker.value);
    document.dispatchEvent(new CustomEvent("lightchange"));
  });
  byId("head-tools").append(el("label.head-tool", { for: "light" }, el("span", {}, t`Light`), picker));
}

function apply(choice) {
  if (choice === "auto") delete document.documentElement.dataset.light;
  else document.documentElement.dataset.light = choice;
}
