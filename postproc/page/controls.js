// What the viewer can do, and the order in which things are drawn.
async function start() {
  const run = JSON.parse(element("run").textContent);
  await unpack_all(run);
  run.answer_view = run.view;
  const times = [...new Set(run.modes.flatMap((d) => d.time))].sort((a, b) => a - b);
  const main_effect = Math.max(
    run.effects.findIndex((e) => e.name === "coagulation"),
    0,
  );
  const view = {
    field: 0,
    effect: main_effect,
    predicted_effect: main_effect,
    quantity: "power_W",
    effects: true,
    isolines: false,
    probe: null,
    modes: [run.left, run.right],
    end: times.at(-1),
    step: times.length - 1,
    stage: "question",
    predictions: new Map(), // by the mode's place in the run: what was typed and its value
    sections: [], // as measured
    active: null, // the one whose handles are shown
    drawing: null, // the one whose outline is drawn
  };

  let histories = [],
    waveform_plots = [],
    size = null;
  const page = { run, view, times, go, draw_all, redraw: draw_section, set_stage, run_it, to_the_end, played };
  // For tests and for the curious: the run, what is shown of it, how loud the arcing of each half is.
  const seen = { run, view, cell_values: (side, i, j) => cell_values(run, view, side, i, j), sound: [0, 0] };
  document.documentElement.dryfront = seen;

  function set_sides() {
    view.time = times[view.step];
    view.sides = view.modes.map((index, k) => {
      const mode = run.modes[index];
      return { mode, side: k === 0 ? -1 : 1, frame: frame_at(mode, view.time), time: view.time };
    });
  }

  function draw_section() {
    run.view = shown_frame(run, view);
    size = section_size(run);
    element("section-frame").style.width = `${size.width}px`;
    const { traces, layout } = section_figure(run, view, size);
    Plotly.react(element("section"), traces, layout, plot_options);
    predicting.place();
    measuring.place();
  }

  function draw_time() {
    set_sides();
    draw_section();
    if (view.stage === "answer") {
      move_cursors(view, histories);
      move_power_load(run, view);
    }
    element("time").value = view.step;
    element("time").setAttribute("aria-valuetext", `${view.time.toFixed(2)} seconds`);
    element("time-words").textContent = `${view.time.toFixed(2)} s`;
    seen.sound = sound_now(view.sides, player.playing());
    speak();
    read_probe();
  }

  function draw_modes() {
    view.sides.forEach(({ mode }, k) => {
      const name = k === 0 ? "left" : "right";
      element(`${name}-words`).textContent = `crest factor ${mode.shown.crest_factor}`;
      element(`${name}-source`).textContent = mode.source_words;
      element(`${name}-mode`).style.borderBottomColor = mode_colour(mode);
      element(`${name}-mode`).style.borderBottomStyle = mode.dash.includes("dash")
        ? "dashed"
        : mode.dash === "dot"
          ? "dotted"
          : "solid";
    });
  }

  function draw_all() {
    set_sides();
    draw_modes();
    predicting.update();
    draw_verdict(run, view);
    draw_waveforms(run, waveform_plots);
    if (view.stage === "answer") draw_answer();
    else element("sentence").textContent = "";
    draw_markers(run, view, times, player.step_to);
    draw_time();
    fit_projected();
  }

  // What tells the depth; drawn when it may be seen and not before.
  function draw_answer() {
    element("sentence").textContent = sentence(run, view);
    if (!element("numbers").tHead) {
      draw_numbers(run);
      name_cells(element("numbers"));
      print_table(element("numbers"), element("printed-numbers"));
    }
    // On a projector only the two modes that are compared.
    const drawn = projected() ? { ...run, modes: [...new Set(view.sides.map((s) => s.mode))] } : run;
    draw_legend(drawn);
    draw_histories(drawn, view, histories);
    draw_power_load(run, view);
    draw_history_words(drawn, view, histories);
    history_keys(run, view).forEach((key, k) => {
      element("projected").options[k].textContent = history_title(run, key);
    });
    draw_why(run);
  }

  function go(step) {
    view.step = Math.min(Math.max(step, 0), times.length - 1);
    if (view.stage === "running" && view.step === times.length - 1) return to_the_end();
    draw_time();
  }

  function played(playing) {
    if (!playing) seen.sound = sound_now(view.sides, false);
  }

  function set_stage(stage) {
    player.stop();
    measuring.stop_drawing();
    if (stage === "answer") view.step = times.length - 1;
    if (stage === "question") view.probe = null;
    show_stage(view, stage);
    if (stage === "answer" && projected()) element("measured").open = true;
    draw_all();
  }

  function run_it() {
    view.step = 0;
    set_stage("running");
    element("play").focus();
    player.play();
  }

  function to_the_end() {
    set_stage("answer");
    element("answer").focus({ preventScroll: true });
    window.scrollTo(0, 0);
  }

  draw_words(run);
  set_sides();
  const predicting = predict_controls(page);
  const measuring = measured_controls(page);
  const player = make_player(page);
  const sound_now = arcing_sound();
  const speak = make_speaker(run, view);
  const read_probe = readout_controls(page);
  choices(page);
  element("researchers").addEventListener("toggle", () => draw_why(run));
  element("save").addEventListener("click", () => save_picture(run, view, size));
  histories = make_plots(element("histories"), 3, "history");
  waveform_plots = make_plots(element("waveforms"), run.modes.length, "waveform");
  histories.forEach(({ plot }, k) => element("projected").append(make("option", plot.id, { value: k })));
  const project_plot = () =>
    histories.forEach(({ plot }, k) => {
      plot.parentElement.classList.toggle("projected", k === Number(element("projected").value));
    });
  element("projected").value = 2;
  element("projected").addEventListener("change", project_plot);
  project_plot();
  show_stage(view, stage_switch(set_stage));
  element("show-at-once").checked = view.stage === "answer";
  const { look, project } = layout_controls(page);
  const may_move = (action) => () => view.stage !== "question" && action();
  key_controls({
    ",": may_move(() => player.step_to(view.step - 1)),
    ".": may_move(() => player.step_to(view.step + 1)),
    k: may_move(player.play),
    p: () => project(!projected()),
    d: () => look(!dark()),
  });
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
