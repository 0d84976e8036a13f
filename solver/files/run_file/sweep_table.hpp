// A table of many rows, written row by row: as HDF5, one dataset per column, and as CSV.
#pragma once

#include <cstdint>
#include <cstdio>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "files/file_place.hpp"
#include "files/run_file/hdf5.hpp"

namespace dryfront {

enum class CellKind { whole, number, text };

struct TableColumn {
  std::string name;
  std::string units;  // "1" where there is none
  std::string long_name;
  CellKind kind = CellKind::number;
};

using TableCell = std::variant<std::int64_t, double, std::string_view>;  // as CellKind

// HDF5: /table/<column>, each of the shape (row), with `units` and `long_name`; the column `point` is the dimension
// scale of the others. The file has no times in it: the same rows give the same bytes. Everything throws FileError.
// The calls are HDF5's own and not those of Hdf5Node, which knows neither columns of texts nor whole numbers nor how to
// write a column in batches; nobody else needs that.
class TableFile {
 public:
  // `attributes` of the root: name and text.
  TableFile(const std::string& path, std::uint64_t rows, std::vector<TableColumn> columns,
            const std::vector<std::pair<std::string, std::string>>& attributes);
  ~TableFile();

  void add(std::span<const TableCell> row);
  // After all rows: sets `finished`, brings the file to the disk and gives it its name.
  void finish();

 private:
  void add_scale(const std::string& part);
  void write_batch();

  FilePlace place_;
  std::vector<TableColumn> columns_;
  std::uint64_t rows_;
  std::uint64_t written_ = 0;
  std::size_t batched_ = 0;                          // rows of the batch
  std::vector<std::vector<std::uint64_t>> numbers_;  // of the batch, per column: the bits of the values
  std::vector<std::vector<std::string>> texts_;      // the same of a column of texts
  Hdf5Handle file_;
  std::vector<Hdf5Handle> types_, datasets_;  // per column
};

// CSV (RFC 4180): a line of names, numbers with as few digits as read back to the same double, nothing where a number
// is none. Everything throws FileError.
class CsvFile {
 public:
  CsvFile(const std::string& path, std::span<const std::string> columns);
  ~CsvFile();

  void add(std::span<const TableCell> row);
  void finish();

 private:
  void write();

  FilePlace place_;
  std::string text_;
  std::FILE* file_ = nullptr;
};

}  // namespace dryfront
