// Power against load: the curves of the shown modes, the path of each on its curve, and a dot at the shown time.
const EVENT_SYMBOLS = { "arcing sets in": "star", "dried out": "square" };
const EVENT_SIZES = { "arcing sets in": 20, "dried out": 14 };

// The modes of both halves, one where they are the same.
const compared_modes = (view) => [...new Set(view.sides.map((s) => s.mode))];

// Load and power at a time, the load by its logarithm; where the current is off, where it ended. Null without a path.
function operating_point(mode, time) {
  const path = mode.power_load.path;
  if (!path) return null;
  const last = path.t.length - 1,
    after = path.t.findIndex((t) => t >= time),
    right = after < 0 ? last : Math.max(after, Math.min(1, last)),
    left = Math.max(right - 1, 0);
  const span = path.t[right] - path.t[left],
    share = span > 0 ? Math.min(Math.max((time - path.t[left]) / span, 0), 1) : 1;
  const between = (values) => values[left] + share * (values[right] - values[left]);
  return {
    load: Math.exp(between(path.load.map(Math.log))),
    power: between(path.power),
    flows: time <= Math.max(mode.activation, path.t[last]) + 1e-9,
  };
}

function point_words(run, mode, time) {
  const point = operating_point(mode, time);
  if (!point) return `“${mode.label}” no current`;
  return point.flows
    ? `“${mode.label}” ${as_shown(run, "power", point.power)} into ${as_shown(run, "resistance", point.load)}`
    : `“${mode.label}” current off`;
}

// Marks on the path of one mode; those of the first stay to be seen below those of the second.
function path_traces(mode, first) {
  const colour = mode_colour(mode),
    part = mode.power_load,
    scale = first ? 1.3 : 1;
  if (!part.path) return [];
  const trace = (name, points, look) => ({
    type: "scatter",
    mode: "markers",
    name: `${name} ${plain(mode.label)}`,
    showlegend: false,
    x: points.load,
    y: points.power,
    hoverinfo: "skip",
    ...look,
  });
  const ink = style_value("--ink"),
    paper = style_value("--paper");
  return [
    trace("path", part.path, { mode: "lines", line: { color: colour, width: 11 }, opacity: 0.35 }),
    trace("seconds", part.seconds, {
      marker: { size: 8 * scale, color: colour, line: { color: paper, width: 1 } },
      customdata: part.seconds.t,
      hoverinfo: undefined,
      hovertemplate: `%{customdata:.3~g} s: %{y:.3~g} W into %{x:.3~g} ohm<extra>${plain(mode.label)}</extra>`,
    }),
    trace("start", { load: part.path.load.slice(0, 1), power: part.path.power.slice(0, 1) }, {
      marker: { size: 15 * scale, symbol: "circle-open", color: colour, line: { width: 2.5 } },
    }),
    ...Object.entries(part.events).map(([word, points]) =>
      trace(word, points, {
        marker: {
          size: EVENT_SIZES[word] * scale,
          symbol: EVENT_SYMBOLS[word],
          color: colour,
          line: { color: ink, width: 1.5 },
        },
        hoverinfo: undefined,
        hovertemplate: `${word} at ${points.t[0].toFixed(2)} s<extra>${plain(mode.label)}</extra>`,
      }),
    ),
  ];
}

// What the marks mean, in the legend alone; of the events those that came.
function mark_legend(modes) {
  const colour = style_value("--quiet");
  const entry = (name, marker) => ({
    type: "scatter",
    mode: "markers",
    name,
    x: [null],
    y: [null],
    marker: { color: colour, ...marker },
    hoverinfo: "skip",
  });
  const came = Object.keys(EVENT_SYMBOLS).filter((word) => modes.some((d) => word in d.power_load.events));
  return [
    entry("start", { size: 14, symbol: "circle-open", line: { width: 2.5 } }),
    entry("every second", { size: 8 }),
    ...came.map((word) => entry(word, { size: EVENT_SIZES[word], symbol: EVENT_SYMBOLS[word] })),
    entry("now", now_marker(colour, true)),
  ];
}

const now_marker = (colour, flows) => ({
  size: 20,
  symbol: flows ? "circle-dot" : "circle-open-dot",
  color: colour,
  line: { color: flows ? style_value("--ink") : colour, width: 2.5 },
});

function now_traces(view) {
  return compared_modes(view).map((mode) => {
    const point = operating_point(mode, view.time);
    return {
      type: "scatter",
      mode: "markers",
      name: `now ${plain(mode.label)}`,
      showlegend: false,
      x: point ? [point.load] : [],
      y: point ? [point.power] : [],
      marker: now_marker(mode_colour(mode), !point || point.flows),
      hoverinfo: "skip",
    };
  });
}

