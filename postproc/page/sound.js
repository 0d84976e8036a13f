// Noise while the contact arcs, each half on its own side, as loud as the share of the current through arcs.
const LEAST_ARCING = 0.01; // share from which the picture speaks of arcing, too
const LOUDEST = 0.25;

function arcing_sound() {
  const Context = window.AudioContext ?? window.webkitAudioContext;
  let context = null,
    gains = [];
  if (!Context) {
    element("sound").disabled = true;
    element("sound").parentElement.append(document.createTextNode(" (this browser has none)"));
  }

  // A second of noise, in bursts as sparks come: the loudness of each hundredth is drawn by chance.
  function noise() {
    const buffer = context.createBuffer(1, context.sampleRate, context.sampleRate),
      samples = buffer.getChannelData(0),
      burst = Math.round(context.sampleRate / 100);
    let loud = 1;
    for (let k = 0; k < samples.length; k++) {
      if (k % burst === 0) loud = Math.random() ** 2;
      samples[k] = loud * (2 * Math.random() - 1);
    }
    return buffer;
  }

  function make_context() {
    context = new Context();
    gains = [-1, 1].map((side) => {
      const source = new AudioBufferSourceNode(context, { buffer: noise(), loop: true }),
        high = new BiquadFilterNode(context, { type: "highpass", frequency: 900 }),
        gain = new GainNode(context, { gain: 0 }),
        pan = new StereoPannerNode(context, { pan: 0.7 * side });
      source.connect(high).connect(gain).connect(pan).connect(context.destination);
      source.start();
      return gain;
    });
  }

  element("sound").addEventListener("change", (event) => {
    if (event.target.checked && context === null) make_context();
    if (context !== null) event.target.checked ? context.resume() : context.suspend();
  });

  // Loudness of both halves at the shown time; silent while nothing plays. Returned for tests.
  return function sound_now(sides, playing) {
    const on = playing && element("sound").checked && context !== null;
    return sides.map(({ mode, time }, k) => {
      const share = on && time <= mode.activation ? value_at(mode.trace.arcing_share, time) : 0;
      const loudness = share > LEAST_ARCING ? LOUDEST * (0.3 + 0.7 * Math.min(share, 1)) : 0;
      gains[k]?.gain.setTargetAtTime(loudness, context.currentTime, 0.02);
      return loudness;
    });
  };
}
