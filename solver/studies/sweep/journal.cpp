#include "studies/sweep/journal.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <bit>
#include <cassert>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <utility>

#include <fmt/format.h>
#include <boost/crc.hpp>

#include "files/file_error.hpp"
#include "studies/sweep/design.hpp"

namespace dryfront {

namespace {

static_assert(std::endian::native == std::endian::little, "journals are little endian");

constexpr char magic[8] = {'D', 'R', 'Y', 'S', 'W', 'E', 'E', 'P'};
constexpr std::uint32_t journal_format = 1;
constexpr std::size_t head_size = 40;
constexpr std::size_t head_checked = 32;  // bytes the head's checksum covers
constexpr std::size_t status_at = 4, point_at = 8, wall_at = 16, reason_at = 24, values_at = reason_at + reason_length;

std::uint32_t checksum(const unsigned char* data, std::size_t size) {
  boost::crc_32_type crc;
  crc.process_bytes(data, size);
  return crc.checksum();
}

template <class Number>
void put(unsigned char* to, Number value) {
  std::memcpy(to, &value, sizeof value);
}

template <class Number>
Number get(const unsigned char* from) {
  Number value;
  std::memcpy(&value, from, sizeof value);
  return value;
}

std::vector<unsigned char> head_bytes(const JournalHead& head) {
  std::vector<unsigned char> bytes(head_size);
  std::memcpy(bytes.data(), magic, sizeof magic);
  put(&bytes[8], journal_format);
  put(&bytes[12], head.columns);
  put(&bytes[16], head.plan_hash);
  put(&bytes[24], head.shard.number);
  put(&bytes[28], head.shard.count);
  put(&bytes[32], checksum(bytes.data(), head_checked));
  return bytes;
}

// All of `bytes` at `offset`; what went wrong as errno, 0 when nothing did.
int write_all(int descriptor, const std::vector<unsigned char>& bytes, std::uint64_t offset) {
  std::size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t written =
        ::pwrite(descriptor, bytes.data() + done, bytes.size() - done, static_cast<off_t>(offset + done));
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return errno;
    if (written == 0) return ENOSPC;
    done += static_cast<std::size_t>(written);
  }
  return 0;
}

// As many bytes from `offset` as there are, at most what `bytes` holds.
std::size_t read_some(const std::string& path, int descriptor, std::vector<unsigned char>& bytes,
                      std::uint64_t offset) {
  std::size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t got =
        ::pread(descriptor, bytes.data() + done, bytes.size() - done, static_cast<off_t>(offset + done));
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) throw system_error(path, "cannot read", errno);
    if (got == 0) break;
    done += static_cast<std::size_t>(got);
  }
  return done;
}

}  // namespace

std::uint32_t shard_of(std::uint64_t point, std::uint32_t count) {
  return static_cast<std::uint32_t>((point + scrambled(count, point / count) % count) % count) + 1;
}

std::filesystem::path journal_path(const std::filesystem::path& folder, const Shard& shard) {
  return folder / fmt::format("rows-{:05}-of-{:05}.journal", shard.number, shard.count);
}

std::vector<std::filesystem::path> journals_in(const std::filesystem::path& folder) {
  std::vector<std::filesystem::path> files;
  std::error_code error;
  for (const auto& entry : std::filesystem::directory_iterator(folder, error)) {
    if (entry.path().extension() == ".journal") files.push_back(entry.path());
  }
  if (error) throw FileError(folder.string(), "cannot be read: " + error.message());
  std::sort(files.begin(), files.end());
  return files;
}

JournalReader::JournalReader(const std::filesystem::path& file, std::uint64_t plan_hash, std::uint32_t columns)
    : path_(file.string()), record_size_(values_at + columns * sizeof(double)) {
  descriptor_ = ::open(path_.c_str(), O_RDONLY | O_CLOEXEC);
  if (descriptor_ < 0) throw system_error(path_, "cannot read", errno);
  try {
    struct stat status {};
    if (::fstat(descriptor_, &status) != 0) throw system_error(path_, "cannot read", errno);
    const auto size = static_cast<std::uint64_t>(status.st_size);
    std::vector<unsigned char> head(head_size);
    const std::size_t got = read_some(path_, descriptor_, head, 0);
    head_ok_ = got == head_size && std::memcmp(head.data(), magic, sizeof magic) == 0 &&
               get<std::uint32_t>(&head[head_checked]) == checksum(head.data(), head_checked);
    torn_ = !head_ok_ && size > 0;
    if (!head_ok_ && size <= head_size) return;  // its first moment was its last: no row can be in it
    if (!head_ok_) {
      read_behind_damaged_head(size);
      return;
    }
    if (get<std::uint32_t>(&head[8]) != journal_format || get<std::uint32_t>(&head[12]) != columns ||
        get<std::uint64_t>(&head[16]) != plan_hash) {
      throw FileError(path_, "belongs to another plan or another version of the program");
    }
    shard_ = {get<std::uint32_t>(&head[24]), get<std::uint32_t>(&head[28])};
    records_ = (size - head_size) / record_size_;
    torn_ = (size - head_size) % record_size_ != 0;
  } catch (...) {
    ::close(descriptor_);
    throw;
  }
}

