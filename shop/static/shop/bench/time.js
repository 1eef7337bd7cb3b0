/** Clock times, lengths of time and days, as they are typed and shown. */

const MINUTE = 60000;
const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];
const WEEKDAYS = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];
const two = (number) => String(number).padStart(2, "0");

/** `4:35 h` that never breaks, rounded down: a clock that runs shows whole minutes. */
export function length(minutes) {
  const whole = Math.floor(minutes + 1e-9);
  return `${Math.floor(whole / 60)}:${two(whole % 60)}\u00a0h`;
}

/** `14:40`. */
export const clockTime = (date) => `${two(date.getHours())}:${two(date.getMinutes())}`;

/** `2027-03-16`, the day on this phone. */
export const dayKey = (date) => `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;

/** `26 Jan 2027`, of a key such as `2027-01-26`. */
export function shortDay(key) {
  const date = new Date(`${key}T12:00`);
  return `${date.getDate()} ${MONTHS[date.getMonth()].slice(0, 3)} ${date.getFullYear()}`;
}

/** `Tuesday 16 March`. */
export function dayWords(key, now = new Date()) {
  const date = new Date(`${key}T12:00`);
  const ago = Math.round((new Date(`${dayKey(now)}T12:00`) - date) / 86400000);
  if (ago === 0) return "today";
  if (ago === 1) return "yesterday";
  return `${WEEKDAYS[date.getDay()]} ${date.getDate()} ${MONTHS[date.getMonth()]}`;
}

/** The key of the day `ago` days before `now`. */
export function daysAgo(ago, now = new Date()) {
  const date = new Date(now);
  date.setDate(date.getDate() - ago);
  return dayKey(date);
}

const PARTS = { "½": 0.5, "¼": 0.25, "¾": 0.75 };

/** Minutes meant by `2.5`, `2,5 h`, `2½`, `2:30`, `1 h 15`, `90 min`; null when it is no length. A bare number is hours. */
export function minutesOf(text) {
  const plain = text.trim().toLowerCase().replace(",", ".");
  let found = plain.match(/^(\d+):([0-5]\d)\s*(?:h(?:ours?|rs?)?)?$/) || plain.match(/^(\d+)\s*h(?:ours?|rs?)?\s*([0-5]?\d)\s*(?:m(?:in)?)?$/);
  if (found) return Number(found[1]) * 60 + Number(found[2]);
  found = plain.match(/^(\d+)\s*m(?:in(?:utes)?)?$/);
  if (found) return Number(found[1]);
  found = plain.match(/^(\d*\.?\d*)\s*([½¼¾]?)\s*(?:h(?:ours?|rs?)?)?$/);
  if (!found || (!found[1] && !found[2]) || found[1] === ".") return null;
  return Math.round((Number(found[1] || 0) + (PARTS[found[2]] || 0)) * 60);
}

/** Minutes from `start` to `end`, both dates. */
export const minutesBetween = (start, end) => (end - start) / MINUTE;

/** The instant at which a time typed as `14:40` last was, before `now`. */
export function lastAt(text, now) {
  const found = text.trim().match(/^(\d{1,2})[:.h]?([0-5]\d)$/);
  if (!found || Number(found[1]) > 23) return null;
  const date = new Date(now);
  date.setHours(Number(found[1]), Number(found[2]), 0, 0);
  if (date > now) date.setDate(date.getDate() - 1);
  return date;
}

/**
 * The sensible ends of a clock that was never stopped, the earliest first, as [words, date]:
 * the last thing recorded, the end of the working day, midnight, now.
 */
export function sensibleEnds(started, now, dayEnds, lastRecorded) {
  const [hour, minute] = dayEnds.split(":").map(Number);
  const end = new Date(started);
  end.setHours(hour, minute, 0, 0);
  const midnight = new Date(started);
  midnight.setHours(24, 0, 0, 0);
  const wanted = [
    ["last thing recorded", lastRecorded],
    ["end of the working day", end],
    ["midnight", midnight <= now ? midnight : null],
    ["now", now],
  ];
  return wanted.filter(([, at]) => at && at > started && at <= now).sort((one, other) => one[1] - other[1]);
}
