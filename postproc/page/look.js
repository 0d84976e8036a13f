// Numbers, words and colours that every part of the page shares.
const element = (id) => document.getElementById(id);
const dark = () => document.documentElement.classList.contains("dark");
const style_value = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
const mode_colour = (mode) => (dark() ? mode.dark_colour : mode.colour);
const millimetres = (value) => (value === null ? "–" : `${value.toFixed(2)} mm`);
const narrow = () => window.innerWidth < 640 && !printing();
const projected = () => document.documentElement.classList.contains("projector");
const printing = () => document.body.classList.contains("printing");
const terse = () => narrow() || projected(); // only the chosen effect is named in the picture, by its depth
const base_size = () =>
  printing() ? 11 : projected() ? 24 : narrow() ? 12 : window.innerWidth < 1500 ? 16 : 20;
const plot_options = {
  displayModeBar: false,
  responsive: false,
  plotlyServerURL: "",
  scrollZoom: false,
  doubleClick: false,
};

// Plotly reads a small mark-up in its texts.
const plain = (text) => text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;");

// A value that changes with time, so that no text of it stands in the run file, with the digits of its quantity; by the
// rule of solver/files/shown_numbers.cpp.
function as_shown(run, quantity, value) {
  if (value === null || !Number.isFinite(value)) return "–";
  const { unit, significant, decimals } = run.quantities[quantity];
  let places = decimals;
  if (significant && value !== 0) {
    const power = Number(value.toExponential(significant - 1).split("e")[1]);
    places = Math.min(places, significant - 1 - power);
  }
  const rounded = places < 0 ? Math.round(value * 10 ** places) / 10 ** places : value;
  return `${rounded.toFixed(Math.max(places, 0))} ${unit}`.trimEnd();
}

// Three significant digits; powers of ten where they are far from one.
function significant(value) {
  if (value === null || !Number.isFinite(value)) return "–";
  if (value !== 0 && (Math.abs(value) >= 1e5 || Math.abs(value) < 1e-3)) {
    const [digits, power] = value.toExponential(1).split("e");
    return `${digits}·10${[...String(Number(power))].map((c) => "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"["-0123456789".indexOf(c)]).join("")}`;
  }
  return String(Number(value.toPrecision(3)));
}

function make(tag, text, attributes = {}) {
  const node = document.createElement(tag);
  if (text !== undefined) node.textContent = text;
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  return node;
}

const axis_look = () => ({
  gridcolor: style_value("--line"),
  linecolor: style_value("--quiet"),
  zeroline: false,
  ticks: "outside",
  fixedrange: true,
  tickcolor: style_value("--quiet"),
});
const layout_look = () => ({
  paper_bgcolor: style_value("--paper"),
  plot_bgcolor: style_value("--paper"),
  showlegend: false,
  dragmode: false,
  font: { family: 'system-ui, "DejaVu Sans", sans-serif', size: base_size(), color: style_value("--ink") },
});
