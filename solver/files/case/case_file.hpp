// Case files: TOML 1.0 read into a Case, and a Case written back as TOML with every value explicit.
#pragma once

#include <filesystem>
#include <span>
#include <string>
#include <string_view>

#include "files/case/case_error.hpp"
#include "files/case/case_warning.hpp"
#include "simulation/case.hpp"

namespace dryfront {

// What a case is read for: a simulation needs the specimen, the circuit of the stray current needs [circuit] and
// modes, the split return electrode [pad].
enum class CaseUse { simulation, circuit, pad };

// Reads a case file. `overrides` are key.path=value as typed on the command line (see apply_overrides); tissues are
// looked up in the case first, then in `tissue_directory`; waveform and source tables are relative to the case file.
// Throws CaseError with all that is wrong with the case, FileError when a file cannot be read and nothing else is
// wrong.
Case read_case(const std::filesystem::path& file, std::span<const std::string> overrides,
               const std::filesystem::path& tissue_directory, CaseUse use = CaseUse::simulation);

// The same with what is odd in the case: odd_value_warnings().
JudgedCase read_and_judge(const std::filesystem::path& file, std::span<const std::string> overrides,
                          const std::filesystem::path& tissue_directory);
JudgedCase parse_and_judge(std::string_view toml_text, std::string_view name_for_messages,
                           std::span<const std::string> overrides, const std::filesystem::path& tissue_directory,
                           const std::filesystem::path& data_directory);

// The same from a text. `name_for_messages` stands where the file's name would in messages.
Case parse_case(std::string_view toml_text, std::string_view name_for_messages, std::span<const std::string> overrides,
                const std::filesystem::path& tissue_directory, const std::filesystem::path& data_directory,
                CaseUse use = CaseUse::simulation);

// The whole case as TOML: every value explicit, tissues with their sources, tables inline. parse_case turns it back
// into an equal Case without any other file.
std::string resolved_toml(const Case& c);

// What an effect is judged by, as a case file says it: "damage:NAME", "temperature", ...
std::string judged_by(const Effect& effect, const Case& c);

}  // namespace dryfront
