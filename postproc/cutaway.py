"""The section in the colours of a cut specimen: an illustration beside the scientific picture.

The outlines are those that the section draws as lines; the colours are chosen.
"""

from matplotlib.patches import Patch, PathPatch, Rectangle

import appearance
import comparison
import describe
import palette
import scene
import section


def coloured_effects(run):
    """The effects that have a colour, in the order in which they are painted over each other."""
    return [name for name in palette.CUT_EFFECTS if name in run.effects]


def draw_half(axes, run, mode, view, side, fontsize, linewidth):
    """Fresh tissue, and over it what each effect has taken; lines and labels as on the section."""
    for name, top, bottom, colour in describe.fresh_layers(run):
        if top < view.bottom:
            axes.add_patch(Rectangle((min(side * view.reach, 0), top), view.reach, min(bottom, view.bottom) - top,
                                     facecolor=colour, edgecolor="none", zorder=0, gid=f"fresh {name}"))
    for name in coloured_effects(run):
        path = section.region_path(run, mode, name, side)
        if path is not None:
            axes.add_patch(PathPatch(path, facecolor=palette.CUT_EFFECTS[name][0], edgecolor="none", zorder=2,
                                     gid=f"cut {name} {mode.name}"))
    section.draw_effect_lines(axes, run, mode, side, linewidth)
    section.label_depths(axes, run, mode, view, side, fontsize, palette.CUT_PAPER)


def draw_pair(axes, run, left, right, view, fontsize=13, linewidth=1.8):
    section.frame_axes(axes, view, run.symmetry)
    for mode, side in ((left, -1), (right, 1)):
        draw_half(axes, run, mode, view, side, fontsize, linewidth)
    section.draw_electrode(axes, run, view, fontsize - 1)
    axes.set_xlim(-view.reach, view.reach)
    axes.set_ylim(view.bottom, -view.top)


def colour_key(run, modes, view):
    """What each colour stands for, with the fresh tissues that are in the picture; effects that no mode has are said
    to be none."""
    entries = {colour: name for name, top, _, colour in describe.fresh_layers(run) if top < view.bottom}
    handles = [Patch(facecolor=colour, edgecolor=palette.INK, linewidth=0.6, label=f"fresh {name}")
               for colour, name in entries.items()]
    for name in coloured_effects(run):
        colour, said = palette.CUT_EFFECTS[name]
        none = "" if any(mode.effects[name].greatest > 0 for mode in modes) else " (none)"
        handles.append(Patch(facecolor=colour, edgecolor=palette.INK, linewidth=0.6, label=said + none))
    return handles


def cutaway_figure(plt, run, left, right):
    """The pair as a cut specimen, with what the colours stand for and that they are chosen."""
    view = scene.view_of(run, [left, right])
    x0, width = 0.85, 11.6
    high = comparison.section_height(view, width)
    beyond = describe.range_sentences([left, right])
    low = 1.75 + appearance.footnotes_of(beyond)[1]
    figure = plt.figure(figsize=(comparison.WIDTH, low + high + 1.85))
    top = figure.get_figheight()
    axes = figure.add_axes(comparison.fractions(figure, (x0, low, width, high)), label="cut specimen")
    draw_pair(axes, run, left, right, view)
    comparison.halves_titles(figure, run, left, right, x0, x0 + width, low + high + 0.08)
    comparison.note(figure, x0, top - 0.2, run.title or run.path.stem, fontsize=20, weight="bold", va="top")
    said = comparison.note(figure, x0, top - 0.68,
                           f"{palette.CUT_MARK} {describe.line_moment(left, right)}", fontsize=12.5,
                           va="top", style="italic")
    appearance.shrink_to(said, comparison.WIDTH - x0 - 0.3)
    axes.legend(handles=colour_key(run, [left, right], view), loc="upper center", ncol=5, fontsize=12.5,
                handlelength=1.6, bbox_to_anchor=(0.5, -0.6 / high))
    appearance.footnotes(figure, beyond)
    appearance.caution(figure)
    return figure
