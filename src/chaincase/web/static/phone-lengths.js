// Lengths as people write them, read only far enough to show the other system while one types. The server reads again.

const WORDS = { '"': 25.4, "in": 25.4, "inch": 25.4, "inches": 25.4, "mm": 1, "cm": 10, "m": 1000, "'": 304.8, "ft": 304.8 };
const NUMBER = String.raw`(?:(\d+)[ -]+)?(\d+)\/(\d+)|(\d+(?:[.,]\d+)?|[.,]\d+)`;
const ONE = new RegExp(String.raw`^\s*(?:${NUMBER})\s*("|'|in(?:ch(?:es)?)?|mm|cm|m|ft)?\s*$`, "i");

// Millimeters of a single length; null where it is not one (yet).
export function millimeters(text, unit) {
  const found = ONE.exec(text);
  if (!found) return null;
  const [, whole, above, below, plain, word] = found;
  const factor = word ? WORDS[word.toLowerCase()] : unit === "in" ? 25.4 : 1;
  const value = plain ? Number(plain.replace(",", ".")) : Number(whole ?? 0) + Number(above) / Number(below);
  return Number.isFinite(value) && value > 0 ? value * factor : null;
}

const divisor = (a, b) => (b ? divisor(b, a % b) : a);

// The nearest 64th: "4 1/16".
export function fraction(mm) {
  const parts = Math.round((mm / 25.4) * 64);
  const whole = Math.floor(parts / 64);
  const rest = parts % 64;
  if (!rest) return String(whole);
  const shared = divisor(rest, 64);
  return `${whole ? `${whole} ` : ""}${rest / shared}/${64 / shared}`;
}

// Both systems, for the line below the field.
export function both(mm) {
  if (mm === null) return "";
  return `${mm.toFixed(2)} mm = ${(mm / 25.4).toFixed(3)} in, near ${fraction(mm)} in`;
}

// The text with its unit, so that it says by itself what it is.
export function withUnit(text, unit) {
  const found = ONE.exec(text);
  const plain = text.trim();
  return found && !found[5] ? `${plain} ${unit}` : plain;
}
