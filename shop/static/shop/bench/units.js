/** Quantities: kept in base units (mm, cm², ml, g, each), typed and shown in the material's unit. */

/** Unit → how many base units it holds, and its word. The same as in the shop's computer. */
export const UNITS = {
  ea: [1, ""], pair: [2, "pair"], doz: [12, "dozen"],
  mm: [1, "mm"], cm: [10, "cm"], m: [1000, "m"], in: [25.4, "in"], ft: [304.8, "ft"],
  cm2: [1, "cm²"], m2: [10000, "m²"], in2: [6.4516, "in²"], ft2: [929.0304, "ft²"],
  ml: [1, "ml"], l: [1000, "l"], m3: [1000000, "m³"], bf: [2359.737216, "board feet"], floz: [29.5735295625, "US fl oz"],
  g: [1, "g"], kg: [1000, "kg"], oz: [28.349523125, "oz"], lb: [453.59237, "lb"],
};

/** Text typed in `unit` as a base quantity to the thousandth, or null when it is no number. */
export function toBase(text, unit) {
  const value = Number(String(text).trim().replace(",", "."));
  if (!String(text).trim() || !Number.isFinite(value)) return null;
  return (Math.round(value * UNITS[unit][0] * 1000) / 1000).toFixed(3);
}

/** A base quantity as a plain number in `unit`, without trailing zeros. */
export const fromBase = (base, unit) => String(Number((Number(base) / UNITS[unit][0]).toFixed(3)));

/** `1.05 m`, or `3` for what is counted. */
export const shown = (base, unit) => `${fromBase(base, unit)} ${UNITS[unit][1]}`.trim();

/** Units of size and mass in which the workshop measures wood. */
export const woodUnits = (workshop) => (workshop?.units === "imperial" ? { size: "in", mass: "oz" } : { size: "mm", mass: "g" });

const INCH = 25.4;

/** A length in mm typed in mm or in thousandths of an inch, as mm to a tenth of a thousandth; null when it is no number. */
export function millimetres(text, thousandths) {
  const value = Number(text.trim().replace(",", "."));
  if (!text.trim() || !Number.isFinite(value)) return null;
  return (thousandths ? (value * INCH) / 1000 : value).toFixed(4);
}

/** mm as it is shown beside thousandths: `0.127 mm` or `5.0 thou`. */
export const gauged = (mm, thousandths) => (thousandths ? `${((Number(mm) * 1000) / INCH).toFixed(1)} thou` : `${Number(Number(mm).toFixed(3))} mm`);
