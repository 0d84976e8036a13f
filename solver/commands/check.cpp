// The command check: what would be solved, without solving it.
#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <memory>

#include "commands/case_arguments.hpp"
#include "commands/commands.hpp"
#include "commands/memory.hpp"
#include "files/case/case_file.hpp"
#include "files/case/case_warning.hpp"
#include "files/json.hpp"
#include "numerics/enumeration.hpp"
#include "physics/contact.hpp"
#include "physics/electrode_shape.hpp"
#include "report/power_load.hpp"
#include "report/sweep_outlook.hpp"
#include "simulation/run.hpp"
#include "source_revision.hpp"

namespace dryfront {
namespace {

constexpr double mm = 1e-3;

std::string span_text(double least, double greatest) {
  return fmt::format("{:.3f} to {:.3f} mm", least / mm, greatest / mm);
}

std::string grid_text(const Grid& grid) {
  double thinnest = grid.width(0), widest = thinnest, lowest = grid.height(0), highest = lowest;
  for (int i = 0; i < grid.columns(); ++i) {
    thinnest = std::min(thinnest, grid.width(i));
    widest = std::max(widest, grid.width(i));
  }
  for (int j = 0; j < grid.rows(); ++j) {
    lowest = std::min(lowest, grid.height(j));
    highest = std::max(highest, grid.height(j));
  }
  return fmt::format("grid       {} columns x {} rows = {} cells; widths {}, heights {}\n", grid.columns(), grid.rows(),
                     grid.cells(), span_text(thinnest, widest), span_text(lowest, highest));
}

std::string memory_text(const Case& c, const Grid& grid, int threads) {
  return fmt::format("memory     about {} for as many modes as run side by side\n",
                     bytes_text(memory_of_run(c, grid, threads)));
}

std::string specimen_text(const Specimen& specimen) {
  std::string text;
  for (std::size_t k = 0; k < specimen.layers.size(); ++k) {
    const Layer& layer = specimen.layers[k];
    const bool last = k + 1 == specimen.layers.size();
    text += fmt::format("{}{}{}\n", k == 0 ? "tissue     " : "           ", layer.tissue.name,
                        last ? " to the bottom" : fmt::format(", {:g} mm", layer.thickness / mm));
  }
  const bool plane = specimen.symmetry == Symmetry::plane;
  return text + fmt::format("specimen   {} {:g} mm, depth {:g} mm{}, from {:g} C\n", plane ? "half width" : "radius",
                            specimen.radius / mm, specimen.depth / mm,
                            plane ? fmt::format(", {:g} mm along the plane", specimen.length / mm) : "",
                            specimen.start);
}

std::string electrode_text(const Electrode& electrode, Symmetry symmetry) {
  std::string text = fmt::format("electrode  {}", word_of(electrode.shape));
  for (const auto& [words, size] : electrode_sizes(electrode, symmetry))
    text += fmt::format(", {} {:g} mm", words, size / mm);
  text += fmt::format("; contact {}, heat {}\n", word_of(electrode.contact), word_of(electrode.heat));
  if (electrode.contact != ContactKind::spots) return text;
  return text +
         fmt::format(
             "           touching {:g} % of the face in spots {:g} mm apart, when wet worth {:.2g} mm of tissue\n",
             100 * electrode.contact_fraction, electrode.spot_pitch / mm,
             1 / spots_conductance(electrode.contact_fraction, electrode.spot_pitch) / mm);
}

// Warns of limits that the load at the start passes.
std::string modes_text(const JudgedCase& judged, const Grid& grid, const Console& console) {
  const Case& c = judged.c;
  std::string text = "\nat the start                     crest      load       rms      peak     power    struck\n";
  for (std::size_t k = 0; k < c.modes.size(); ++k) {
    const Mode& mode = c.modes[k];
    const LoadAtStart load = load_at_start(c, grid, static_cast<int>(k));
    const double crest = crest_factor(mode.waveform);
    for (const CaseWarning& warning : limit_at_start_warning(mode, load.resistance, judged.limit_places[k])) {
      console.warn(warning_text(warning));
    }
    text += fmt::format("{:<20.20} {:<10} {:>6.2f} {:>5.0f} ohm {:>7.1f} V {:>7.0f} V {:>7.1f} W {:>7.1f} %\n",
                        mode.name, word_of(mode.waveform.kind), crest, load.resistance, load.rms, crest * load.rms,
                        load.power, 100 * load.arcing_share);
  }
  return text;
}

// How long the run would take, from computing its beginning for about a second. The steps get shorter and longer on the
// way, so this is a guess.
std::string time_text(const Case& c, const Grid& grid, int threads) {
  using Clock = std::chrono::steady_clock;
  constexpr double enough_s = 1;
  const auto start = Clock::now();
  const auto elapsed = [start] { return std::chrono::duration<double>(Clock::now() - start).count(); };
  std::atomic<bool> stop = false;
  std::vector<std::atomic<double>> reached(c.modes.size());
  Observer observer;
  observer.stop = &stop;
  observer.progress = [&](int mode, double time, double) {
    reached[static_cast<std::size_t>(mode)] = time;
    if (elapsed() > enough_s) stop = true;
  };
  run(c, grid, observer, threads);

  double whole = 0, done = 0;
  for (std::size_t k = 0; k < c.modes.size(); ++k) {
    whole += c.modes[k].activation + c.modes[k].after;
    done += reached[k];
  }
  if (!stop) return fmt::format("takes {:.1f} s with {} threads\n", elapsed(), threads);
  if (done <= 0) return fmt::format("cannot be told: the first step takes more than {:g} s\n", enough_s);
  return fmt::format("about {:.0f} s with {} threads, guessed from the first {:.2g} of {:g} simulated seconds\n",
                     elapsed() * whole / done, threads, done, whole);
}

nlohmann::ordered_json case_json(const Case& c, const Grid& grid, const std::string& path) {
  nlohmann::ordered_json modes = nlohmann::ordered_json::array();
  for (std::size_t k = 0; k < c.modes.size(); ++k) {
    const Mode& mode = c.modes[k];
    const LoadAtStart load = load_at_start(c, grid, static_cast<int>(k));
    const double crest = crest_factor(mode.waveform);
    modes.push_back({{"name", mode.name},
                     {"label", label_of(mode)},
                     {"crest_factor", number_or_null(crest)},
                     {"at_start",
                      {{"ohm", number_or_null(load.resistance)},
                       {"W", number_or_null(load.power)},
                       {"V", number_or_null(load.rms)},
                       {"peak_V", number_or_null(crest * load.rms)},
                       {"arcing_share", number_or_null(load.arcing_share)}}},
                     {"power_load", power_load_json(mode)}});
  }
  return {
      {"version", version}, {"case", path}, {"title", c.title}, {"cells", grid.cells()}, {"modes", std::move(modes)}};
}

struct CheckArguments {
  CaseArguments of_case;
  int threads = 1;
  bool json = false;
};

int check_case(const CheckArguments& all) {
  const CaseArguments& arguments = all.of_case;
  const Console console(false);
  const JudgedCase judged = read_judged_case(arguments, console);
  const Case& c = judged.c;
  const Grid grid = case_grid(c);
  if (all.json) {
    print_result(json_text(case_json(c, grid, arguments.path)) + "\n");
    return exit_done;
  }
  std::string text = fmt::format("{}\n", c.title.empty() ? arguments.path : c.title);
  if (!c.question.empty()) text += c.question + '\n';
  text += '\n' + specimen_text(c.specimen) + electrode_text(c.electrode, c.specimen.symmetry) + grid_text(grid) +
          memory_text(c, grid, all.threads);
  print_result(text);  // before the solving begins, which takes long on a very fine grid
  warn_of_memory(console, memory_of_run(c, grid, all.threads));
  text = modes_text(judged, grid, console);
  for (std::size_t k = 0; k < c.effects.size(); ++k) {
    const Effect& effect = c.effects[k];
    text += fmt::format("{}{}: {} at {:g}\n", k == 0 ? "\neffects    " : "           ", effect.name,
                        judged_by(effect, c), effect.at);
  }
  text += "\npower against load\n" + power_load_text(c);
  print_result(text);
  print_result("\nrun time   " + time_text(c, grid, all.threads));
  return exit_done;
}

}  // namespace

void add_check(CLI::App& app, Action& chosen) {
  const auto arguments = std::make_shared<CheckArguments>();
  CLI::App* command = app.add_subcommand("check", "parse a case and print what would be solved");
  add_case_arguments(*command, arguments->of_case);
  add_threads(*command, arguments->threads);
  command->add_flag("--json", arguments->json, "print one JSON object instead of the text, without the run time");
  command->callback([arguments, &chosen] { chosen = [arguments] { return check_case(*arguments); }; });
}

}  // namespace dryfront
