// What is shown: the two modes, the field, the lines, the quantities of the histories; the picture saved as a file.
function choices({ run, view, draw_all, redraw }) {
  run.modes.forEach((d, k) =>
    ["left", "right"].forEach((name) => element(`${name}-mode`).append(make("option", d.label, { value: k }))),
  );
  ["left", "right"].forEach((name, k) => {
    element(`${name}-mode`).value = view.modes[k];
    element(`${name}-mode`).addEventListener("change", (event) => {
      view.modes[k] = Number(event.target.value);
      draw_all();
    });
  });
  run.fields.forEach((field, k) => {
    const label = make("label"),
      input = make("input", undefined, { type: "radio", name: "field", value: k });
    input.checked = k === 0;
    input.addEventListener("change", () => {
      view.field = k;
      element("isoline-label").hidden = !field.isolines.length;
      redraw();
    });
    label.append(input, document.createTextNode(field.label.replace(/ \[.*| ?1 −.*/, "").replace(/,$/, "")));
    element("fields").append(label);
  });
  run.effects.forEach((e, k) => element("effect").append(make("option", e.words, { value: k })));
  element("effect").value = view.effect;
  element("effect").addEventListener("change", (event) => {
    view.effect = Number(event.target.value);
    draw_all();
  });
  Object.entries(run.histories)
    .filter(([key]) => key !== "resistance_ohm")
    .forEach(([key, words]) => element("quantity").append(make("option", words, { value: key })));
  element("quantity").addEventListener("change", (event) => {
    view.quantity = event.target.value;
    draw_all();
  });
  element("show-effects").addEventListener("change", (event) => {
    view.effects = event.target.checked;
    redraw();
  });
  element("show-isolines").addEventListener("change", (event) => {
    view.isolines = event.target.checked;
    redraw();
  });
}

async function save_picture(run, view, size) {
  const words = view.sides.map(({ mode, side }) => ({
    text: `<b>${plain(mode.label)}</b>, crest factor ${mode.shown.crest_factor}`,
    showarrow: false,
    x: side < 0 ? 0 : 1,
    xref: "paper",
    xanchor: side < 0 ? "left" : "right",
    y: 1,
    yref: "paper",
    yanchor: "bottom",
    font: { size: 1.1 * base_size() },
  }));
  const { traces, layout } = section_figure(run, view, size);
  const caution = {
    text: plain(run.caution),
    showarrow: false,
    x: 0.5,
    xref: "paper",
    y: 0,
    yref: "paper",
    yanchor: "top",
    yshift: -3.6 * base_size(),
    font: { size: 0.62 * base_size() },
  };
  layout.margin = { ...layout.margin, t: 78, b: 5 * base_size() };
  layout.height += 78 - size.margin.t + 5 * base_size() - size.margin.b;
  layout.title = { text: `${plain(run.title)}, ${view.time.toFixed(2)} s`, x: 0.02, y: 0.98, yanchor: "top" };
  layout.annotations = [...layout.annotations, ...words, caution];
  await Plotly.downloadImage(
    { data: traces, layout, config: plot_options },
    {
      format: "png",
      scale: 2,
      width: layout.width,
      height: layout.height,
      filename: `${run.file.replace(/\.h5$/, "")}_${view.time.toFixed(2)}s`,
    },
  );
}
