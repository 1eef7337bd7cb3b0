/** The rest: hours of these days, the look of the screen, and whether the page works without signal. */

import { button, choice, h, link } from "./dom.js";
import { state, sync } from "./state.js";
import { clockTime, length } from "./time.js";
import { useNewVersion } from "./worker.js";

const THEMES = [["auto", "As the phone"], ["light", "Light"], ["dark", "Dark"], ["contrast", "High contrast"]];

export function moreScreen() {
  return [
    h("h1", {}, "More"),
    h("ul", { class: "list" }, [["Hours of today and yesterday", "/day"], ["Type in hours", "/catchup"], ["Waiting and sent", "/waiting"], ["Count a shelf", "/count"]].map(([words, to]) => h("li", {}, link(words, to, { class: "item" })))),
    h("h2", {}, "Screen"),
    choice("Screen", THEMES, document.documentElement.dataset.theme, setTheme),
    h("h2", {}, "This phone"),
    h("dl", {}, facts().map(([name, words]) => h("div", {}, h("dt", {}, name), h("dd", {}, words)))),
    state.newVersion && button("Use the new version now", useNewVersion, { class: "main wide" }),
    button("Ask for everything anew", () => sync({ stock: true }), { class: "plain wide" }),
  ];
}

function setTheme(theme) {
  localStorage.setItem("bench-theme", theme);
  document.documentElement.dataset.theme = theme;
}

function facts() {
  const told = state.upTo ? new Date(state.upTo) : null;
  const skew = Math.round(Math.abs(state.skew) / 60000);
  return [
    ["Speaks for", state.hello ? `${state.hello.user_name}, as ${state.hello.device?.name || "this browser"}` : "not known yet"],
    ["Without signal", isSecureContext && navigator.serviceWorker?.controller ? "opens and works" : isSecureContext ? "from the next opening on" : "does not open: reach the shop by its secure address"],
    ["Last told", told ? clockTime(told) : "never"],
    skew && ["Clock", `${length(skew)} ${state.skew < 0 ? "ahead of" : "behind"} the shop's computer; times are put right`],
    ["Version", document.documentElement.dataset.version],
  ].filter(Boolean);
}
