// Small comforts on pages that work without them: theme, undo notice, shortcuts, printing.

import { arrive, leaveField, mainAct, toActs, toList, toTabs, walkRows } from "./arrive.js";

const YEAR = 60 * 60 * 24 * 365;

function remember(name, value) {
  const secure = location.protocol === "https:" ? "; Secure" : "";
  document.cookie = `${name}=${value}; Path=/; Max-Age=${YEAR}; SameSite=Lax${secure}`;
}

function recalls(name, value) {
  return document.cookie.split("; ").includes(`${name}=${value}`);
}

function offerThemes() {
  for (const chooser of document.querySelectorAll("[data-theme-choice]")) {
    chooser.hidden = false;
    chooser.addEventListener("change", (event) => {
      document.documentElement.dataset.theme = event.target.value;
      remember("theme", event.target.value);
    });
  }
}

// The seconds stand still while the pointer or the focus rests on the notice.
function countDown(notice) {
  const shown = notice.querySelector("[data-seconds]");
  const undo = notice.querySelector("form");
  if (!shown || !undo) return;
  let left = Number(shown.dataset.seconds);
  const timer = setInterval(() => {
    if (notice.matches(":hover, :focus-within")) return;
    left -= 1;
    shown.textContent = `${left} s`;
    if (left > 0) return;
    clearInterval(timer);
    undo.remove();
  }, 1000);
  shown.textContent = `${left} s`;
}

function countDownIn(root) {
  root.querySelectorAll("[data-undo]").forEach((notice) => {
    notice.removeAttribute("data-undo");
    countDown(notice);
  });
}

function isTyping(target) {
  return target.closest("input, select, textarea, [contenteditable]") !== null;
}

// One key, no modifier; digits open the entries of the index in their order.
function act(key) {
  if (/^[0-9]$/.test(key)) document.querySelectorAll(".index a")[(Number(key) + 9) % 10]?.click();
  else if (key === "n") document.querySelector("[data-new]")?.click();
  else if (key === "/") focusSearch();
  else if (key === "m") mainAct();
  else if (key === "l") toList();
  else if (key === "a") toActs();
  else if (key === "t") toTabs();
  else if (key === "o") openFigures();
  else return false;
  return true;
}

function focusSearch() {
  const field = document.querySelector("[data-find]");
  field?.focus();
  field?.select();
}

// Arrows walk through what was found, Escape puts it away.
function walkFound(form) {
  const found = form.querySelector(".find-found");
  form.addEventListener("keydown", (event) => {
    if (event.key === "Escape") found.replaceChildren();
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    const stops = [form.querySelector("[data-find]"), ...found.querySelectorAll("a")];
    const next = stops[stops.indexOf(document.activeElement) + step];
    if (!step || !next) return;
    next.focus();
    event.preventDefault();
  });
}

function openFigures() {
  const figures = [...document.querySelectorAll(".why")];
  const opening = figures.some((figure) => !figure.open);
  for (const figure of figures) figure.open = opening;
}

function offerShortcuts() {
  const list = document.getElementById("shortcuts");
  if (!list) return;
  const wanted = list.querySelector("[data-shortcuts-on]");
  wanted.checked = !recalls("shortcuts", "off");
  wanted.addEventListener("change", () => remember("shortcuts", wanted.checked ? "on" : "off"));
  for (const opener of document.querySelectorAll("[data-shortcuts]")) {
    opener.hidden = false;
    opener.addEventListener("click", () => list.showModal());
  }
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || isTyping(event.target)) return;
    if (list.open || !wanted.checked) return;
    if (event.key === "?") list.showModal();
    else if (!act(event.key)) return;
    event.preventDefault();
  });
}

// One act is one request: Enter or a button hit again before the answer is there does nothing more.
const ANSWERED = 10000;
const sent = new Map();

function sendOnce(event) {
  if (event.defaultPrevented || event.target.method !== "post") return;
  const ago = performance.now() - (sent.get(event.target) ?? -ANSWERED);
  if (ago < ANSWERED) event.preventDefault();
  else sent.set(event.target, performance.now());
}

// What is still not answered after a moment says so beside the button that was pressed.
function sayThatItWorks(event) {
  const button = event.submitter;
  if (event.defaultPrevented || !button || event.target.method !== "post") return;
  setTimeout(() => {
    if (button.nextElementSibling?.matches(".working")) return;
    const words = document.createElement("span");
    words.className = "working";
    words.setAttribute("role", "status");
    words.textContent = "Saving …";
    button.after(words);
  }, 500);
}

function forgetThatItWorked() {
  sent.clear();
  document.querySelectorAll(".working").forEach((words) => words.remove());
}

// The trail leads back to a list as it was left: its filters, its order, its page.
function leadBack() {
  const kept = (path) => `list:${path}`;
  if (document.querySelector("form.filters")) sessionStorage.setItem(kept(location.pathname), location.search);
  for (const link of document.querySelectorAll(".trail a")) {
    const search = sessionStorage.getItem(kept(link.pathname));
    if (search && !link.search) link.search = search;
  }
}

offerThemes();
leadBack();
offerShortcuts();
document.querySelectorAll(".find").forEach(walkFound);
document.addEventListener("keydown", walkRows);
document.addEventListener("keydown", leaveField);
document.addEventListener("submit", sendOnce);
document.addEventListener("submit", sayThatItWorks);
addEventListener("pageshow", forgetThatItWorked);
countDownIn(document);
document.addEventListener("htmx:load", (event) => countDownIn(event.detail.elt));
arrive();
