// Where the keyboard begins on a page, and how it gets to the page's main act in few presses.

const FIELD = "input:not([type=hidden], [type=checkbox], [type=radio], [type=file]), select, textarea";
const KEYBOARD = matchMedia("(hover: hover) and (pointer: fine)"); // elsewhere focus would raise a keyboard over the page

const isShown = (one) => one.checkVisibility() && !one.disabled && !one.readOnly;
const inSight = (one) => one.getBoundingClientRect().top < innerHeight;

/** At what went wrong, else before the Undo of what was just done, else in the first field of a page that asks something. */
export function arrive() {
  const wrong = document.querySelector("[data-focus-first]");
  const undo = document.querySelector("#notices [data-seconds]") && document.getElementById("notices");
  if (wrong) return wrong.focus();
  if (undo) {
    undo.tabIndex = -1;
    undo.focus();
    // An address that names a part of the page takes the focus there as it is loaded.
    if (location.hash) addEventListener("load", () => setTimeout(() => undo.focus()));
    return;
  }
  if (!location.hash && KEYBOARD.matches && document.activeElement === document.body) firstField()?.focus();
}

/** Nothing on a page that shows more than it asks: there the first link is as likely to be wanted. */
function firstField() {
  const asking = [...document.querySelectorAll("main form[method=post]:not([hx-post], [data-live])")].filter((form) => form.querySelector("button.main"));
  if (asking.length !== 1 || document.querySelector("main :is(.actions, .bar) .main:not(form .main)")) return null;
  const field = [...asking[0].querySelectorAll(FIELD)].find(isShown);
  return field && inSight(field) ? field : null;
}

/** Press what the page is there for. */
export function mainAct() {
  [...document.querySelectorAll("main .actions .main, main .bar .main, main form button.main")].find(isShown)?.click();
}

const firstLinks = () => [...document.querySelectorAll("main tbody tr")].map((row) => [...row.querySelectorAll("a[href], button")].find(isShown)).filter(Boolean);

/** Go to the first row of the page's list. */
export const toList = () => firstLinks()[0]?.focus();

const toFirst = (links) => [...document.querySelectorAll(links)].find(isShown)?.focus();

/** Go to what can be done with the page, or to its tabs; Tab goes on from there. */
export const toActs = () => toFirst("main .actions :is(a[href], button)");
export const toTabs = () => toFirst("main .tabs a[href]:not([aria-current])");

/** From row to row by the arrows, along the column in which the focus is. */
export function walkRows(event) {
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  const row = step && event.target.matches?.("main tbody a, main tbody button") && event.target.closest("tr");
  if (!row) return;
  const column = event.target.closest("td, th").cellIndex;
  const place = (other) => [...(other.cells[column]?.querySelectorAll("a[href], button") || [])].find(isShown);
  const rows = [...row.closest("table").querySelectorAll("tbody tr")];
  for (let next = rows.indexOf(row) + step; rows[next]; next += step) {
    const found = place(rows[next]);
    if (!found) continue;
    found.focus();
    return event.preventDefault();
  }
}

/** Ctrl and Enter send the form one is in, else the page's; Escape leaves a field, so that the shortcuts work. */
export function leaveField(event) {
  const form = event.target.form;
  if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) form ? form.requestSubmit(form.querySelector("button.main") || undefined) : mainAct();
  else if (event.key === "Escape" && event.target.matches?.(FIELD) && !event.target.closest(".find, dialog")) event.target.blur();
}
