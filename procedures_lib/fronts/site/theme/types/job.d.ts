// What a page says of its car and its procedure, and a job: the values that the scripts of a page hand on.

/** The attributes of an element that is made: listeners, and what is written as text. */
type Attributes = Record<string, string | number | boolean | null | undefined | (() => unknown)>;

/** The options of a car, each with the value that was chosen for it. */
type Car = Record<string, string>;

/** An option of a vehicle. */
type CarOption = [id: string, name: string, values: string[]];

/** The car that a page is about; its vehicle is "" for none. */
interface CarPage {
  place: HTMLElement;
  vehicle: string;
  name: string;
  options: CarOption[];
}

/** An option expression: procedures_lib/language/variants/condition.py has its grammar. */
type Condition =
  | { kind: "test"; option: string; values: string[] }
  | { kind: "not" | "and" | "or"; parts: Condition[] };

/** A reading that an action asks for. */
interface ReadingRequest {
  joint: string;
  name: string;
  count: number;
  stage: number;
  angle: boolean;
  text: string;
  unit: string;
  /** The units that it may be typed in. */
  units: string[];
  /** The cars that it is asked for on, "" for all. */
  when: string;
  /** The lowest and the highest number, by unit, for a first look. */
  limits: Record<string, [lowest: number, highest: number]>;
}

/** A stage of a joint that a step tightens, of those with nothing to read too: by hand, snug, back off, in words. */
interface JointStage {
  joint: string;
  name: string;
  stage: number;
  /** The cars that it is for, "" for all. */
  when: string;
  text: string;
}

/** A step as it stands on the page; `when` is "" for every car. */
interface Step {
  number: number;
  key: string;
  digest: string;
  when: string;
  title: string;
  element: HTMLElement;
  actions: { element: HTMLElement; readings: ReadingRequest[] }[];
  stages: JointStage[];
}

/** A tool of the shop. */
type ShopTool = [id: string, name: string];

/** A procedure as it stands on the page. */
interface Procedure {
  id: string;
  title: string;
  revision: string;
  digest: string;
  steps: Step[];
  tools: { wrenches: ShopTool[]; gauges: ShopTool[] };
}

/** A reading as it was typed; `at` is a time after RFC 3339, and each is "" where nothing was typed. */
interface Reading {
  value: string;
  unit: string;
  wrench: string;
  initials: string;
  at: string;
  /** Not "" where the time is that of a tick set by hand: it stays when the number goes. */
  hand?: string;
}

/** What was done of a step to another edition of the page: the edition's revision, the time of the step's tick, "" for
 * none, and its readings and the ticks of its stages. */
interface Before {
  revision: string;
  tick: string;
  readings: Record<string, Reading>;
}

/** What a remark says of a step: schema/record.json of the site lists the same. */
type RemarkKind = "wrong" | "missing" | "unclear" | "slow";

/** A remark on a step; `picture` names a photograph that this or another phone keeps, "" for none. */
interface Remark {
  /** The step's key. */
  step: string;
  kind: string;
  text: string;
  /** After RFC 3339. */
  at: string;
  picture: string;
}

/** Where the shop takes remarks; "" and false for ways that it does not name. */
interface RemarkWays {
  mail: string;
  issue: string;
  share: boolean;
}

/** One procedure carried out on one car, as the phone keeps it. Times are after RFC 3339. */
interface Job {
  format: 1;
  procedure: string;
  revision: string;
  digest: string;
  car: Car;
  /** The title and the path of its page; jobs begun with older pages have neither. */
  title?: string;
  page?: string;
  /** How many steps are for the car; jobs begun with older pages don't say it. */
  steps?: number;
  /** "" for a job that is not begun. */
  begun: string;
  /** The order or the number plate. */
  reference: string;
  /** When somebody last said that the car is the one it was begun on. */
  sure?: string;
  /** When it was laid aside for another car of the same options; "" or nothing for a job that is on its car. */
  rests?: string;
  /** The time of each tick, by the step's key. */
  ticks: Record<string, string>;
  /** By the step's key, the joint and the stage. */
  readings: Record<string, Reading>;
  /** The key and the digest of each step when the job was begun. */
  seen: [key: string, digest: string][];
  /** By the step's key: what was done of steps that say something else now, until somebody has looked at the step. */
  before: Record<string, Before>;
  /** Readings that the page no longer asks for, or asks for otherwise. */
  aside: Record<string, Reading>;
  /** By the step's key and the kind: one of each kind at a step. Those of steps that are gone stay here. */
  remarks: Record<string, Remark>;
  /** When another phone took the job over, by the key of the step to go on with. */
  handovers: Record<string, string>;
}

/** How long a thing is kept: for good, until the tab is closed, until the page is left. */
type Lasting = "device" | "tab" | "page";

/** The error correction of a QR code (ISO/IEC 18004). */
type QrLevel = "L" | "M";

/** A QR code: its rows of modules, true for dark. */
interface QrCode {
  version: number;
  level: QrLevel;
  mask: number;
  rows: boolean[][];
}

/** Something about a job that has to be seen, the gravest first; `short` stands in the bar. */
interface JobNote {
  /** Said without hindering. */
  isQuiet?: boolean;
  short: string;
  element: HTMLElement | null;
}

/** A newer edition of the page that is open. */
interface PageNews {
  revision: string;
  /** Its text, "" where it can't be had. */
  text: () => Promise<string>;
}
