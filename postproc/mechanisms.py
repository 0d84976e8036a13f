"""The shares of the mechanisms in the difference of the depths, as the command why put them into the run file."""

import textwrap

import appearance
import comparison
import describe
import palette

HOW_TO_READ = ("Bars: the mean, over all orders in which the mechanisms can be switched on, of what each adds to the difference "
               "(Shapley values, they add up to it). Lines: from the least to the greatest it adds in any order. "
               "The shares are the model's.")


def draw_shares(axes, run, fontsize):
    """A horizontal bar for each mechanism [mm], the span over all orders as a line across it, the number at the right."""
    shares = describe.shares(run)
    colours = {mode.name: appearance.mode_line(position)["color"] for position, mode in enumerate(run.modes)}
    first, second = (colours[mode["name"]] for mode in run.why["modes"])
    low = min(0.0, *(least for _, _, least, _ in shares))
    high = max(0.0, *(greatest for _, _, _, greatest in shares))
    room = max(high - low, 0.01)
    for row, (name, share, least, greatest) in enumerate(shares):
        axes.barh(row, share, height=0.56, color=first if share > 0 else second, gid=f"share {name}")
        axes.plot([least, greatest], [row, row], color=palette.INK, linewidth=1.3, marker="|", markersize=fontsize,
                  gid=f"span {name}", zorder=4)
        axes.text(high + 0.05 * room, row, f"{round(share, 2) + 0.0:+.2f}", va="center", fontsize=fontsize, weight="bold")
    axes.axvline(0, color=palette.INK, linewidth=1)
    axes.set_yticks(range(len(shares)), [name for name, *_ in shares])
    axes.set_ylim(len(shares) - 0.5, -0.5)
    axes.set_xlim(low - 0.05 * room, high + 0.3 * room)
    axes.tick_params(labelsize=fontsize)
    axes.tick_params(axis="y", length=0)
    axes.grid(axis="y", visible=False)
    axes.spines["left"].set_visible(False)


def directions(run):
    """What the two sides of zero mean."""
    first, second = (mode["name"] for mode in run.why["modes"])
    return f"\u2190 takes {second} deeper    share [mm]    takes {first} deeper \u2192"


def why_figure(plt, run):
    """The bars, and beside each the sentence that says it with this case's numbers."""
    shares = describe.shares(run)
    row, foot, head, wide, left = 1.02, 1.45, 1.5, 4.6, 1.55
    figure = plt.figure(figsize=(comparison.WIDTH, foot + head + row * len(shares)))
    top = figure.get_figheight()
    axes = figure.add_axes(comparison.fractions(figure, (left, foot, wide, row * len(shares))), label="shares")
    draw_shares(axes, run, 14)
    appearance.shrink_to(axes.set_xlabel(directions(run), fontsize=11.5), wide + 0.3)
    for position, (name, *_) in enumerate(shares):
        words = textwrap.fill(run.why["sentences"][name], 74)
        comparison.note(figure, left + wide + 0.35, top - head - row * (position + 0.5), words, va="center", fontsize=11.5,
                        linespacing=1.3)
    title = comparison.note(figure, 0.5, top - 0.2, f"Why: {run.title or run.path.stem}", fontsize=20, weight="bold", va="top")
    appearance.shrink_to(title, comparison.WIDTH - 1)
    words = comparison.note(figure, 0.5, top - 0.7, textwrap.fill(describe.shares_words(run), 130), fontsize=13.5, va="top")
    appearance.shrink_to(words, comparison.WIDTH - 0.8)
    comparison.note(figure, 0.5, 0.42, textwrap.fill(HOW_TO_READ, 150), fontsize=11, va="bottom", color=palette.QUIET)
    appearance.caution(figure)
    return figure
