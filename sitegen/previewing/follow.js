// Follows a preview: loads the page again when it has changed, at the same bar, and shows what is at fault.

const KEPT = "preview-place";
const EVERY = 400; // milliseconds between two questions

const panel = document.createElement("details");
panel.setAttribute("role", "status");
Object.assign(panel.style, {
  position: "fixed", insetInlineStart: "0", insetInlineEnd: "0", top: "0", zIndex: "99", maxHeight: "50vh", overflow: "auto",
  background: "#fff6d8", color: "#3a2a00", borderBottom: "2px solid #b07d00", padding: ".5rem 1rem", font: "15px/1.5 system-ui, sans-serif",
});
const summary = document.createElement("summary");
const lines = document.createElement("ul");
panel.append(summary, lines);

/** @returns {HTMLElement[]} the systems of music in the layout that is shown */
const systems = () => [...document.querySelectorAll(".system[data-first]")].filter((box) => box.getClientRects().length > 0);

/** Remembers the system at the top of the view, and where in the view it stands. */
function keepPlace() {
  const box = systems().find((each) => each.getBoundingClientRect().bottom > 0);
  const place = box ? { first: Number(box.dataset.first), top: box.getBoundingClientRect().top } : { scroll: scrollY };
  sessionStorage.setItem(KEPT, JSON.stringify({ ...place, path: location.pathname }));
}

function findPlace() {
  const place = JSON.parse(sessionStorage.getItem(KEPT) ?? "null");
  sessionStorage.removeItem(KEPT);
  if (place?.path !== location.pathname) return;
  const go = () => {
    const box = systems().find((each) => Number(each.dataset.last) >= place.first);
    if (box) scrollBy({ top: box.getBoundingClientRect().top - place.top, behavior: "instant" });
    else if (place.scroll) scrollTo({ top: place.scroll, behavior: "instant" });
  };
  go();
  // the scripts of the page lay the music out once more
  setTimeout(go, 300);
}

/** @param {{severity: string, text: string}[]} findings */
function tell(findings) {
  if (findings.length === 0) {
    panel.remove();
    return;
  }
  const errors = findings.filter((each) => each.severity === "error");
  const count = (/** @type {number} */ n, /** @type {string} */ noun) => `${n} ${noun}${n === 1 ? "" : "s"}`;
  summary.textContent =
    errors.length > 0
      ? `${count(errors.length, "fault")}: the last good page stays until it is mended`
      : count(findings.length, "warning");
  lines.replaceChildren(
    ...findings.map((each) => {
      const line = document.createElement("li");
      line.textContent = each.text;
      return line;
    }),
  );
  if (errors.length > 0) panel.open = true;
  document.body.append(panel);
}

/** @type {number | null} */
let version = null;
let told = "";

async function ask() {
  const state = await fetch("/-preview/state", { cache: "no-store" }).then((answer) => answer.json(), () => null);
  if (state) {
    if (version !== null && state.version !== version) {
      keepPlace();
      location.reload();
      return;
    }
    const findings = JSON.stringify(state.findings);
    if (findings !== told) tell(state.findings);
    told = findings;
    version = state.version;
  }
  setTimeout(ask, EVERY);
}

history.scrollRestoration = "manual";
findPlace();
ask();
