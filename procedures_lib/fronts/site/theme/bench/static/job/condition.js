// Option expressions in the browser: the grammar of procedures_lib/language/variants/condition.py.
// Where an option of the car is not known, the answer may be "not known" (null): then a thing is shown.

const TOKEN = /\s*(?:([A-Za-z0-9][\p{L}\p{N}_.+-]*)|([()[\],]|!?=))/uy;
const KEYWORDS = new Set(["and", "or", "not", "in"]);
const DEEPEST = 40;

class Unreadable extends Error {}

/** @param {string} text @returns {string[]} */
function tokensOf(text) {
  const tokens = [];
  const end = text.trimEnd().length;
  TOKEN.lastIndex = 0;
  let at = 0;
  while (at < end) {
    const match = TOKEN.exec(text);
    if (!match) throw new Unreadable(text);
    at = TOKEN.lastIndex;
    tokens.push(match[1] ?? match[2] ?? "");
  }
  return tokens;
}

class Parser {
  /** @param {string} text */
  constructor(text) {
    this.tokens = tokensOf(text);
    this.at = 0;
  }

  /** @returns {string|undefined} */
  get token() {
    return this.tokens[this.at];
  }

  /** @returns {string|undefined} */
  take() {
    return this.tokens[this.at++];
  }

  /** @param {string} mark */
  expect(mark) {
    if (this.take() !== mark) throw new Unreadable(mark);
  }

  /** @param {number} depth @returns {Condition} */
  expression(depth) {
    return this.joined("or", () => this.joined("and", () => this.negation(depth)));
  }

  /** @param {"and"|"or"} word @param {() => Condition} part @returns {Condition} */
  joined(word, part) {
    const first = part();
    if (this.token !== word) return first;
    const parts = [first];
    while (this.token === word) {
      this.take();
      parts.push(part());
    }
    return { kind: word, parts };
  }

  /** @param {number} depth @returns {Condition} */
  negation(depth) {
    if (depth > DEEPEST) throw new Unreadable("too deep");
    if (this.token === "not") {
      this.take();
      return { kind: "not", parts: [this.negation(depth + 1)] };
    }
    if (this.token === "(") {
      this.take();
      const inner = this.expression(depth + 1);
      this.expect(")");
      return inner;
    }
    return this.test();
  }

  /** @returns {Condition} */
  test() {
    const option = this.word();
    const sign = this.take();
    if (sign === "=") return { kind: "test", option, values: [this.word()] };
    if (sign === "in") return { kind: "test", option, values: this.values() };
    throw new Unreadable(option);
  }

  /** @returns {string[]} */
  values() {
    this.expect("[");
    const values = [this.word()];
    while (this.token === ",") {
      this.take();
      values.push(this.word());
    }
    this.expect("]");
    return values;
  }

  /** @returns {string} */
  word() {
    const word = this.take();
    if (!word || !/^[A-Za-z0-9]/.test(word) || KEYWORDS.has(word)) throw new Unreadable(word);
    return word;
  }
}

/** The expression in a text; null when it can't be read. @param {string} text @returns {Condition|null} */
export function readCondition(text) {
  try {
    const parser = new Parser(text);
    const found = parser.expression(0);
    return parser.token === undefined ? found : null;
  } catch (error) {
    if (error instanceof Unreadable) return null;
    throw error;
  }
}

/** Whether a car meets an expression; null when its known options do not settle it.
 * @param {Condition} condition @param {Car} car @returns {boolean|null} */
export function verdict(condition, car) {
  if (condition.kind === "test") {
    const value = Object.hasOwn(car, condition.option) ? car[condition.option] : undefined;
    return value === undefined ? null : condition.values.includes(value);
  }
  const verdicts = condition.parts.map((part) => verdict(part, car));
  if (condition.kind === "not") return verdicts[0] === null ? null : !verdicts[0];
  const settles = condition.kind === "or";
  if (verdicts.includes(settles)) return settles;
  return verdicts.includes(null) ? null : !settles;
}

/** The options that an expression names. @param {string|undefined} text @returns {string[]} */
export function optionsIn(text) {
  const found = [];
  const waiting = [readCondition(text ?? "")];
  while (waiting.length) {
    const next = waiting.pop();
    if (next?.kind === "test") found.push(next.option);
    else if (next) waiting.push(...next.parts);
  }
  return found;
}

/** Whether what holds under a condition is to be shown: always, unless the car surely does not meet it.
 * @param {string|null|undefined} text @param {Car} car @returns {boolean} */
export function mayApply(text, car) {
  if (!text) return true;
  const condition = readCondition(text);
  return condition === null || verdict(condition, car) !== false;
}
