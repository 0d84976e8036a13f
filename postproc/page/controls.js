// What the viewer can do, and the order in which things are drawn.
const PLAY_MS = 120; // pause between frames

async function start() {
  const run = JSON.parse(element("run").textContent);
  await unpack_all(run);
  const times = [...new Set(run.modes.flatMap((d) => d.time))].sort((a, b) => a - b);
  const view = {
    field: 0,
    effect: 0,
    quantity: "power_W",
    effects: true,
    isolines: false,
    probe: null,
    modes: [run.left, run.right],
    end: times.at(-1),
    step: times.length - 1,
  };
  const main_effect = run.effects.findIndex((e) => e.name === "coagulation");
  if (main_effect > 0) view.effect = main_effect;
  // For tests and for the curious: the run and what is shown of it.
  document.documentElement.dryfront = { run, view, cell_values: (side, i, j) => cell_values(run, view, side, i, j) };

  let histories = [],
    playing = null,
    size = null;

  function set_sides() {
    view.time = times[view.step];
    view.sides = view.modes.map((index, k) => {
      const mode = run.modes[index];
      return { mode, side: k === 0 ? -1 : 1, frame: frame_at(mode, view.time), time: view.time };
    });
  }

  function draw_section() {
    size = section_size(run);
    element("section-frame").style.width = `${size.width}px`;
    Plotly.react(element("section"), section_traces(run, view), section_layout(run, view, size), plot_options);
    place_handles(run, view);
  }

  function draw_time() {
    set_sides();
    draw_section();
    move_cursors(view, histories);
    move_power_load(view);
    element("time").value = view.step;
    element("time").setAttribute("aria-valuetext", `${view.time.toFixed(2)} seconds`);
    element("time-words").textContent = `${view.time.toFixed(2)} s`;
    if (view.probe) show_probe();
  }

  function draw_all() {
    set_sides();
    view.sides.forEach(({ mode }, k) => {
      const name = k === 0 ? "left" : "right";
      element(`${name}-words`).textContent = `crest factor ${mode.crest_factor.toFixed(2)}`;
      element(`${name}-source`).textContent = mode.source_words;
      element(`${name}-mode`).style.color = mode_colour(mode);
    });
    element("sentence").textContent = sentence(run, view);
    draw_legend(run);
    draw_histories(run, view, histories);
    draw_power_load(run, view);
    draw_waveforms(run, waveform_plots);
    draw_why(run);
    draw_time();
  }

  function go(step) {
    view.step = Math.min(Math.max(step, 0), times.length - 1);
    draw_time();
  }

  function stop() {
    clearTimeout(playing);
    playing = null;
    element("play").setAttribute("aria-pressed", "false");
    element("play").textContent = "▶ Play";
  }

  function play() {
    if (playing !== null) return stop();
    if (view.step === times.length - 1) view.step = -1;
    element("play").setAttribute("aria-pressed", "true");
    element("play").textContent = "❚❚ Pause";
    const next = () => {
      go(view.step + 1);
      if (view.step < times.length - 1) playing = setTimeout(next, PLAY_MS);
      else stop();
    };
    playing = setTimeout(next, 0);
  }

  function show_probe() {
    const { side, i, j } = view.probe;
    element("readout").textContent = cell_words(cell_values(run, view, side, i, j), " · ");
  }

  // The cell below a place of the picture, or null outside the tissue.
  function cell_at(event) {
    const box = element("section").getBoundingClientRect(),
      layout = element("section")._fullLayout;
    const x = layout.xaxis.p2d(event.clientX - box.left - layout._size.l),
      y = layout.yaxis.p2d(event.clientY - box.top - layout._size.t);
    const find = (faces, value) =>
      faces.findIndex((face, k) => k + 1 < faces.length && face <= value && value < faces[k + 1]);
    const i = find(run.grid.r_face, Math.abs(x)),
      j = find(run.grid.z_face, y);
    return i < 0 || j < 0 || Math.abs(x) > run.view.reach || y > run.view.bottom
      ? null
      : { side: x < 0 ? -1 : 1, i, j };
  }

  function point(event) {
    const cell = cell_at(event),
      tip = element("tip");
    tip.hidden = cell === null;
    if (cell === null) return;
    const values = cell_values(run, view, cell.side, cell.i, cell.j);
    tip.textContent = cell_words(values, "\n");
    element("readout").textContent = cell_words(values, " · ");
    const frame = element("section-frame").getBoundingClientRect();
    const x = event.clientX - frame.left,
      y = event.clientY - frame.top;
    tip.style.left = `${x + 16 + tip.offsetWidth > frame.width ? Math.max(x - 16 - tip.offsetWidth, 0) : x + 16}px`;
    tip.style.top = `${y + 16 + tip.offsetHeight > frame.height ? Math.max(y - 16 - tip.offsetHeight, 0) : y + 16}px`;
  }

  function move_probe(event) {
    const step = event.shiftKey ? 5 : 1;
    const move = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key];
    if (!move) return;
    event.preventDefault();
    const p = view.probe ?? { side: 1, i: 0, j: 0 };
    const columns = run.grid.r.length;
    let across = (p.side > 0 ? p.i : -p.i - 1) + (view.probe ? move[0] : 0); // -1 is the first column of the left half
    across = Math.min(Math.max(across, -columns), columns - 1);
    view.probe = {
      side: across < 0 ? -1 : 1,
      i: across < 0 ? -across - 1 : across,
      j: Math.min(Math.max(p.j + (view.probe ? move[1] : 0), 0), run.grid.z.length - 1),
    };
    draw_section();
    show_probe();
  }

  function look(is_dark) {
    document.documentElement.classList.toggle("dark", is_dark);
    element("look").setAttribute("aria-pressed", String(is_dark));
    draw_all();
  }

  async function save() {
    const words = view.sides.map(({ mode, side }) => ({
      text: `<b>${plain(mode.label)}</b>, crest factor ${mode.crest_factor.toFixed(2)}`,
      showarrow: false,
      x: side < 0 ? 0 : 1,
      xref: "paper",
      xanchor: side < 0 ? "left" : "right",
      y: 1,
      yref: "paper",
      yanchor: "bottom",
      font: { color: mode_colour(mode), size: 1.1 * base_size() },
    }));
    const layout = section_layout(run, view, size);
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
      { data: section_traces(run, view), layout, config: plot_options },
      {
        format: "png",
        scale: 2,
        width: layout.width,
        height: layout.height,
        filename: `${run.file.replace(/\.h5$/, "")}_${view.time.toFixed(2)}s`,
      },
    );
  }

  draw_words(run);
  draw_numbers(run);
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
      draw_section();
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
    draw_histories(run, view, histories);
  });
  element("show-effects").addEventListener("change", (event) => {
    view.effects = event.target.checked;
    draw_section();
  });
  element("show-isolines").addEventListener("change", (event) => {
    view.isolines = event.target.checked;
    draw_section();
  });
  element("time").max = times.length - 1;
  element("time").addEventListener("input", (event) => {
    stop();
    go(Number(event.target.value));
  });
  element("play").addEventListener("click", play);
  element("back").addEventListener("click", () => {
    stop();
    go(view.step - 1);
  });
  element("forth").addEventListener("click", () => {
    stop();
    go(view.step + 1);
  });
  element("researchers").addEventListener("toggle", () => draw_why(run));
  element("save").addEventListener("click", save);
  element("print").addEventListener("click", () => window.print());
  element("look").addEventListener("click", () => look(!dark()));
  element("section").addEventListener("keydown", move_probe);
  element("section-frame").addEventListener("pointermove", point);
  element("section-frame").addEventListener("pointerdown", point);
  element("section-frame").addEventListener("pointerleave", () => {
    element("tip").hidden = true;
  });
  document.addEventListener("keydown", (event) => {
    if (
      event.ctrlKey ||
      event.metaKey ||
      event.altKey ||
      /^(INPUT|SELECT|BUTTON|TEXTAREA|SUMMARY)$/.test(event.target.tagName)
    )
      return;
    if (event.key === " ") {
      event.preventDefault();
      play();
    }
    if (event.key === ",") {
      stop();
      go(view.step - 1);
    }
    if (event.key === ".") {
      stop();
      go(view.step + 1);
    }
  });
  histories = make_plots(element("histories"), 3, "history");
  const waveform_plots = make_plots(element("waveforms"), run.modes.length, "waveform");
  set_sides();
  measured_controls(run, view, draw_section);
  let resized = null;
  window.addEventListener("resize", () => {
    clearTimeout(resized);
    resized = setTimeout(draw_all, 150);
  });
  let dark_before_print = false;
  const print_look = (printing) => {
    document.body.classList.toggle("printing", printing);
    look(!printing && dark_before_print);
  };
  window.addEventListener("beforeprint", () => {
    dark_before_print = dark();
    print_look(true);
  });
  window.addEventListener("afterprint", () => print_look(false));
  look(window.matchMedia("(prefers-color-scheme: dark)").matches);
  document.documentElement.dataset.ready = "yes";
}

start().catch((error) => {
  document.body.prepend(
    make("p", `This page could not be drawn: ${error.message}. A browser of 2023 or later is needed.`, {
      role: "alert",
    }),
  );
  throw error;
});
