/** The page: which screen is shown, what stands above and below it, and when the state is read anew. */

import { button, h, say } from "./dom.js";
import { send, UNDO_SECONDS } from "./queue.js";
import { barred, clockScreen, reasonsScreen, stagesScreen } from "./clock.js";
import { catchUpScreen } from "./catchup.js";
import { todayScreen } from "./today.js";
import { dayScreen, entryScreen } from "./day.js";
import { numberIn } from "./scan.js";
import { stockScreen } from "./stock.js";
import { pieceScreen } from "./piece.js";
import { materialScreen } from "./material.js";
import { countScreen } from "./count.js";
import { buildScreen, buildsScreen } from "./builds.js";
import { photoScreen } from "./photo.js";
import { setUpScreen } from "./setup.js";
import { cutOffScreen } from "./cut_off.js";
import { waitingScreen } from "./waiting.js";
import { moreScreen } from "./more.js";
import { codeInAddress, pairScreen } from "./pair.js";
import { declined, load, noticeClock, readPiece, state, sync, tell, toReconcile, waiting, watch } from "./state.js";
import { canUndo, undo } from "./undo.js";
import { startWorker } from "./worker.js";

const EVERY = 60000;
const TAPPED = 100; // ms from lifting a finger to the click it makes, at most
const SCREENS = {
  "": clockScreen, stages: stagesScreen, reasons: reasonsScreen, catchup: catchUpScreen, today: todayScreen, day: dayScreen, entry: entryScreen,
  stock: stockScreen, piece: pieceScreen, material: materialScreen, count: countScreen, builds: buildsScreen, build: buildScreen,
  photo: photoScreen, setup: setUpScreen, waiting: waitingScreen, more: moreScreen, pair: pairScreen,
};
const main = document.getElementById("screen");
let shown = null;
let isTouched = false;
let isPressed = false;
let isHeldBack = false;

/** The screen and what follows it in the address: `#/piece/T-0412` is ["piece", "T-0412"]. */
function place() {
  const [, name = "", ...rest] = location.hash.split("/");
  return [name, ...rest.map(decodeURIComponent)];
}

function show(isAsked = false) {
  const [name, ...rest] = place();
  const screen = screenOf(name);
  const here = [location.hash, Boolean(state.token), state.cutOff].join();
  const isNew = shown !== here;
  if (!isNew && isBusy() && isAsked !== true) {
    isHeldBack = true;
    return showEdges();
  }
  isHeldBack = false;
  shown = here;
  const scrolled = scrollY;
  isTouched = false;
  main.replaceChildren(h("div", { class: "screen" }, screen(...rest)));
  if (isNew) {
    if (name === "piece") readPiece(rest[0]);
    scrollTo(0, 0);
    document.title = `${main.querySelector("h1")?.textContent || "Bench"} · bench`;
    main.querySelector("h1")?.setAttribute("tabindex", "-1");
    if (show.isMoved) main.querySelector("h1")?.focus({ preventScroll: true });
    show.isMoved = true;
  } else scrollTo(0, scrolled);
  showEdges();
}

/** A phone that was disconnected shows nothing of the workshop; one that is not paired nothing at all. */
function screenOf(name) {
  if (!state.token || name === "pair") return pairScreen;
  return state.cutOff ? cutOffScreen : SCREENS[name] || clockScreen;
}

/** Whether somebody is in the middle of something that a new picture would take away, such as the button under a finger. */
const isBusy = () => isTouched || isPressed || main.querySelector("[data-busy]") !== null || ["INPUT", "TEXTAREA"].includes(document.activeElement?.tagName);

function watchTouches() {
  const touch = () => (isTouched = true);
  main.addEventListener("input", touch);
  main.addEventListener("toggle", touch, true);
  main.addEventListener("click", (event) => event.target.closest(".choice, .stepper") && touch());
  main.addEventListener("pointerdown", () => (isPressed = true));
  for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => setTimeout(() => (isPressed = false), TAPPED));
}

/** The new picture that had to wait, once nobody is in the middle of anything. */
function catchUp() {
  if (isHeldBack && !isBusy()) show();
}

function showEdges() {
  const [name] = place();
  for (const each of document.querySelectorAll("nav a")) {
    const isHere = (each.dataset.screens || "").split(" ").includes(name || "clock");
    if (isHere) each.setAttribute("aria-current", "page");
    else each.removeAttribute("aria-current");
  }
  document.body.classList.toggle("unpaired", !state.token);
  const signal = document.getElementById("signal");
  const [words, shape] = signalWords();
  signal.textContent = words;
  signal.dataset.shape = shape;
  document.getElementById("where").textContent = state.hello?.workshop?.name || "Bench";
  showUndo();
  tick();
}

function signalWords() {
  const [open, refused] = [waiting().length, declined().length];
  if (state.cutOff) return ["Disconnected", "stop"];
  if (refused) return [`${refused} need${refused === 1 ? "s" : ""} attention`, "stop"];
  if (state.hasSignal === false) return [open ? `${open} waiting` : "No signal", "open"];
  if (open) return [`${open} waiting`, "open"];
  return toReconcile().length ? [`${toReconcile().length} to reconcile`, "stop"] : ["All sent", "done"];
}

function showUndo() {
  const bar = document.getElementById("undo");
  const last = state.acts.filter((act) => !act.undoes && act.state !== "left").at(-1);
  const left = last ? UNDO_SECONDS - Math.floor((Date.now() - new Date(last.at)) / 1000) : 0;
  const isFresh = last && left > 0 && left <= UNDO_SECONDS && canUndo(last) && !state.acts.some((act) => act.undoes === last.name);
  if (!isFresh) {
    bar.replaceChildren();
    bar.hidden = true;
    return;
  }
  if (bar.dataset.name !== last.name || bar.hidden) {
    bar.replaceChildren(h("p", {}, last.words), button("Undo", async () => {
      const done = await undo(last);
      say(done ? `Undone: ${last.words}` : "It is too late to undo this.");
    }, { class: "undo" }));
    if (bar.dataset.name !== last.name) say(last.words);
    bar.dataset.name = last.name;
    bar.hidden = false;
  }
  bar.querySelector("button").textContent = `Undo ${left}`;
  bar.querySelector("button").setAttribute("aria-label", "Undo");
}

/** What changes by itself: how long a clock has run. */
function tick() {
  for (const each of main.querySelectorAll("[data-since]")) each.textContent = barred(each.dataset.since);
}

function refresh() {
  if (document.visibilityState !== "visible") return;
  sync();
  send();
}

/** A label's address, `/bench/p/T-0412/`, opens that piece. */
function openLabel() {
  const number = numberIn(location.pathname);
  if (number) history.replaceState(null, "", `/bench/#/piece/${encodeURIComponent(number)}`);
}

async function begin() {
  await load();
  watch(show);
  watchTouches();
  addEventListener("redraw", () => show(true));
  openLabel();
  await codeInAddress();
  addEventListener("hashchange", () => codeInAddress().then(() => show()));
  addEventListener("online", () => {
    state.hasSignal = null;
    refresh();
  });
  addEventListener("offline", () => {
    state.hasSignal = false;
    tell();
  });
  document.addEventListener("visibilitychange", () => {
    show();
    refresh();
  });
  setInterval(refresh, EVERY);
  setInterval(() => (noticeClock(), catchUp(), showUndo(), tick()), 1000);
  await noticeClock();
  show();
  performance.mark("bench-shown");
  startWorker();
  refresh();
}

begin();
