/* Small enrichments: a chart answers to the pointer. Every page works without this file. */
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
})();
