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

/** A page of the index; `car` is the number of its vehicle, `only` the cars of it that the page is for. */
type IndexPage = [name: string, uri: string, title: string, tier: number, car: number, only?: string];

/** The folder of an index: what technicians look for, or the guide for writers. */
type Part = "find" | "find-guide";

/** What start.json of an index says. */
interface IndexStart extends WordTables {
  format: number;
  /** Its own folder. */
  part: Part;
  /** The id of a row is its home page × stride + its number there. */
  stride: number;
  /** Page n has its rows in file n / pagesAFile, n % pagesAFile in it. */
  pagesAFile: number;
  /** The letter of a kind to its name. */
  kinds: Record<string, string>;
  /** A word to the letter of the kind that it asks for. */
  hints: Record<string, string>;
  /** Phrases that stand for one another; or phrases, and those that stand for each of them. */
  alike: [words: string[], instead?: string[]][];
  /** An answer that not every row can give, and the fact shown for it. */
  marks: Record<string, string>;
  /** Phrases that ask for kinds of row and for one of their facts, the longest first. */
  questions: [phrase: string, kinds: string, answer: string, left: string][];
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

/** The numbers of the pages that show a row, by anchor. */
type IndexPlaces = [anchor: string, pages: number[]][];

/** A row of the index; `tools` is where lists of tools have what a fastener takes. */
type IndexRow = [kind: string, name: string, text: string, when: string, places: IndexPlaces,
  facts?: Record<string, string>, tools?: IndexPlaces];

/** The rows that a page is home to, and the ids of the others that it shows. */
interface PageRows {
  rows: IndexRow[];
  guests: number[];
}

/** What amounts.json of an index says. */
interface AmountTables {
  /** The short form of a unit: its kind, its symbol, its worth in the first unit of the kind. */
  units: Record<string, [kind: number, symbol: string, worth: number]>;
  /** Of each kind the amounts: worth, the term as its page writes it, the terms in other units. */
  amounts: [worth: number, written: string, ...others: string[]][][];
}

/** One thing that is asked for. */
interface QueryTerm {
  /** Terms that would do, the likeliest first. */
  words: string[];
  /** Whether it was typed as one plain word or number. */
  plain: boolean;
  /** The number of an amount as it was typed. */
  figure?: string;
  /** How it is told, where its first word would not do. */
  said?: string;
  /** Terms that mean nearly the same, as what they are told. */
  near?: { word: string, quality: number, guess: string }[];
  /** The anchor of the step whose number it is. */
  step?: string;
}

/** Neighbouring words, first and last by number, that may be one part number, in one. */
interface PartNumber {
  from: number;
  to: number;
  words: string[];
}

/** What is asked for beside the words: letters of kinds, names of facts, and marks of rows that have them. */
interface Question {
  rest: string;
  kinds: string;
  answers: string[];
  marks: string[];
}

/** Where the reader stands; pages and rows are given by number. */
interface Standing {
  here: number;
  /** Whether a page is about another vehicle than that in hand. */
  foreign: (page: number) => boolean;
  /** 0 the page that is open, 1 that of a begun job, 2 the vehicle in hand, 3 any other, 4 another vehicle. */
  distance: (page: number) => number;
  /** What a place on a page counts for. */
  nearness: (page: number) => number;
  /** What a row counts for where it stands. */
  worth: (id: number) => number;
}

/** Terms that stand together for a phrase, what that is worth, and how it is told. */
interface Way {
  terms: string[];
  worth: number;
  guess: string;
}

/** Words of the query that belong together, and other ways to say them. */
interface QueryGroup {
  own: QueryTerm[];
  others: Way[];
}

/** A term that a word may mean, with how sure that is, 0 to 1; `guess` is told to the reader. */
interface Meaning {
  groups: TermGroups;
  quality: number;
  guess: string;
}

/** How well each row answers, by its id. */
type Scores = Map<number, number>;

/** Words that belong together with the rows that have them, and what was guessed to get there. */
interface ScoredGroup {
  group: QueryGroup;
  /** The kind that the word asks for, or "". */
  hint: string;
  scores: Scores;
  guesses: Map<number, string>;
}

/** What the rows are held against. */
interface Wanted {
  known: ScoredGroup[];
  answers: string[];
  stand: Standing;
  /** The anchor of the step that is asked for by its number, or "". */
  step: string;
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
  /** Whether it is for another vehicle altogether. */
  foreign: boolean;
  /** Whether it is a fastener, or answers for one. */
  joint: boolean;
  /** How far its first place is from where the reader stands. */
  distance: number;
  /** Facts that answer the question. */
  answer: string[];
  /** Words that were read as others. */
  guesses: { typed: string, meant: string }[];
  /** Other words for it. */
  also: string;
  /** The kits that take it out for good. */
  replaced: string;
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