void JournalReader::read_behind_damaged_head(std::uint64_t size) {
  records_ = (size - head_size) / record_size_;
  torn_ = (size - head_size) % record_size_ != 0;
  std::uint64_t sound = 0;
  while (sound < records_ && !fetch(sound)) ++sound;
  const std::string name = std::filesystem::path(path_).filename();
  const bool named = std::sscanf(name.c_str(), "rows-%u-of-%u.journal", &shard_.number, &shard_.count) == 2;
  if (!named || sound == records_) {
    throw FileError(path_, "is no journal of a sweep, or all of it is damaged; move it away to compute its rows anew");
  }
  head_damaged_ = true;
}

JournalReader::JournalReader(JournalReader&& other) noexcept
    : path_(std::move(other.path_)),
      descriptor_(std::exchange(other.descriptor_, -1)),
      record_size_(other.record_size_),
      records_(other.records_),
      head_ok_(other.head_ok_),
      head_damaged_(other.head_damaged_),
      torn_(other.torn_),
      shard_(other.shard_) {}

JournalReader::~JournalReader() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

bool JournalReader::fetch(std::uint64_t k) {
  assert(k < records_);
  if (k < block_first_ || k >= block_first_ + block_count_) {
    constexpr std::uint64_t neighbours = 32;
    block_first_ = k;
    block_.resize(static_cast<std::size_t>(std::min(neighbours, records_ - k)) * record_size_);
    // Fewer bytes come when the file was cut meanwhile.
    block_count_ = read_some(path_, descriptor_, block_, head_size + k * record_size_) / record_size_;
    if (block_count_ == 0) return false;
  }
  at_ = static_cast<std::size_t>(k - block_first_) * record_size_;
  constexpr std::size_t own = sizeof(std::uint32_t);
  return get<std::uint32_t>(&block_[at_]) == checksum(&block_[at_ + own], record_size_ - own);
}

std::uint64_t JournalReader::point() const { return get<std::uint64_t>(&block_[at_ + point_at]); }

SweepRow JournalReader::row() const {
  const unsigned char* from = &block_[at_];
  SweepRow row;
  row.point = point();
  row.status = static_cast<RowStatus>(get<std::uint32_t>(from + status_at));
  row.wall = get<double>(from + wall_at);
  const auto* reason = reinterpret_cast<const char*>(from + reason_at);
  row.reason.assign(reason, ::strnlen(reason, reason_length));
  row.values.resize((record_size_ - values_at) / sizeof(double));
  if (!row.values.empty()) std::memcpy(row.values.data(), from + values_at, row.values.size() * sizeof(double));
  return row;
}

std::uint64_t JournalReader::record_end(std::uint64_t k) const { return head_size + (k + 1) * record_size_; }

JournalWriter::JournalWriter(const std::filesystem::path& file, const JournalHead& head)
    : path_(file.string()), columns_(head.columns), record_(values_at + head.columns * sizeof(double)) {
  descriptor_ = ::open(path_.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
  if (descriptor_ < 0) throw system_error(path_, "cannot create", errno);
  try {
    // A file system without locks cannot tell us of another writer; everything else works there.
    if (::flock(descriptor_, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK) {
      throw FileError(path_, "another sweep is writing it");
    }
    JournalReader reader(file, head.plan_hash, head.columns);
    if (!reader.has_head() || reader.head_damaged()) {
      if (const int failed = write_all(descriptor_, head_bytes(head), 0)) {
        throw system_error(path_, "cannot write", failed);
      }
      size_ = head_size;
    }
    if (reader.has_head()) {
      std::uint64_t good = reader.records();
      while (good > 0 && !reader.fetch(good - 1)) --good;
      size_ = good == 0 ? head_size : reader.record_end(good - 1);
    }
    if (::ftruncate(descriptor_, static_cast<off_t>(size_)) != 0) throw system_error(path_, "cannot cut", errno);
    dirty_ = true;
    synchronise();
  } catch (...) {
    ::close(descriptor_);
    throw;
  }
}

JournalWriter::~JournalWriter() { ::close(descriptor_); }

void JournalWriter::append(const SweepRow& row) {
  assert(row.values.size() == columns_);
  std::fill(record_.begin(), record_.end(), static_cast<unsigned char>(0));
  put(&record_[status_at], static_cast<std::uint32_t>(row.status));
  put(&record_[point_at], row.point);
  put(&record_[wall_at], row.wall);
  std::memcpy(&record_[reason_at], row.reason.data(), std::min(row.reason.size(), reason_length));
  if (columns_ > 0) std::memcpy(&record_[values_at], row.values.data(), columns_ * sizeof(double));
  put(&record_[0], checksum(&record_[sizeof(std::uint32_t)], record_.size() - sizeof(std::uint32_t)));
  if (const int failed = write_all(descriptor_, record_, size_)) {
    // Should the cut fail too, the next opening makes it.
    if (::ftruncate(descriptor_, static_cast<off_t>(size_)) != 0)
      throw system_error(path_, "cannot write or cut", failed);
    throw system_error(path_, "cannot write", failed);
  }
  size_ += record_.size();
  dirty_ = true;
}

void JournalWriter::synchronise() {
  struct stat status {};
  if (::fstat(descriptor_, &status) == 0 && status.st_nlink == 0) throw FileError(path_, "was removed meanwhile");
  if (!dirty_.exchange(false)) return;
  if (::fdatasync(descriptor_) != 0) throw system_error(path_, "cannot bring to the disk", errno);
}

}  // namespace dryfront
