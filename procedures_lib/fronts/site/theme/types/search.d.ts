// The index of the search, as procedures_lib writes it, and what goes from query to hits.

/** What the start of the index says of words. */
interface WordTables {
  /** The short spelling of a unit to that of its symbol. */
  units: Record<string, string>;
  /** Spellings that two units share in speech. */
  readings: Record<string, string[]>;
  /** Words that say nothing by themselves. */
  stop: string[];
}

/** A page of the index; `car` is the number of its vehicle. */
type IndexPage = [name: string, uri: string, title: string, tier: number, car: number];

/** What find/start.json says. */
interface IndexStart extends WordTables {
  format: number;
  /** The id of a row is its home page × stride + its number there. */
  stride: number;
  /** Page n has its rows in file n / pagesAFile, n % pagesAFile in it. */
  pagesAFile: number;
  /** The letter of a kind to its name. */
  kinds: Record<string, string>;
  /** A word to the letter of the kind that it asks for. */
  hints: Record<string, string>;
  /** The beginning of terms to the name of their file. */
  shards: Record<string, string>;
  /** The vehicles, by their ids. */
  cars: string[];
  pages: IndexPage[];
}

/** The ids that a term leads to, each as its difference from the one before, by group. */
type TermGroups = Record<string, number[]>;

/** The terms that begin alike. */
type Shard = Record<string, TermGroups>;

/** A row of the index: the numbers of the pages that show it, by anchor. */
type IndexRow = [kind: string, name: string, text: string, when: string, places: [anchor: string, pages: number[]][]];

/** The rows that a page is home to, and the ids of the others that it shows. */
interface PageRows {
  rows: IndexRow[];
  guests: number[];
}

/** One thing that is asked for. */
interface QueryTerm {
  /** Terms that would do, the likeliest first. */
  words: string[];
  /** Whether it was typed as one plain word or number. */
  plain: boolean;
}

/** Neighbouring words, first and last by number, that may be one part number. */
interface PartNumber {
  from: number;
  to: number;
  word: string;
}

/** A term that a word may mean, with how sure that is, 0 to 1. */
interface Meaning {
  groups: TermGroups;
  quality: number;
}

/** How well each row answers, by its id. */
type Scores = Map<number, number>;

/** A thing that is asked for, with the rows that have it. */
interface ScoredTerm {
  one: QueryTerm;
  scores: Scores;
}

/** A row in its place among the hits; the query asks for these kinds. */
interface RankedRow {
  id: number;
  score: number;
  kinds: Set<string>;
}

/** A place where a hit stands; `here` on the page that is open. */
interface HitPlace {
  uri: string;
  title: string;
  anchor: string;
  here: boolean;
}

/** One hit, with its places, the nearest first. */
interface Hit {
  kind: string;
  name: string;
  shown: string;
  when: string;
  /** Whether it is for other cars than the one that was chosen. */
  off: boolean;
  places: [HitPlace, ...HitPlace[]];
}

/** The answer to a query. */
interface Answer {
  /** The first of them. */
  hits: Hit[];
  total: number;
  /** Words that lead nowhere. */
  missed: string[];
  /** Whether no hit has all the other words. */
  loose: boolean;
}

/** The Snowball stemmer that Sphinx brings. */
declare var EnglishStemmer: undefined | (new () => { stemWord(word: string): string });
