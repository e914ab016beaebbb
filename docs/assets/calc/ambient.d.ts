// What the build puts in place of these names: see calc/desk/bundle.py.

/** The hash of everything that answers: the page's scripts, the worker, the runtime, `calc` and its data. */
declare const HANDBOOK_BUILD: string;

/** Every file of the runtime with its size and SHA-256. */
declare const HANDBOOK_RUNTIME: {
  python: string;
  abi: string;
  files: Record<string, { size: number; sha256: string }>;
};

/** Every file of the site with its hash, for the service worker alone. */
declare const HANDBOOK_KEPT: { pages: Record<string, string>; runtime: Record<string, string> };
