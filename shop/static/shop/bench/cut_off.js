/** A phone that was disconnected at the desk: nothing of the workshop is shown, and what it holds can be deleted. */

import { clear } from "./db.js";
import { button, choice, h, link } from "./dom.js";
import { me, state, usePerson, waiting } from "./state.js";

export function cutOffScreen() {
  const open = waiting().length;
  const others = state.people.filter((one) => one.token && one.user !== me());
  return [
    h("h1", {}, "This phone was disconnected at the desk"),
    h("p", {}, open ? `${open} unsent ${open === 1 ? "entry stays" : "entries stay"} on the phone. Pair it again to send ${open === 1 ? "it" : "them"}.` : "Everything done on it was sent."),
    link("Pair again", "/pair", { class: "main wide" }),
    others.length > 0 && choice("Go on as", others.map((one) => [one.user, one.name]), null, usePerson),
    deleteForm(open),
  ];
}

/** Delete at a tap when all was sent; what would be lost is said first. */
function deleteForm(open) {
  const empty = async () => {
    await clear();
    location.assign("/bench/");
  };
  const asking = () => h("section", { class: "forgotten" },
    h("p", {}, `${open} unsent ${open === 1 ? "entry" : "entries"} would be lost.`),
    h("div", { class: "row" }, button("Delete all the same", empty, { class: "main" })));
  const own = button("Delete everything from this phone", () => (open ? own.replaceWith(asking()) : empty()), { class: "plain wide" });
  return own;
}
