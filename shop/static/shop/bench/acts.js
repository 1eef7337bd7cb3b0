/** What can be done at the bench, each as one act for the queue. */

import { say } from "./dom.js";
import { clashes } from "./fold.js";
import { add, UNDO_SECONDS } from "./queue.js";
import { buildOf, freshActs, freshInStock, me, noticeClock, put, running, state } from "./state.js";
import { length } from "./time.js";
import { shown, woodUnits } from "./units.js";

/** `2027-03 Carved bouzouki` → what is called out at the bench. */
export const nameOf = (id) => {
  const build = buildOf(id);
  return build ? `${build.serial} ${build.title}` : `build ${id}`;
};
export const stageName = (build, id) => buildOf(build)?.stages.find((stage) => stage.id === id)?.name || "";
const and = (names) => names.join(" and ");

/** `2027-03 and 2027-04: Bend ribs`, or the reason why it can't be billed. */
export function workWords(work, reason) {
  if (!work.length) return reason;
  const stage = stageName(work[0].build, work[0].stage) || work[0].stage_name;
  return [and(work.map((one) => buildOf(one.build)?.serial || one.serial || one.build)), stage].filter(Boolean).join(": ");
}

const now = () => new Date().toISOString();

/** Put an act in the queue, in the name of who is at the phone; a second tap of the same is told and not done. */
export async function record(act, may = () => true) {
  const own = { at: now(), by: me(), byName: state.hello?.user_name, ...act };
  await noticeClock();
  const name = await add(own, (all) => may(all) && (own.undoes || !clashes(own, own.isStock ? freshInStock(all) : freshActs(all))));
  if (!name) say(`Done already: ${own.words}`);
  return name;
}

/** Start the clock on `work`, or on a reason; whatever runs stops at the same instant. */
export async function startWork(work, reason = "") {
  const at = now();
  const before = running();
  for (const one of work) if (one.stage) await put("lastStage", { ...(state.lastStage || {}), [one.build]: one.stage });
  const words = `${before.length ? "Switched to" : "Started"} ${workWords(work, reason)}`;
  return record({ kind: "switch", words, path: "clock/switch/", at, before, body: { at, work, reason } });
}

export async function stopWork(one) {
  const at = now();
  return record({ kind: "stop", words: `Stopped ${workWords(one.work, one.reason)}`, path: "clock/stop/", at, before: running(), entryWork: one, body: { entry: one.entry, at } });
}

/** End a clock that was forgotten at `end`; what it showed now stays beside it. */
export async function settle(one, end) {
  const at = now();
  const minutes = (end - new Date(one.startedAt)) / 60000;
  const words = `${workWords(one.work, one.reason)} ended after ${length(minutes)}`;
  return record({ kind: "settle", words, path: "clock/settle/", at, hold: UNDO_SECONDS, body: { entry: one.entry, end: end.toISOString(), noticed_at: at } });
}

export const interrupt = (one, startedAt, minutes, reason) =>
  record({ kind: "interruption", words: `${minutes} min ${reason}, out of ${workWords(one.work, one.reason)}`, path: "clock/interruptions/", hold: UNDO_SECONDS,
    body: { entry: one.entry, started_at: startedAt.toISOString(), minutes, reason } });

export const logHours = ({ day, minutes, work, reason, isRemake, startedAt = null }) =>
  record({ kind: "log", words: `${length(minutes)} ${workWords(work, reason)}${isRemake ? ", rework" : ""}, ${day}`, path: "time-entries/", hold: UNDO_SECONDS,
    body: { day, minutes, work, reason, is_remake: isRemake, told_at: now(), started_at: startedAt?.toISOString() ?? null } });

export const logLine = (line, on) =>
  record({ kind: "line", words: `“${line}”`, path: "time-entries/line/", hold: UNDO_SECONDS, body: { line, on, told_at: now() } });

/** Change an entry of the day; `seen` is what the change rests on. */
export const changeEntry = (entry, seen, change, words, more = {}) =>
  record({ kind: "edit", method: "PATCH", words, path: `time-entries/${entry}/`, seen, body: change, ...more });

/** Say of a running clock that something is made a second time, or that it is not after all. */
export const markRemake = (one) =>
  record({ kind: "edit", method: "PATCH", words: `${workWords(one.work, one.reason)} is ${one.isRemake ? "not " : ""}rework`, path: `time-entries/${one.entry}/`, entry: one.entry,
    seen: { is_remake: one.isRemake }, body: { is_remake: !one.isRemake } });

