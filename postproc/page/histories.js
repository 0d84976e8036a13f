// Histories of all modes with a cursor at the shown time, and the waveforms.
const history_keys = (run, view) => ["resistance_ohm", view.quantity, `depth ${run.effects[view.effect].name}`];

function history_title(run, key) {
  return key.startsWith("depth ")
    ? `greatest depth: ${run.effects.find((e) => `depth ${e.name}` === key).meaning} [mm]`
    : run.histories[key];
}

// What a history comes to: a depth as the program shows it, else the last value with the digits of its quantity.
function end_words(run, mode, key) {
  if (key.startsWith("depth ")) return mode.result[key.slice("depth ".length)].shown.depth;
  const last = mode.trace[key]?.v.filter((v) => v !== null).at(-1) ?? NaN;
  const quantity = { resistance_ohm: "resistance", power_W: "power", peak_V: "voltage" }[key];
  return quantity ? as_shown(run, quantity, last) : significant(last);
}

function make_plots(place, count, name) {
  place.replaceChildren();
  return Array.from({ length: count }, (_, k) => {
    const box = make("div", undefined, { class: "plot" });
    const title = make("h3");
    const plot = make("div", undefined, { id: `${name}-${k}`, role: "img" });
    box.append(title, plot);
    place.append(box);
    return { title, plot };
  });
}

function cursor(time) {
  return [
    {
      type: "line",
      x0: time,
      x1: time,
      y0: 0,
      y1: 1,
      yref: "paper",
      line: { color: style_value("--ink"), width: 2, dash: "2px,3px" },
    },
  ];
}

function draw_histories(run, view, plots) {
  history_keys(run, view).forEach((key, k) => {
    const { title, plot } = plots[k];
    title.textContent = history_title(run, key);
    const lines = run.modes
      .filter((d) => d.trace[key])
      .map((d) => ({
        type: "scatter",
        mode: "lines",
        name: plain(d.label),
        x: d.trace[key].t,
        y: d.trace[key].v,
        line: { color: mode_colour(d), width: 3, dash: d.dash },
        hovertemplate: `%{y:.3~g}<extra>${plain(d.label)}</extra>`,
      }));
    const values = lines.flatMap((l) => l.y.filter((v) => v > 0));
    const logarithmic = key === "resistance_ohm" && Math.max(...values) > 30 * Math.min(...values);
    plot.setAttribute(
      "aria-label",
      `${title.textContent} over time: ` +
        run.modes.map((d) => `${d.label} ends at ${end_words(run, d, key)}`).join(", "),
    );
    Plotly.react(
      plot,
      lines,
      {
        ...layout_look(),
        width: plot.parentElement.clientWidth,
        height: (projected() ? 8 : 13) * base_size() + 40,
        hovermode: "x unified",
        hoverlabel: { bgcolor: style_value("--panel") },
        margin: { l: 3.6 * base_size(), r: 14, t: 6, b: 3.5 * base_size() },
        xaxis: { ...axis_look(), title: { text: "time [s]", standoff: 4 }, range: [0, view.end] },
        yaxis: {
          ...axis_look(),
          type: logarithmic ? "log" : "linear",
          rangemode: "tozero",
          nticks: projected() ? 4 : 6,
          ...(logarithmic ? { dtick: "D2" } : {}),
        },
        shapes: cursor(view.time),
      },
      plot_options,
    );
  });
}

function move_cursors(view, plots) {
  plots.forEach(({ plot }) => Plotly.relayout(plot, { shapes: cursor(view.time) }));
}

function draw_legend(run) {
  element("legend").replaceChildren(
    ...run.modes.map((d) => {
      const entry = make("span");
      const dashes = {
        solid: "",
        dash: "10 5",
        dashdot: "12 4 3 4",
        dot: "3 4",
        longdash: "16 5",
        longdashdot: "16 4 3 4",
      }[d.dash];
      const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
      svg.setAttribute("width", "52");
      svg.setAttribute("height", "8");
      svg.setAttribute("aria-hidden", "true");
      const line = document.createElementNS("http://www.w3.org/2000/svg", "path");
      line.setAttribute("d", "M0 4H52");
      line.setAttribute("style", `stroke:${mode_colour(d)};stroke-width:4;stroke-dasharray:${dashes}`);
      svg.append(line);
      entry.append(svg, document.createTextNode(`${d.label}, crest factor ${d.shown.crest_factor}`));
      return entry;
    }),
  );
}

function draw_waveforms(run, plots) {
  const highest = 1.15 * Math.max(...run.modes.map((d) => d.waveform.peak));
  run.modes.forEach((d, k) => {
    const { title, plot } = plots[k],
      w = d.waveform;
    title.textContent = `${d.label}: ${w.words}, crest factor ${d.shown.crest_factor}`;
    plot.setAttribute("aria-label", `Waveform of ${title.textContent}; ${d.waveform_words}`);
    const level = (value, dash) => ({
      type: "line",
      x0: 0,
      x1: 1,
      xref: "paper",
      y0: value,
      y1: value,
      line: { color: style_value("--ink"), width: 1.5, dash },
    });
    const words = (text, value, yanchor) => ({
      text,
      x: 1,
      xref: "paper",
      xanchor: "left",
      xshift: 3,
      y: value,
      yanchor,
      showarrow: false,
      font: { size: 0.9 * base_size() },
    });
    const close = w.peak - w.rms < 0.35 * highest;
    Plotly.react(
      plot,
      [
        {
          type: "scatter",
          mode: "lines",
          x: w.t,
          y: w.v,
          line: { color: mode_colour(d), width: 1.6 },
          hoverinfo: "skip",
        },
      ],
      {
        ...layout_look(),
        width: plot.parentElement.clientWidth,
        height: (printing() ? 8 : 10) * base_size() + 30,
        margin: { l: 4.6 * base_size(), r: 2.8 * base_size(), t: 6, b: 3.5 * base_size() },
        xaxis: { ...axis_look(), title: { text: "time [µs]", standoff: 4 }, range: [0, run.waveform_end_us] },
        yaxis: { ...axis_look(), range: [-highest, highest], title: { text: "voltage [V]", standoff: 6 }, nticks: 5 },
        shapes: [level(w.peak, "dash"), level(w.rms, "solid")],
        annotations: [
          words("peak", w.peak, close ? "bottom" : "middle"),
          words("rms", w.rms, close ? "top" : "middle"),
        ],
      },
      plot_options,
    );
  });
}
