// The exact numbers the tests compare with, from exact_values.json beside this file; each entry names its source.
#pragma once

#include <fstream>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>

inline nlohmann::json exact_values(const std::string& check) {
  const std::string path = std::string(DRYFRONT_SOURCE_DIR) + "/tests/reference/exact_values.json";
  std::ifstream in(path);
  if (!in) throw std::runtime_error("cannot read " + path);
  return nlohmann::json::parse(in).at(check);
}
