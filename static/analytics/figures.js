// Draws the figures of a page with plotly, once they scroll into view. The sentence above and the table below a
// figure come from the server and say the same, so a page is whole before this runs, and without it.

const STYLE = { displayModeBar: false, responsive: true, scrollZoom: false };
let plotly;

function load(address) {
  plotly ??= new Promise((done, failed) => {
    const script = document.createElement("script");
    script.src = address;
    script.onload = () => done(window.Plotly);
    script.onerror = failed;
    document.head.append(script);
  });
  return plotly;
}

function colour(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

// The page's own ink, paper and series colours, light or dark; a second cue (shape, dash) is in the figure itself.
function dressed({ data, layout }) {
  const axis = { gridcolor: colour("--faint"), zerolinecolor: colour("--ink"), linecolor: colour("--rule"), fixedrange: true };
  return {
    data: data.map((trace, n) => {
      const ink = colour(`--series-${n + 1}`);
      const marker = { ...trace.marker, color: ink, line: { ...trace.marker?.line, color: ink } };
      return { ...trace, marker, line: { ...trace.line, color: ink }, error_x: trace.error_x && { ...trace.error_x, color: ink } };
    }),
    layout: {
      ...layout,
      paper_bgcolor: colour("--card"),
      plot_bgcolor: colour("--card"),
      font: { color: colour("--ink"), family: "system-ui, sans-serif", size: 14 },
      margin: { l: 60, r: 16, t: 16, b: 56 },
      legend: { orientation: "h", y: 1.02, yanchor: "bottom" },
      showlegend: data.length > 1,
      xaxis: { ...axis, ...layout.xaxis },
      yaxis: { ...axis, ...layout.yaxis },
    },
  };
}

async function draw(box) {
  const figure = JSON.parse(document.getElementById(box.dataset.figure).textContent);
  const Plotly = await load(box.dataset.plotly);
  const { data, layout } = dressed(figure);
  // The box keeps the height: plotly asks it again whenever the window changes.
  box.style.height = `${layout.height}px`;
  delete layout.height;
  await Plotly.react(box, data, layout, STYLE);
  box.dataset.drawn = "yes";
}

const inView = new IntersectionObserver((entries) => {
  for (const entry of entries.filter((found) => found.isIntersecting)) {
    inView.unobserve(entry.target);
    draw(entry.target);
  }
}, { rootMargin: "200px" });

function watch(root) {
  root.querySelectorAll("[data-figure]").forEach((box) => inView.observe(box));
}

watch(document);
document.addEventListener("htmx:load", (event) => watch(event.detail.elt));
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
  document.querySelectorAll("[data-drawn]").forEach(draw);
});
