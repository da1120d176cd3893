// Which IDs can exist: the laptop's own rules for what people type, as far as a phone needs them to refuse the others.
// What it lets through is looked up by the laptop when it arrives; it must not refuse what the laptop would take.

const ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";

// ISO/IEC 7064, hybrid system MOD 37,36, as in fieldapp/base/check_character.py.
function checkCharacter(text) {
  let carry = 36;
  for (const character of text) {
    carry = (carry + ALPHABET.indexOf(character)) % 36 || 36;
    carry = (carry * 2) % 37;
  }
  return ALPHABET[(37 - carry) % 36];
}

function plain(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}

/** The ID in capitals without what stands between, cut out of an address if it stands in one. */
export function cutOut(text) {
  let shown = plain(text).normalize("NFKC").trim().toUpperCase();
  if (shown.includes("/")) {
    shown = shown.split(/[?#]/)[0].replace(/\/+$/, "").split("/").pop();
  }
  return shown.replace(/\s*\.\s*[12]$/, "").replace(/[\s\-\u2010-\u2015\u2212_.]+/g, "");
}

function exists(kind, number) {
  return kind.runs.some(([first, last]) => first <= number && number <= last);
}

// Its number alone, or its number and check character, leading zeros left out or not.
function couldBe(body, known) {
  const found = /^([HS])([0-9]+)([0-9A-Z]?)$/.exec(body);
  if (!found) {
    return false;
  }
  const [, letter, digits, last] = found;
  const kind = known.kinds[letter];
  if (!last && exists(kind, Number(digits))) {
    return true;
  }
  const number = last ? digits : digits.slice(0, -1);
  const whole = String(Number(number)).padStart(kind.width, "0");
  return number !== "" && checkCharacter(known.prefix + letter + whole) === (last || digits.at(-1))
    && (exists(kind, Number(number)) || Number(number) >= kind.site);
}

/** Empty if a part may be meant; "other" and its letters if it is another kit's, else "unknown". */
export function trouble(text, known) {
  const typed = cutOut(text);
  const bodies = typed.startsWith(known.prefix) ? [typed.slice(known.prefix.length), typed] : [typed];
  if (known.codes || bodies.some((body) => couldBe(body, known))) {
    return { what: "" };
  }
  const other = /^([A-Z]{2,3})([HS][0-9]{2,})([0-9A-Z])$/.exec(typed);
  if (other && other[1] !== known.prefix && checkCharacter(other[1] + other[2]) === other[3]) {
    return { what: "other", kit: other[1], id: other.slice(1).join("-") };
  }
  return { what: "unknown" };
}
