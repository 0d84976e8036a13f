// Eschar: the crust that spark heat leaves on the tissue under the electrode.
#pragma once

#include <span>

#include "physics/contact.hpp"

namespace dryfront {

// Power of the sparks, and what goes into the tissue at channels' roots, per face [W]
struct SparkHeat {
  std::span<const double> spark, root;
};

// dc/dt = (1 - c) (eta q_s + q_root)/(W0 L delta_c) per contact face, over a step of dt [s]; exact for the mean of the
// spark heat between start and end. It only grows: eschar never wets again.
//   before, after   eschar coverage c [-]; the two may be the same span
//   start, end      at both ends of the step
void grow_eschar(const ContactGeometry& contact, const TissueRows& rows, const Physics& physics, double dt,
                 std::span<const double> before, const SparkHeat& start, const SparkHeat& end, std::span<double> after);

}  // namespace dryfront
