// The checkpoint of an interrupted run, from which it goes on with the same bits.
#pragma once

#include <string>
#include <vector>

#include "simulation/checkpoint.hpp"

namespace dryfront {

struct RunCheckpoint {
  std::string case_toml;        // the resolved case
  std::string source_revision;  // of the program
  double wall_s = 0;            // computing time so far [s]
  std::vector<ModeCheckpoint> modes;
};

// Its name for a run file's: FILE.h5.checkpoint
std::string checkpoint_path(const std::string& run_file);

// Writes it as a whole: an interrupted write leaves an earlier one untouched. Throws FileError.
void write_checkpoint(const std::string& path, RunCheckpoint checkpoint);

// Removes one that may or may not be there, and what keep_frames kept with it. Throws FileError.
void remove_checkpoint(const std::string& path);

// Keeps a copy of the frames as they are at the checkpoint: a resumed run that is killed may leave `part` in any state.
// Throws FileError.
void keep_frames(const std::string& checkpoint, const std::string& part);
// Copies them back; false when none were kept yet. Throws FileError.
bool restore_frames(const std::string& checkpoint, const std::string& part);

// Throws FileError when there is none or it cannot be read, CaseError when the case or the source revision is another
// one.
RunCheckpoint read_checkpoint(const std::string& path, const std::string& case_toml,
                              const std::string& source_revision);

}  // namespace dryfront
