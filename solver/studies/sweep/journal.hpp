// The journal of one shard: every finished run, appended as it comes, so that whatever ends the program leaves all rows
// but the last whole.
//
//   header (40 bytes):  "DRYSWEEP", format, columns, plan hash (8), shard, shards, checksum of these, 0
//   record:             checksum of what follows, status, point (8), wall seconds (8), reason (200), values (8 each)
//
// Integers of 4 bytes where nothing is said, little endian; doubles as IEEE 754; checksums are CRC-32 (as in zip
// files).
#pragma once

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "studies/sweep/row.hpp"

namespace dryfront {

// Which part of a plan one process computes.
struct Shard {
  std::uint32_t number = 1;  // from 1
  std::uint32_t count = 1;
};

// The number, from 1, of the shard a point belongs to: of every `count` neighbouring points each shard has one; which
// one changes from group to group, so that no shard gets a single value of an axis.
std::uint32_t shard_of(std::uint64_t point, std::uint32_t count);
inline bool belongs(std::uint64_t point, const Shard& shard) { return shard_of(point, shard.count) == shard.number; }

struct JournalHead {
  std::uint64_t plan_hash = 0;
  std::uint32_t columns = 0;
  Shard shard;
};

std::filesystem::path journal_path(const std::filesystem::path& folder, const Shard& shard);
// All journals of a folder, in alphabetical order.
std::vector<std::filesystem::path> journals_in(const std::filesystem::path& folder);

// Reads a journal, which may be growing meanwhile: rows that come later are not seen.
class JournalReader {
 public:
  // Throws FileError when the file cannot be read or belongs to another plan. A file cut inside its head is empty.
  // Behind a damaged head the rows are taken when one of them is sound; the shard is then that of the file's name.
  JournalReader(const std::filesystem::path& file, std::uint64_t plan_hash, std::uint32_t columns);
  JournalReader(JournalReader&& other) noexcept;
  JournalReader& operator=(JournalReader&&) = delete;
  ~JournalReader();

  bool has_head() const { return head_ok_ || head_damaged_; }
  bool head_damaged() const { return head_damaged_; }
  const Shard& shard() const { return shard_; }
  std::uint64_t records() const { return records_; }  // whole ones, damaged ones included
  bool torn() const { return torn_; }                 // something less than a record follows the last one

  // Fetches record k; false when its checksum is wrong. point() and row() are those of the record fetched last.
  bool fetch(std::uint64_t k);
  std::uint64_t point() const;
  SweepRow row() const;
  std::uint64_t record_end(std::uint64_t k) const;  // where record k ends [byte]

 private:
  std::string path_;
  int descriptor_ = -1;
  std::size_t record_size_ = 0;
  std::uint64_t records_ = 0;
  void read_behind_damaged_head(std::uint64_t size);

  bool head_ok_ = false;
  bool head_damaged_ = false;
  bool torn_ = false;
  Shard shard_;
  std::vector<unsigned char> block_;  // neighbouring records
  std::uint64_t block_first_ = 0, block_count_ = 0;
  std::size_t at_ = 0;  // the record fetched last, in block_ [byte]
};

// The journal a shard appends to. Rows come from one thread at a time; synchronise() may go on beside them.
class JournalWriter {
 public:
  // Makes the file or goes on with it: what is damaged at its end is cut off, a damaged head written anew. Throws
  // FileError, also when another process is writing it.
  JournalWriter(const std::filesystem::path& file, const JournalHead& head);
  JournalWriter(const JournalWriter&) = delete;
  JournalWriter& operator=(const JournalWriter&) = delete;
  ~JournalWriter();

  // When the disk is full nothing of the row stays, and FileError is thrown.
  void append(const SweepRow& row);
  // Brings what was appended to the disk; nothing to do when there is nothing new. Throws FileError also when the file
  // has been removed meanwhile: nobody would ever see its rows.
  void synchronise();

 private:
  std::string path_;
  std::uint32_t columns_;
  std::vector<unsigned char> record_;
  int descriptor_ = -1;
  std::uint64_t size_ = 0;  // [byte]
  std::atomic<bool> dirty_ = false;
};

}  // namespace dryfront
