"""Packs an array over time for the page: whole numbers of a quantum, difference in time, byte shuffle, deflate, base64.

Unpacked by page/unpacking.js with the browser's own DecompressionStream. The quantum is finer than what the page
prints.
"""

import base64
import zlib

import numpy as np

LARGEST = 65535


def pack(values, low, high, quantum):
    """Values (frame, ...) in [low, high], clipped; the quantum grows where 16 bits would not reach. A plain dict."""
    step = max(quantum, (high - low) / LARGEST)
    whole = np.rint((np.clip(np.nan_to_num(values, nan=low), low, high) - low) / step).astype(np.uint16)
    flat = whole.reshape(whole.shape[0], -1)
    difference = flat.copy()
    difference[1:] -= flat[:-1]  # modulo 2^16, as the page adds them up again
    planes = difference.reshape(-1).view(np.uint8).reshape(-1, 2).T
    deflate = zlib.compressobj(9, zlib.DEFLATED, -15)
    packed = deflate.compress(np.ascontiguousarray(planes).tobytes()) + deflate.flush()
    return {"low": float(low), "step": float(step), "frames": int(flat.shape[0]), "size": int(flat.shape[1]),
            "packed": base64.b64encode(packed).decode("ascii")}


def thinned(time, values, buckets=400):
    """A line with at most four points a bucket of equal time: first, least, greatest, last. It looks the same."""
    if len(time) <= 4 * buckets:
        return time, values
    bucket = np.minimum(((time - time[0]) / (time[-1] - time[0]) * buckets).astype(int), buckets - 1)
    keep = []
    for first, last in runs_of(bucket):
        part = np.nan_to_num(values[first:last], nan=0.0, posinf=0.0, neginf=0.0)
        keep += [first, first + int(part.argmin()), first + int(part.argmax()), last - 1]
    keep = np.unique(keep)
    return time[keep], values[keep]


def runs_of(bucket):
    starts = np.flatnonzero(np.concatenate([[True], np.diff(bucket) != 0]))
    return zip(starts, np.concatenate([starts[1:], [len(bucket)]]))
