/** The day by the queue: what can begin, what waits and until when, what ends, what to order. */

import { h, link } from "./dom.js";
import { state } from "./state.js";
import { dayKey, dayWords, shortDay } from "./time.js";

export function todayScreen() {
  const { today } = state;
  if (!today) return [h("h1", {}, "Today"), h("p", { class: "hint" }, "Not known yet: it comes with the next signal.")];
  const parts = [
    ["Promised dates in danger", today.in_danger.map((one) => item(one, `${one.serial}, ${shortDay(one.promised_on)}`, `kept in ${Math.round(one.chance * 100)} of 100 cases${one.helps ? `; what helps: ${one.helps}` : ""}`))],
    ["Free to start", today.free.map((one) => item(one, `${one.serial} ${one.name}`))],
    ["Ends today", today.ending.map((one) => item(one, one.serial, `then ${one.name}`))],
    ["Waiting", today.waiting.map((one) => item(one, `${one.serial} ${one.name}`, `until ${shortDay(one.until)}${one.waits_for ? ` for ${one.waits_for}` : ""}`))],
    ["Order today", today.to_order.map((one) => item(one, one.name, `for ${one.serial}${one.late ? ", late" : ""}`))],
  ].filter(([, items]) => items.length);
  return [
    h("h1", {}, "Today"),
    today.on !== dayKey(new Date()) && h("p", { class: "hint" }, `As of ${dayWords(today.on)}.`),
    parts.map(([words, items]) => h("section", {}, h("h2", {}, words), h("ul", { class: "list" }, items))),
    !parts.length && h("p", { class: "hint" }, "No open builds."),
  ];
}

const item = (one, words, hint) => h("li", {}, link([h("span", {}, words), hint && h("span", { class: "hint" }, hint)], `/build/${one.build}`, { class: "item" }));
