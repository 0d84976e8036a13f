// Moving through time: the slider, playing by the clock at a chosen speed, and marks of what happens when.
const QUICK_S = 6; // the whole run in this time
const PAUSE_MS = 40; // at least between frames
const SPEEDS = [
  { words: "real time", rate: () => 1 },
  { words: "slow, a quarter", rate: () => 0.25 },
  { words: `quick, all in ${QUICK_S} s`, rate: (end) => end / QUICK_S },
];
const LONGEST_REAL_TIME_S = 20; // longer runs start with the quick speed

// What happens in the two modes shown, in order of time.
function events_of(run, view) {
  const found = [...new Set(view.modes)].flatMap((index) => {
    const mode = run.modes[index],
      half = view.modes[0] === view.modes[1] ? "both" : index === view.modes[0] ? "left" : "right";
    return [
      ["arcing from", mode.summary.arcing_s],
      ["dry-out", mode.summary.dry_out_s],
      ["current off", mode.activation],
    ]
      .filter(([, time]) => typeof time === "number" && time >= 0 && time <= view.end)
      .map(([words, time]) => ({ half, words, time }));
  });
  // What happens to both at the same time is one mark.
  const joined = [];
  for (const event of found) {
    const same = joined.find((e) => e.words === event.words && e.time === event.time);
    if (same) same.half = "both";
    else joined.push(event);
  }
  return joined.sort((a, b) => a.time - b.time);
}

// Where the slider's thumb is at a time, as a share of its way.
function share_at(times, time) {
  const k = times.findIndex((t) => t >= time);
  if (k <= 0) return 0;
  return (k - 1 + (time - times[k - 1]) / (times[k] - times[k - 1])) / (times.length - 1);
}

function draw_markers(run, view, times, go) {
  const events = events_of(run, view);
  element("ticks").replaceChildren(
    ...events.map(({ half, time }) => {
      const tick = make("i", undefined, { class: half });
      tick.style.setProperty("--share", share_at(times, time));
      return tick;
    }),
  );
  element("markers").replaceChildren(
    ...events.map(({ half, words, time }) => {
      const entry = make("li"),
        button = make("button", `${half}: ${words} ${time.toFixed(2)} s`, { type: "button", class: half });
      button.addEventListener("click", () => go(times.findIndex((t) => t >= time - 1e-9)));
      entry.append(button);
      return entry;
    }),
  );
}

// `page` hands round view, times, go(step) and hears of playing by `played(is_playing)`.
function make_player(page) {
  const { view, times } = page,
    last = times.length - 1;
  let timer = null;
  SPEEDS.forEach(({ words }, k) => element("speed").append(make("option", words, { value: k })));
  element("speed").value = view.end > LONGEST_REAL_TIME_S ? 2 : 0;

  function show(playing) {
    element("play").setAttribute("aria-pressed", String(playing));
    element("play").textContent = playing ? "❚❚ Pause" : "▶ Play";
    page.played(playing);
  }

  function stop() {
    clearTimeout(timer);
    timer = null;
    show(false);
  }

  function play() {
    if (timer !== null) return stop();
    if (view.step === last) page.go(0);
    let time = times[view.step],
      clock = performance.now();
    const next = () => {
      const now = performance.now();
      time += ((now - clock) / 1000) * SPEEDS[element("speed").value].rate(view.end);
      clock = now;
      let step = view.step;
      while (step < last && times[step + 1] <= time) step++;
      if (step !== view.step) page.go(step);
      if (step === last) return stop();
      timer = setTimeout(next, PAUSE_MS);
    };
    timer = setTimeout(next, PAUSE_MS);
    show(true);
  }

  const step_to = (step) => {
    stop();
    page.go(step);
  };
  element("time").max = last;
  element("time").addEventListener("input", (event) => step_to(Number(event.target.value)));
  element("play").addEventListener("click", play);
  element("back").addEventListener("click", () => step_to(view.step - 1));
  element("forth").addEventListener("click", () => step_to(view.step + 1));
  return { play, stop, step_to, playing: () => timer !== null };
}