function rated_loads(modes, [low, high]) {
  const loads = [...new Set(modes.map((d) => d.power_load.rated_load))].filter((r) => r && r >= low && r <= high);
  return {
    shapes: loads.map((load) => ({
      type: "line",
      layer: "below",
      x0: load,
      x1: load,
      y0: 0,
      y1: 1,
      yref: "paper",
      line: { color: style_value("--quiet"), width: 1.5, dash: "4px,4px" },
    })),
    annotations: loads.map((load) => ({
      text: `rated load ${significant(load)} ohm`,
      x: Math.log10(load),
      y: 0,
      yref: "paper",
      yanchor: "bottom",
      xanchor: load * load > low * high ? "right" : "left",
      xshift: load * load > low * high ? -4 : 4,
      showarrow: false,
    })),
  };
}

function draw_power_load(run, view) {
  const plot = element("power-load"),
    modes = compared_modes(view),
    range = run.power_load_range,
    words = run.power_load_words[view.modes[0]][view.modes[1]];
  const curves = modes.map((d) => {
    const { load_ohm: load, power_W: power, peak_V: peak, current_A: current } = d.power_load.curve;
    return {
      type: "scatter",
      mode: "lines",
      name: plain(d.label),
      x: load,
      y: power,
      customdata: peak.map((v, k) => [significant(v), significant(current[k])]),
      line: { color: mode_colour(d), width: 3.5, dash: d.dash },
      hovertemplate:
        "%{y:.3~g} W into %{x:.3~g} ohm, %{customdata[0]} V peak, %{customdata[1]} A" +
        `<extra>${plain(d.label)}</extra>`,
    };
  });
  const paths = modes.flatMap((d, k) => path_traces(d, k + 1 < modes.length));
  const highest = Math.max(
    ...modes.flatMap((d) =>
      d.power_load.curve.power_W.filter((_, k) => {
        const load = d.power_load.curve.load_ohm[k];
        return load >= range[0] && load <= range[1];
      }),
    ),
  );
  element("power-load-words").replaceChildren(
    ...words.map(([heading, text]) => {
      const line = make("li");
      line.append(make("strong", heading), document.createTextNode(` ${text}`));
      return line;
    }),
  );
  plot.setAttribute("aria-label", `Power against load. ${words.map(([, text]) => text).join(" ")}`);
  const decades = range.map(Math.log10),
    ticks = [];
  for (let decade = decades[0]; decade <= decades[1]; ++decade) {
    ticks.push(...(narrow() ? [1] : [1, 2, 5]).map((k) => k * 10 ** decade).filter((load) => load <= range[1]));
  }
  Plotly.react(
    plot,
    [...curves, ...paths, ...mark_legend(modes), ...now_traces(view)],
    {
      ...layout_look(),
      width: plot.parentElement.clientWidth,
      height: 20 * base_size() + 60,
      showlegend: true,
      legend: { orientation: "h", x: 0, y: 1.01, yanchor: "bottom", itemclick: false, itemdoubleclick: false },
      hovermode: "closest",
      hoverlabel: { bgcolor: style_value("--panel") },
      margin: { l: 4 * base_size(), r: 2.2 * base_size(), t: 10, b: 3.5 * base_size() },
      xaxis: {
        ...axis_look(),
        type: "log",
        title: { text: "load [ohm]", standoff: 4 },
        range: decades,
        ticklabeloverflow: "allow",
        tickvals: ticks,
        ticktext: ticks.map((load) => load.toLocaleString("en").replace(",", " ")),
      },
      yaxis: { ...axis_look(), title: { text: "power [W]", standoff: 6 }, range: [0, 1.22 * highest], nticks: 7 },
      ...rated_loads(modes, range),
    },
    plot_options,
  );
  say_operating_points(run, view);
}

function say_operating_points(run, view) {
  element("power-load-now").textContent =
    `At ${view.time.toFixed(2)} s: ` +
    compared_modes(view)
      .map((mode) => point_words(run, mode, view.time))
      .join("; ");
}

function move_power_load(run, view) {
  const plot = element("power-load"),
    now = now_traces(view);
  const places = now.map((_, k) => plot.data.length - now.length + k);
  Plotly.restyle(
    plot,
    { x: now.map((t) => t.x), y: now.map((t) => t.y), marker: now.map((t) => t.marker) },
    places,
  );
  say_operating_points(run, view);
}
