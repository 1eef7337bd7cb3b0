/** The rest: hours of these days, the look of the screen, and whether the page works without signal. */

import { button, choice, h, link } from "./dom.js";
import { state, sync } from "./state.js";
import { clockTime, length } from "./time.js";
import { useNewVersion } from "./worker.js";

const THEMES = [["auto", "Automatic"], ["light", "Light"], ["dark", "Dark"], ["contrast", "High contrast"]];

export function moreScreen() {
  return [
    h("h1", {}, "More"),
    h("ul", { class: "list" }, [["Today by the queue", "/today"], ["Recent hours", "/day"], ["Type in hours", "/catchup"], ["Waiting and sent", "/waiting"], ["Count a shelf", "/count"]].map(([words, to]) => h("li", {}, link(words, to, { class: "item" })))),
    h("h2", {}, "Theme"),
    choice("Theme", THEMES, document.documentElement.dataset.theme, setTheme),
    h("h2", {}, "This phone"),
    h("dl", {}, facts().map(([name, words]) => h("div", {}, h("dt", {}, name), h("dd", {}, words)))),
    state.newVersion && button("Use the new version now", useNewVersion, { class: "main wide" }),
    link("Pair another person", "/pair", { class: "plain wide" }),
    button("Reload all data", () => sync({ stock: true }), { class: "plain wide" }),
  ];
}

function setTheme(theme) {
  localStorage.setItem("bench-theme", theme);
  document.documentElement.dataset.theme = theme;
}

function facts() {
  const told = state.toldAt ? new Date(new Date(state.toldAt).getTime() - state.skew) : null;
  const skew = Math.round(Math.abs(state.skew) / 60000);
  return [
    ["Signed in as", state.hello ? `${state.hello.user_name}, on ${state.hello.device?.name || "this browser"}` : "not known yet"],
    ["Without signal", isSecureContext && navigator.serviceWorker?.controller ? "works" : isSecureContext ? "works from the next time you open it" : "does not work: use the secure address"],
    ["Last updated", told ? clockTime(told) : "never"],
    skew && ["Clock", `${length(skew)} ${state.skew < 0 ? "ahead of" : "behind"} the workshop computer; times are corrected`],
    state.clockSetBack && ["Clock set back", `by ${length(state.clockSetBack / 60000)} on this phone; times recorded before are corrected`],
    ["Version", document.documentElement.dataset.version],
  ].filter(Boolean);
}
