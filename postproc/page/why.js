// The shares of what differs: a bar for each, the span over all orders across it, and the sentences.
const signed = (value) =>
  Math.round(100 * value) === 0 ? "0.00" : `${value > 0 ? "+" : "−"}${Math.abs(value).toFixed(2)}`;

function draw_why(run) {
  const why = run.why,
    plot = element("shares");
  plot.hidden = !why.computed || why.shares.length === 0;
  if (!why.computed) {
    element("why-words").textContent = `How much each difference accounts for is not in this run file: ${why.reason}.`;
    return;
  }
  element("why-words").textContent = why.words;
  element("why-note").textContent = why.how_to_read;
  element("sentences").replaceChildren(...why.sentences.map((s) => make("li", s)));
  if (plot.hidden || !plot.parentElement.clientWidth) return; // folded away
  const [first, second] = why.modes.map((k) => run.modes[k]),
    shares = why.shares;
  plot.setAttribute(
    "aria-label",
    `Shares of the difference in millimetres: ${shares.map((s) => `${s.name} ${signed(s.share)}`).join(", ")}`,
  );
  const room_for_names = Math.max(6, 0.68 * Math.max(...shares.map((s) => s.name.length))) * base_size();
  const names = shares.map((s) => plain(s.name));
  const low = Math.min(0, ...shares.map((s) => s.least)),
    high = Math.max(0, ...shares.map((s) => s.greatest)),
    room = Math.max(high - low, 0.01);
  const bars = {
    type: "bar",
    orientation: "h",
    y: names,
    x: shares.map((s) => s.share),
    width: 0.56,
    name: "share",
    hoverinfo: "skip",
    marker: { color: shares.map((s) => mode_colour(s.share > 0 ? first : second)) },
  };
  const spans = {
    type: "scatter",
    mode: "markers",
    y: names,
    x: shares.map((s) => s.least),
    marker: { opacity: 0 },
    name: "span",
    hoverinfo: "skip",
    error_x: {
      type: "data",
      symmetric: false,
      array: shares.map((s) => s.greatest - s.least),
      arrayminus: shares.map(() => 0),
      thickness: 1.5,
      width: 6,
      color: style_value("--ink"),
    },
  };
  const numbers = shares.map((s, k) => ({
    text: `<b>${signed(s.share)}</b>`,
    x: high + 0.05 * room,
    y: names[k],
    xanchor: "left",
    showarrow: false,
  }));
  const side = (text, x, xanchor) => ({
    text,
    xref: "paper",
    x,
    xanchor,
    yref: "paper",
    y: 1,
    yanchor: "bottom",
    showarrow: false,
    font: { size: 0.85 * base_size() },
  });
  Plotly.react(
    plot,
    [bars, spans],
    {
      ...layout_look(),
      width: plot.parentElement.clientWidth,
      height: 2.4 * base_size() * shares.length + 6 * base_size(),
      bargap: 0.4,
      margin: { l: room_for_names, r: 10, t: 2.6 * base_size(), b: 3.6 * base_size() },
      xaxis: {
        ...axis_look(),
        title: { text: "share of the difference [mm]", standoff: 4 },
        range: [low - 0.05 * room, high + 0.35 * room],
        zeroline: true,
        zerolinecolor: style_value("--ink"),
        zerolinewidth: 2,
        nticks: 6,
      },
      yaxis: { ...axis_look(), autorange: "reversed", ticks: "", showgrid: false },
      annotations: [
        ...numbers,
        side(`◀ ${plain(second.label)} deeper`, 0, "left"),
        side(`${plain(first.label)} deeper ▶`, 1, "right"),
      ],
    },
    plot_options,
  );
}
