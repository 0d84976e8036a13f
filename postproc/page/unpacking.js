// Unpacks what packing.py packed: base64, raw deflate, byte planes, differences in time.
async function unpack(packed) {
  const bytes = Uint8Array.from(atob(packed.packed), (c) => c.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
  const planes = new Uint8Array(await new Response(stream).arrayBuffer());
  const count = packed.frames * packed.size;
  const whole = new Uint16Array(count);
  for (let k = 0; k < count; k++) {
    const earlier = k < packed.size ? 0 : whole[k - packed.size];
    whole[k] = planes[k] + (planes[count + k] << 8) + earlier;  // modulo 2^16 by the array's type
  }
  packed.packed = null;
  return { ...packed, whole, at: (frame, cell) => packed.low + packed.step * whole[frame * packed.size + cell] };
}

async function unpack_all(run) {
  for (const mode of run.modes) {
    for (const group of [mode.fields, mode.depth, mode.lines, mode.regions]) {
      for (const key of Object.keys(group)) group[key] = await unpack(group[key]);
    }
  }
}
