// What the parts of the worker hand on, and what a service worker has beside other workers.

/** A file of a version: the hash of its content, its bytes when packed, the numbers of its parts. */
type VersionFile = [hash: string, packed: number, ...parts: number[]];

/** How much some files are: their number, their bytes when packed, and as they are. */
interface FileTotal {
  files: number;
  packed: number;
  size: number;
}

/** A part of the site: a vehicle, the guide, or with "" as its id what every page needs. */
interface SitePart {
  id: string;
  name: string;
  files: number;
  packed: number;
  size: number;
}

/** What one build of the site consists of, as offline/files.json says it. */
interface SiteVersion {
  format: number;
  version: string;
  /** Part 0 is what every page needs. */
  parts: SitePart[];
  /** Of all files, each counted once. */
  all: FileTotal;
  /** The revision of a procedure's page, by its path. */
  revisions: Record<string, string>;
  files: Record<string, VersionFile>;
}

/** A version that is kept here; `seen` is when it was last the site's, in milliseconds. */
interface KeptVersion extends SiteVersion {
  seen: number;
}

/** The version of a page that is open, and when that was noted, in milliseconds. */
interface PageNote {
  version: string;
  at: number;
}

/** What the worker remembers. */
interface WorkerNotes {
  /** The version that is here, whole; "" for none. */
  current: string;
  /** The version that is under way; "" for none. */
  next: string;
  /** The ids of the parts that were chosen; null: not asked yet. */
  choice: string[] | null;
  /** The version at which a page is held, by its path. */
  holds: Record<string, string>;
  /** By the id of the browser's client. */
  pages: Record<string, PageNote>;
  trouble: OfflineTrouble;
  /** When the last list was seen to be that of the site: it never falls. */
  seen: number;
  /** When the site was last compared with what is here, in milliseconds; 0 for never. */
  compared: number;
  /** Whether the server last asked for a sign-in. */
  signedOut: boolean;
}

/** The whole worker, which the build puts together, and the hash of its text: ../../offline.py writes both. */
declare function manualWorker(wholeHash: string): void;
declare const wholeHash: string;

// The library of the type checker knows any worker by this name; here it is a service worker.
interface WorkerGlobalScope {
  readonly clients: Clients;
  readonly registration: ServiceWorkerRegistration;
  skipWaiting(): Promise<void>;
  addEventListener<K extends keyof ServiceWorkerGlobalScopeEventMap>(
    type: K,
    listener: (event: ServiceWorkerGlobalScopeEventMap[K]) => void,
  ): void;
}
