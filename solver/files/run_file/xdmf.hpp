// The sidecar that lets general viewers open a run file: XDMF 3.0, a 2DRectMesh of the cell faces per mode, one grid
// per frame, every field cut out of its (frame, z, r) dataset by a hyperslab.
#pragma once

#include <span>
#include <string>

#include "files/run_file/layout.hpp"
#include "numerics/grid.hpp"
#include "simulation/case.hpp"

namespace dryfront {

// `frames` and `times` per mode; `run_file` is named in the text without its folder, so that both move together.
std::string xdmf_text(const Case& c, const Grid& grid, std::span<const FieldColumn> fields,
                      std::span<const std::vector<double>> times, const std::string& run_file);

}  // namespace dryfront
