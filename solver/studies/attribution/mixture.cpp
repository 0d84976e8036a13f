#include "studies/attribution/mixture.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include "physics/contact.hpp"

namespace dryfront {

namespace {

constexpr double round_off = 1e-12;

bool same(double a, double b) { return a == b || std::abs(a / b - 1) <= round_off; }

bool strike_alike(const Waveform& a, const Waveform& b) {
  if (a == b) return true;
  if (!same(crest_factor(a), crest_factor(b))) return false;
  constexpr int samples = 64;
  for (int k = 0; k <= samples; ++k) {
    const double x = static_cast<double>(k) / samples;
    if (std::abs(striking_fraction(a, x) - striking_fraction(b, x)) > round_off) return false;
  }
  return true;
}

// The means over the time for which a channel conducts, over the peak, once the striking functions are the same.
bool conduct_alike(const Physics& physics, const Waveform& a, const Waveform& b) {
  if (a == b || physics.spark_law != SparkLaw::channels) return true;
  const StruckWaveform first(a, physics.strike_spread), second(b, physics.strike_spread);
  const double share = spark_drop(physics, physics.strike) / physics.strike;
  constexpr int samples = 64;
  for (int k = 1; k <= samples; ++k) {
    const double x = static_cast<double>(k) / samples;
    const StruckMoments p = first(x, share * x), q = second(x, share * x);
    if (std::abs(p.time - q.time) + std::abs(p.voltage - q.voltage) + std::abs(p.square - q.square) > round_off) {
      return false;
    }
  }
  return true;
}

// Power against load, without what another kind of source would read and without the peak limit.
Source power_against_load(const Source& source) {
  Source acting = source;
  acting.file.clear();  // its table is in load and power
  acting.peak_limit = 0;
  if (acting.kind != SourceKind::unregulated) acting.rated_load = 0;
  if (acting.kind == SourceKind::voltage) {
    acting.setting = 0;
  } else {
    acting.rms = 0;
  }
  if (acting.kind != SourceKind::temperature) {
    acting.hold = acting.reset_time = 0;
    acting.probe.clear();
  }
  if (acting.kind != SourceKind::table) {
    acting.load.clear();
    acting.power.clear();
  }
  return acting;
}

bool differ_in(Player player, const Physics& physics, const Mode& a, const Mode& b) {
  switch (player) {
    case Player::source:
      return !(power_against_load(a.source) == power_against_load(b.source));
    case Player::peak_limit:
      return !same(rms_limit(a), rms_limit(b));
    case Player::arcing:
      return physics.arcing &&
             !(strike_alike(a.waveform, b.waveform) && conduct_alike(physics, a.waveform, b.waveform));
    case Player::breakdown:
      return physics.breakdown && !same(crest_factor(a.waveform), crest_factor(b.waveform));
    case Player::activation_time:
      return a.activation != b.activation || a.after != b.after;
  }
  return false;
}

void take(Player player, const Mode& from, Mode& mixed) {
  switch (player) {
    case Player::source: {
      const double peak_limit = mixed.source.peak_limit;
      mixed.source = from.source;
      mixed.source.peak_limit = peak_limit;
      return;
    }
    case Player::peak_limit:
      mixed.source.peak_limit = from.source.peak_limit;
      mixed.waveform = from.waveform;
      return;
    case Player::arcing:
      mixed.striking_waveform = from.waveform;
      return;
    case Player::breakdown:
      mixed.breakdown_waveform = from.waveform;
      return;
    case Player::activation_time:
      mixed.activation = from.activation;
      mixed.after = from.after;
      return;
  }
}

}  // namespace

std::string words(Player player) {
  std::string text(word_of(player));
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

double rms_limit(const Mode& mode) {
  if (!(mode.source.peak_limit > 0)) return std::numeric_limits<double>::infinity();
  return mode.source.peak_limit / crest_factor(mode.waveform);
}

std::vector<Player> differences(const Physics& physics, const Mode& first, const Mode& second) {
  std::vector<Player> players;
  for (const auto& player : enumerators(Player{})) {
    if (differ_in(player.value, physics, first, second)) players.push_back(player.value);
  }
  return players;
}

Mode mixture(const Mode& first, const Mode& second, std::span<const Player> players, Coalition coalition) {
  assert(coalition < Coalition{1} << players.size());
  if (coalition == 0) return first;
  if (coalition == (Coalition{1} << players.size()) - 1) return second;
  Mode mixed = first;
  mixed.name = mixed.label = "mixture";
  mixed.striking_waveform = mixed.breakdown_waveform = first.waveform;
  for (std::size_t k = 0; k < players.size(); ++k) {
    if ((coalition >> k & 1U) != 0) take(players[k], second, mixed);
  }
  return mixed;
}

DecidesRun what_decides(const Mode& mode, const Physics& physics) {
  DecidesRun decides{mode, physics};
  Mode& acting = decides.mode;
  acting.name.clear();
  acting.label.clear();
  acting.source = power_against_load(mode.source);
  acting.source.peak_limit = mode.source.peak_limit;
  acting.striking_waveform = mode.striking_waveform.value_or(mode.waveform);
  acting.breakdown_waveform = mode.breakdown_waveform.value_or(mode.waveform);
  if (!(mode.source.peak_limit > 0)) acting.waveform = {};
  if (!physics.arcing) {
    acting.striking_waveform.reset();
    decides.physics.eschar = false;
  }
  if (!physics.breakdown) acting.breakdown_waveform.reset();
  return decides;
}

}  // namespace dryfront
