(function () {
  "use strict";
  const read = (id) => JSON.parse(document.getElementById(id).textContent);
  const charts = read("charts");
  const schemes = read("schemes");
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const config = { displayModeBar: false, scrollZoom: false, doubleClick: false };
  // A4 less its margins, in CSS pixels: a chart drawn wider would be cut on paper.
  const printWidth = 660;
  // Charts this much lower let four race weeks or two factors stand on a sheet.
  const printHeight = 0.75;

  // What a narrow screen can do without at first is open where there is room, and without script.
  if (window.matchMedia("(max-width: 61.99rem)").matches) {
    document.querySelectorAll("details.roomy").forEach((part) => {
      part.open = false;
    });
  }

  // A chart says "@ink"; the scheme says which colour that is.
  function coloured(value, scheme) {
    if (typeof value === "string") {
      return value.startsWith("@") ? scheme[value.slice(1)] : value;
    }
    if (Array.isArray(value)) {
      return value.map((item) => coloured(item, scheme));
    }
    if (value && typeof value === "object") {
      return Object.fromEntries(
        Object.entries(value).map(([key, item]) => [key, coloured(item, scheme)])
      );
    }
    return value;
  }

  // Plotly stands in the page as text and runs when the first chart is wanted: reading it takes
  // longer than everything else, and the first screen needs none of it.
  function plotly() {
    if (!window.Plotly) {
      const script = document.createElement("script");
      script.textContent = document.getElementById("plotly").textContent;
      document.head.append(script);
    }
    return window.Plotly;
  }

  // A chart that cannot be drawn says so in its place, and costs none of the others.
  function giveUp(place) {
    delete charts[place.id];
    place.removeAttribute("role");
    place.removeAttribute("aria-label");
    place.removeAttribute("style");
    place.className = "small";
    place.textContent =
      "This chart could not be drawn. The table below it holds the same numbers.";
  }

  // Draws one chart in a scheme, as wide as its place or as paper.
  function draw(place, scheme, widest) {
    const width = Math.min(place.clientWidth, widest);
    if (width > 0 && charts[place.id]) {
      try {
        const { data, layout } = coloured(charts[place.id], schemes[scheme]);
        const height = layout.height * (widest === printWidth ? printHeight : 1);
        plotly()
          .react(place, data, { ...layout, width, height }, config)
          .catch(() => giveUp(place));
        place.style.minHeight = "";
      } catch {
        giveUp(place);
      }
    }
  }

  const places = [...document.querySelectorAll(".chart")];
  const drawn = new Set();
  let drawnAt = document.documentElement.clientWidth;
  function onScreen(some) {
    drawnAt = document.documentElement.clientWidth;
    some.forEach((place) => draw(place, dark.matches ? "dark" : "light", Infinity));
  }

  // A place keeps its chart's height until the chart comes near the view.
  const near = new IntersectionObserver(
    (entries) => {
      const here = entries.filter((entry) => entry.isIntersecting).map((entry) => entry.target);
      here.forEach((place) => {
        near.unobserve(place);
        drawn.add(place);
      });
      onScreen(here);
    },
    { rootMargin: "100% 0px" }
  );
  for (const place of places) {
    const height = charts[place.id]?.layout?.height;
    if (height) {
      place.style.minHeight = `${height}px`;
    }
    near.observe(place);
  }

  dark.addEventListener("change", () => onScreen(drawn));
  window.addEventListener("resize", () => {
    if (document.documentElement.clientWidth !== drawnAt) {
      onScreen(drawn);
    }
  });
  // What is folded for the screen and belongs on paper is open while it prints.
  const unfolded = new Set();
  window.addEventListener("beforeprint", () => {
    document.querySelectorAll("details.paper:not([open])").forEach((part) => {
      part.open = true;
      unfolded.add(part);
    });
    places.forEach((place) => {
      drawn.add(place);
      draw(place, "light", printWidth);
    });
  });
  window.addEventListener("afterprint", () => {
    unfolded.forEach((part) => {
      part.open = false;
    });
    unfolded.clear();
    onScreen(drawn);
  });

  // A link into a folded part opens it.
  function unfold() {
    const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    for (let part = target; part; part = part.parentElement) {
      if (part.tagName === "DETAILS") {
        part.open = true;
      }
    }
    target?.scrollIntoView();
  }
  window.addEventListener("hashchange", unfold);
  if (location.hash) {
    unfold();
  }
})();
