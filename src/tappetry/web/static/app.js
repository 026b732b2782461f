/* Small enrichments: a chart answers to the pointer, a form that is refused says so where it stands, a scanner
   needs no field. Every page works without this file. */
(() => {
  "use strict";
  let library = null;

  const load = () => {
    library ??= new Promise((done, failed) => {
      const script = document.createElement("script");
      script.src = "/static/charts.js";
      script.onload = done;
      script.onerror = failed;
      document.head.append(script);
    });
    return library;
  };

  const looks = () => {
    const theme = matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light";
    const size = matchMedia("(max-width: 760px)").matches ? "narrow" : "wide";
    return `theme=${theme}&size=${size}`;
  };

  const tell = (place) => (value) => {
    if (value && typeof value === "object") {
      place.textContent = Object.entries(value).filter(([, said]) => said !== "null").map(([name, said]) => `${name}: ${said}`).join(" · ");
    }
  };

  const enliven = async (figure) => {
    const answer = await fetch(`${figure.dataset.chart}.json?${looks()}`);
    if (!answer.ok) return;
    const specification = await answer.json();
    await load();
    const live = figure.querySelector(".chart-live");
    live.hidden = false;
    await window.drawChart(live, specification, tell(figure.querySelector(".chart-told")));
    figure.querySelector("picture").hidden = true;
    live.setAttribute("role", "img");
    live.setAttribute("aria-label", figure.querySelector("img").alt);
  };

  document.addEventListener("pointerover", (event) => {
    const figure = event.target.closest?.(".chart[data-chart]");
    if (figure && !figure.dataset.asked) {
      figure.dataset.asked = "yes";
      enliven(figure).catch(() => { figure.querySelector(".chart-live").hidden = true; });
    }
  });

  /* What could not be done is said above the form, which stays as it was filled in. */
  const refuse = (form, problem) => {
    document.querySelector(".told")?.remove();
    problem.querySelector(".typed")?.remove();
    const title = problem.querySelector("h1");
    if (title) {
      const heading = document.createElement("h2");
      heading.append(...title.childNodes);
      title.replaceWith(heading);
    }
    problem.classList.add("told");
    problem.tabIndex = -1;
    form.before(problem);
    problem.focus();
  };

  const problem = (title, said) => {
    const made = document.createElement("section");
    made.className = "refusal";
    made.setAttribute("role", "alert");
    for (const [name, text] of [["h2", title], ["p", said]]) made.appendChild(document.createElement(name)).textContent = text;
    return made;
  };

  const go = (place) => {
    const to = new URL(place, location.href);
    if (to.hash && to.pathname + to.search === location.pathname + location.search) {
      history.replaceState(null, "", to);
      location.reload();
    } else location.assign(to);
  };

  const CHANGED_MEANWHILE = 409;

  const send = async (form, button) => {
    const fields = new FormData(form, button);
    const body = form.enctype === "multipart/form-data" ? fields : new URLSearchParams(fields);
    const answer = await fetch(form.getAttribute("action"), { method: "POST", body, headers: { Accept: "text/html", "X-In-Place": "yes" } });
    const place = answer.headers.get("X-Goes-To");
    if (place) { go(place); return; }
    const text = await answer.text();
    const found = new DOMParser().parseFromString(text, "text/html").querySelector("[data-problem]");
    if (answer.ok || !found && answer.headers.get("Content-Type")?.startsWith("text/html")) {
      document.open();
      document.write(text);
      document.close();
      return;
    }
    const said = found ?? problem("Not done", text);
    if (answer.status === CHANGED_MEANWHILE) {
      const again = said.appendChild(document.createElement("p")).appendChild(document.createElement("a"));
      again.href = location.href;
      again.textContent = "Load the page as it stands now";
    }
    refuse(form, said);
    form.removeAttribute("aria-busy");
  };

  document.addEventListener("submit", (event) => {
    const form = event.target, button = event.submitter;
    const method = button?.getAttribute("formmethod") ?? form.getAttribute("method");
    if (event.defaultPrevented || method !== "post") return;
    event.preventDefault();
    if (form.getAttribute("aria-busy")) return;
    form.setAttribute("aria-busy", "true");
    send(form, button).catch(() => {
      refuse(form, problem("No answer", "The shop's program does not answer. What you typed still stands here. Open this page in another window to see whether it was done, then try again."));
      form.removeAttribute("aria-busy");
    });
  });

  /* A scanner types a label and Enter faster than a person can: where no field waits for it, it is looked for. */
  const APART = 100, SHORTEST = 2;
  let scanned = "", last = 0;
  document.addEventListener("keydown", (event) => {
    if (event.target.closest("input, select, textarea") || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.timeStamp - last > APART) scanned = "";
    last = event.timeStamp;
    if (event.key.length === 1) scanned += event.key;
    else if (event.key === "Enter" && scanned.length >= SHORTEST && document.getElementById("search")) {
      event.preventDefault();
      location.assign(`/search?q=${encodeURIComponent(scanned)}`);
    }
  });
})();
