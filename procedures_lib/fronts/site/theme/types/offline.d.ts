// What the worker and the pages say to each other.

/** A part of the manual that is kept or left; `stored` is what it takes on the device, in bytes. */
interface ManualPart {
  id: string;
  name: string;
  stored: number;
}

/** The room that the browser says the site has, and what the site has used of it, in bytes. */
interface OfflineRoom {
  used: number;
  quota: number;
}

/** How far the fetching is, in bytes on the device. */
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
  /** Whether the page itself is kept. */
  here: boolean;
  /** Null while something is fetched, and where the browser does not say. */
  room: OfflineRoom | null;
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
  /** Whether the server asks for a sign-in. */
  signedOut: boolean;
  /** When the site was last compared with what is here, in milliseconds; 0 for never. */
  compared: number;
  /** Whether the server did not answer when it was last asked. */
  unreached: boolean;
}

/** The same, or where nothing can be kept, no more than what stands in the way. */
type OfflineReport = Pick<OfflineState, "trouble"> & Partial<OfflineState>;

/** What a page asks of the worker; `alive` whether it is one at all, `choose` brings the ids of parts, `look` the addresses of what the page shows. */
interface OfflineRequest {
  kind: "look" | "hold" | "release" | "choose" | "newest" | "alive";
  parts?: string[];
  shows?: string[];
}
