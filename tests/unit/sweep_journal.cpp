#include "studies/sweep/journal.hpp"

#include <catch2/catch.hpp>
#include <cstring>
#include <fstream>
#include <sstream>

#include "case_file_sample.hpp"
#include "files/file_error.hpp"

using namespace dryfront;

namespace {

constexpr std::uint64_t plan_hash = 0x0123456789abcdefULL;
constexpr std::uint32_t columns = 3;
const JournalHead head{plan_hash, columns, {2, 5}};

SweepRow row_of(std::uint64_t point) {
  SweepRow row;
  row.point = point;
  row.wall = 0.5 + static_cast<double>(point);
  row.values = {1.0 / static_cast<double>(point + 1), not_a_number, -0.0};
  if (point % 3 == 0) {
    row.status = RowStatus::numerical_failure;
    row.reason = "mode 'x', t = 1 s";
  }
  return row;
}

void write_rows(const std::filesystem::path& file, std::uint64_t count) {
  JournalWriter writer(file, head);
  for (std::uint64_t k = 0; k < count; ++k) writer.append(row_of(k));
  writer.synchronise();
}

std::string content_of(const std::filesystem::path& file) {
  std::ostringstream text;
  text << std::ifstream(file, std::ios::binary).rdbuf();
  return text.str();
}

void put_content(const std::filesystem::path& file, const std::string& text) {
  std::ofstream(file, std::ios::binary | std::ios::trunc) << text;
}

std::vector<std::uint64_t> sound_points(const std::filesystem::path& file) {
  JournalReader reader(file, plan_hash, columns);
  std::vector<std::uint64_t> points;
  for (std::uint64_t k = 0; k < reader.records(); ++k) {
    if (reader.fetch(k)) points.push_back(reader.point());
  }
  return points;
}

}  // namespace

TEST_CASE("rows come back from a journal bit for bit", "[sweep]") {
  const ScratchDirectory scratch("journal");
  const auto file = scratch.path() / "a.journal";
  write_rows(file, 100);
  JournalReader reader(file, plan_hash, columns);
  REQUIRE(reader.records() == 100);
  CHECK(reader.shard().number == 2);
  CHECK(reader.shard().count == 5);
  CHECK_FALSE(reader.torn());
  for (std::uint64_t k = 100; k-- > 0;) {
    REQUIRE(reader.fetch(k));
    const SweepRow row = reader.row(), wanted = row_of(k);
    CHECK(row.point == wanted.point);
    CHECK(row.status == wanted.status);
    CHECK(row.reason == wanted.reason);
    CHECK(row.wall == wanted.wall);
    CHECK(std::memcmp(row.values.data(), wanted.values.data(), columns * sizeof(double)) == 0);
  }
}

TEST_CASE("a journal cut at any byte keeps the rows before the cut and takes new ones", "[sweep]") {
  const ScratchDirectory scratch("journal");
  const auto file = scratch.path() / "a.journal";
  write_rows(file, 3);
  const std::string whole = content_of(file);
  const std::size_t record = (whole.size() - 40) / 3;
  for (std::size_t cut = 0; cut <= whole.size(); ++cut) {
    put_content(file, whole.substr(0, cut));
    const std::size_t left = cut < 40 ? 0 : (cut - 40) / record;
    {
      JournalWriter writer(file, head);
      for (std::uint64_t k = left; k < 3; ++k) writer.append(row_of(k));
    }
    REQUIRE(content_of(file) == whole);
  }
}

TEST_CASE("a damaged byte costs its row and no other", "[sweep]") {
  const ScratchDirectory scratch("journal");
  const auto file = scratch.path() / "a.journal";
  write_rows(file, 4);
  const std::string whole = content_of(file);
  const std::size_t record = (whole.size() - 40) / 4;
  for (std::size_t at = 40; at < whole.size(); ++at) {
    std::string damaged = whole;
    damaged[at] = static_cast<char>(damaged[at] ^ 0x10);
    put_content(file, damaged);
    const std::uint64_t lost = (at - 40) / record;
    std::vector<std::uint64_t> wanted;
    for (std::uint64_t k = 0; k < 4; ++k) {
      if (k != lost) wanted.push_back(k);
    }
    REQUIRE(sound_points(file) == wanted);
  }
}

TEST_CASE("zeros at the end, as a power failure leaves them, are cut off", "[sweep]") {
  const ScratchDirectory scratch("journal");
  const auto file = scratch.path() / "a.journal";
  write_rows(file, 2);
  const std::string whole = content_of(file);
  put_content(file, whole + std::string(1000, '\0'));
  { const JournalWriter writer(file, head); }
  CHECK(content_of(file) == whole);
}

TEST_CASE("a journal of another plan is refused, and one somebody is writing", "[sweep]") {
  const ScratchDirectory scratch("journal");
  const auto file = scratch.path() / "a.journal";
  write_rows(file, 2);
  CHECK_THROWS_AS(JournalReader(file, plan_hash + 1, columns), FileError);
  CHECK_THROWS_AS(JournalReader(file, plan_hash, columns + 1), FileError);
  std::string damaged = content_of(file);
  damaged[17] = 'x';
  put_content(file, damaged);
  CHECK_THROWS_WITH(JournalReader(file, plan_hash, columns), Catch::Contains("damaged"));
  const auto other = scratch.path() / "b.journal";
  const JournalWriter writer(other, head);
  CHECK_THROWS_WITH(JournalWriter(other, head), Catch::Contains("another sweep"));
}

TEST_CASE("a reason is one line, cut between letters", "[sweep]") {
  CHECK(row_reason("one\n  two") == "one   two");
  const std::string wide = std::string(reason_length - 1, 'a') + "\xc3\xa9";  // e with an acute accent
  CHECK(row_reason(wide) == std::string(reason_length - 1, 'a'));
  CHECK(row_reason(std::string(500, 'b')).size() == reason_length);
}
