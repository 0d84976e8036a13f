// What the contact monitor of a split return electrode reads, as text and as JSON.
#pragma once

#include <string>
#include <vector>

#include "files/json.hpp"
#include "physics/split_pad.hpp"

namespace dryfront {

std::string split_pad_text(const std::string& title, const SplitPad& pad, const PadReadings& readings);
nlohmann::ordered_json split_pad_json(const std::string& title, const SplitPad& pad, const PadReadings& readings,
                                      const std::string& version, const std::string& case_path);

// What its picture needs: a curve for each way the pad comes off, and the pieces of one state with the magnitude of
// their current densities.
struct PadPicture {
  std::vector<SplitPad> pads;
  std::vector<PadReadings> readings;  // one for each
  double seen_at = 0;                 // share that is off in the view from above [-]
  std::vector<PadPiece> pieces;
};
nlohmann::ordered_json pad_picture_json(const std::string& title, const PadPicture& picture);

}  // namespace dryfront
