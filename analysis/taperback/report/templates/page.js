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

  // Draws every chart in a scheme, as wide as its place or as paper.
  function draw(scheme, widest) {
    for (const [id, chart] of Object.entries(charts)) {
      const place = document.getElementById(id);
      const width = Math.min(place.clientWidth, widest);
      if (width > 0) {
        const { data, layout } = coloured(chart, schemes[scheme]);
        const height = layout.height * (widest === printWidth ? printHeight : 1);
        Plotly.react(place, data, { ...layout, width, height }, config);
      }
    }
  }

  let drawnAt = 0;
  function onScreen() {
    drawnAt = document.documentElement.clientWidth;
    draw(dark.matches ? "dark" : "light", Infinity);
  }
  onScreen();
  dark.addEventListener("change", onScreen);
  window.addEventListener("resize", () => {
    if (document.documentElement.clientWidth !== drawnAt) {
      onScreen();
    }
  });
  window.addEventListener("beforeprint", () => draw("light", printWidth));
  window.addEventListener("afterprint", onScreen);
})();
