"""The shares of what differs between two modes in their depths, as the command why put them into the run file."""

import textwrap

import appearance
import comparison
import describe
import palette

HOW_TO_READ = (
    "Bars: the mean, over all orders in which the first mode's things can be exchanged for the second's, of what each "
    "adds to the difference (Shapley values, they add up to it). Lines: from the least to the greatest it adds in any "
    "order. "
    "The shares are the model's.")


def draw_shares(axes, run, fontsize):
    """A horizontal bar for each thing that differs [mm], the span over all orders as a line, the number beside it."""
    shares = describe.shares(run)
    colours = {mode.name: appearance.mode_line(position)["color"] for position, mode in enumerate(run.modes)}
    first, second = (colours[mode["name"]] for mode in run.why["modes"])
    low = min([0.0, *(least for _, _, least, _, _ in shares)])
    high = max([0.0, *(greatest for _, _, _, greatest, _ in shares)])
    room = max(high - low, 0.01)
    for row, (name, share, least, greatest, _) in enumerate(shares):
        axes.barh(row, share, height=0.56, color=first if share > 0 else second, gid=f"share {name}")
        axes.plot([least, greatest], [row, row], color=palette.INK, linewidth=1.3, marker="|", markersize=fontsize,
                  gid=f"span {name}", zorder=4)
        axes.text(high + 0.05*room, row, f"{round(share, 2) + 0.0:+.2f}", va="center", fontsize=fontsize, weight="bold")
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
    first, second = (mode["label"] for mode in run.why["modes"])
    return f"\u2190 takes {second} deeper    share [mm]    takes {first} deeper \u2192"


def why_figure(plt, run):
    """What the power did, the bars with the sentence of each beside it, and what has no share."""
    shares, (power, others) = describe.shares(run), describe.shares_beside(run)
    below = "\n".join(textwrap.fill(sentence, 150) for sentence in others)
    row, head, wide, left = 1.02, 2.1, 4.6, 1.55
    foot = 1.5 + 0.21 * (below.count("\n") + 1)
    figure = plt.figure(figsize=(comparison.WIDTH, foot + head + row * max(len(shares), 1)))
    top = figure.get_figheight()
    if shares:
        axes = figure.add_axes(comparison.fractions(figure, (left, foot, wide, row * len(shares))), label="shares")
        draw_shares(axes, run, 14)
        appearance.shrink_to(axes.set_xlabel(directions(run), fontsize=11.5), wide + 0.3)
    for position, (*_, sentence) in enumerate(shares):
        comparison.note(figure,
                        left + wide + 0.35,
                        top - head - row * (position+0.5),
                        textwrap.fill(sentence, 74),
                        va="center",
                        fontsize=11.5,
                        linespacing=1.3)
    title = comparison.note(figure,
                            0.5,
                            top - 0.2,
                            f"Why: {run.title or run.path.stem}",
                            fontsize=20,
                            weight="bold",
                            va="top")
    appearance.shrink_to(title, comparison.WIDTH - 1)
    words = comparison.note(figure,
                            0.5,
                            top - 0.7,
                            textwrap.fill(describe.shares_words(run), 130),
                            fontsize=13.5,
                            va="top")
    appearance.shrink_to(words, comparison.WIDTH - 0.8)
    comparison.note(figure, 0.5, top - 1.3, textwrap.fill(power, 140), fontsize=12.5, va="top")
    comparison.note(figure, 0.5, foot - 0.65, below, fontsize=11.5, va="top", linespacing=1.3)
    comparison.note(figure, 0.5, 0.42, textwrap.fill(HOW_TO_READ, 150), fontsize=11, va="bottom", color=palette.QUIET)
    appearance.caution(figure)
    return figure
