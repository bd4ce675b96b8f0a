// The page that only a server answers: who sees it is signed in, and goes back to where the link stood.

const root = new URL("../", location.href);
const asked = new URLSearchParams(location.search).get("to") ?? "";
const back = URL.canParse(asked, root.href) ? new URL(asked, root) : root;
if (asked && back.href.startsWith(root.href)) location.replace(back);