/** Draw `quantity` (base units) of a material, for a build or for none. */
export function draw({ material, quantity, build = null, line = null, lot = null }) {
  const at = now();
  const words = `Drew ${lot ? `${lot} ` : ""}${amount(material, quantity)}${build ? ` for ${nameOf(build)}` : ""}`;
  const path = build ? `builds/${build}/draws/` : `materials/${material.id}/draw/`;
  const own = build ? { line, material: line ? null : material.id } : {};
  return record({ kind: "draw", isStock: true, isPiece: isPiece(material), words, path, at, lot, material: material.id, build, holderName: build ? nameOf(build) : "", body: { quantity, lot, happened_at: at, ...own } });
}

/** Scrap from the shelf; for a build's account when one is named. */
export function scrap({ material, quantity, why, build = null, lot = null, drawn = null }) {
  const at = now();
  const words = `Scrapped ${lot ? `${lot} ` : ""}${amount(material, quantity)}: ${why}`;
  const path = build ? `builds/${build}/scraps/` : `materials/${material.id}/scrap/`;
  const own = build ? { material: drawn ? null : material.id, draw: drawn } : {};
  return record({ kind: "scrap", isStock: true, isPiece: isPiece(material), words, path, at, lot, material: material.id, body: { quantity, why, lot, happened_at: at, ...own } });
}

export const bringBack = (drawn, material, quantity, lot) =>
  record({ kind: "return", isStock: true, isPiece: isPiece(material), words: `Returned ${lot ? `${lot} ` : ""}${amount(material, quantity)}`, path: `draws/${drawn}/return/`, lot, material: material.id,
    body: { quantity, happened_at: now() } });

export const count = (material, counted, lot = null, why = "") =>
  record({ kind: "count", isStock: true, words: `Counted ${lot ? `${lot} ` : ""}${amount(material, counted)}`, path: `materials/${material.id}/count/`, lot, material: material.id,
    body: { counted, lot, why, happened_at: now() } });

export const weigh = (number, grams) =>
  record({ kind: "weigh", isStock: true, words: `${number} weighs ${shown(grams, woodUnits(state.hello?.workshop).mass)}`, path: `pieces/${number}/weighings/`, lot: number, hold: UNDO_SECONDS,
    body: { grams, happened_at: now() } });

export function promise({ material, quantity, build, line = null, lot = null }) {
  const own = buildOf(build);
  const words = `Reserved ${lot ? `${lot} ` : ""}${amount(material, quantity)} for ${nameOf(build)}`;
  const body = { material: material.id, quantity, lot, holder: own.holder, holder_name: nameOf(build), line: line ? `line:${line}` : "" };
  return record({ kind: "promise", isStock: true, isPiece: isPiece(material), words, path: "promises/", lot, material: material.id, build, body });
}

export const release = (open) =>
  record({ kind: "release", isStock: true, isPiece: Boolean(open.lot), words: `Released ${open.lot || "the reservation"}`, path: `promises/${open.id}/release/`, lot: open.lot, body: {} });

export const photograph = (build, stage, photo, text) =>
  record({ kind: "photo", words: `Photo for ${nameOf(build)}${text ? `: ${text}` : ""}`, path: `builds/${build}/notes/`, photo, body: { text, stage, happened_at: now() }, hold: UNDO_SECONDS });

/** A photo of a piece, kept with it. */
export const photographPiece = (number, photo, text) =>
  record({ kind: "photo", words: `Photo of ${number}${text ? `: ${text}` : ""}`, path: `lots/${number}/photos/`, lot: number, photo, body: { note: text, happened_at: now() }, hold: UNDO_SECONDS });

export const note = (build, stage, text) =>
  record({ kind: "note", words: `Note for ${nameOf(build)}: ${text}`, path: `builds/${build}/notes/`, body: { text, stage, happened_at: now() }, hold: UNDO_SECONDS });

export const tick = (build, stage, isDone) =>
  record({ kind: isDone ? "finish" : "reopen", words: `${isDone ? "Marked done:" : "Reopened"} ${stage.name}, ${nameOf(build)}`, path: `stages/${stage.id}/${isDone ? "finish" : "reopen"}/`,
    stage: stage.id, body: isDone ? { at: now() } : {} });

export const reading = (build, body, words) => record({ kind: "reading", words, path: "readings/", hold: UNDO_SECONDS, body: { build, taken_at: now(), ...body } });

const isPiece = (material) => material.kept_as === "piece";

function amount(material, quantity) {
  return isPiece(material) ? material.name : `${shown(quantity, material.unit)} ${material.name}`;
}
