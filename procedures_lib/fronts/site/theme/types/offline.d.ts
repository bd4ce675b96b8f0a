// What the worker and the pages say to each other.

/** A part of the manual that is kept or left; `packed` is its size over the wire, in bytes. */
interface ManualPart {
  id: string;
  name: string;
  files: number;
  packed: number;
}

/** How far the fetching is, in packed bytes. */
interface FetchProgress {
  done: number;
  total: number;
}

/** What stands in the way of keeping the manual, "" for nothing. */
type OfflineTrouble = "" | "unfinished" | "network" | "room" | "shut";

/** How things stand, as the worker tells a page. */
interface OfflineState {
  kind: "state";
  trouble: OfflineTrouble;
  /** Whether the version of the site is here, whole. */
  ready: boolean;
  /** Whether any version is here. */
  old: boolean;
  progress: FetchProgress | null;
  /** Whether somebody has to choose what is kept. */
  asks: boolean;
  parts: ManualPart[];
  /** The numbers of the parts that are kept whole. */
  wanted: number[];
  /** Whether there is a newer edition of the page. */
  newer: boolean;
  /** The revision of the newer edition, "" where it has none. */
  revision: string;
  /** Whether the page is held at its version. */
  held: boolean;
}

/** The same, or where nothing can be kept, no more than what stands in the way. */
type OfflineReport = Pick<OfflineState, "trouble"> & Partial<OfflineState>;

/** What a page asks of the worker; `choose` brings the ids of parts. */
interface OfflineRequest {
  kind: "look" | "hold" | "release" | "choose" | "newest";
  parts?: string[];
}
