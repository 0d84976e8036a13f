#include "files/run_file/sweep_table.hpp"

#include <hdf5_hl.h>

#include <algorithm>
#include <bit>
#include <cassert>
#include <cerrno>
#include <charconv>
#include <cmath>

#include "files/file_error.hpp"

namespace dryfront {

namespace {

constexpr std::size_t rows_per_batch = 4096;  // and per chunk

constexpr const char* row_scale = "point";  // the column that numbers the rows

Hdf5Handle text_type(std::size_t length) {
  Hdf5Handle type(H5Tcopy(H5T_C_S1), H5Tclose);
  H5Tset_size(type.get(), length);
  if (length != H5T_VARIABLE) H5Tset_strpad(type.get(), H5T_STR_NULLPAD);
  H5Tset_cset(type.get(), H5T_CSET_UTF8);
  return type;
}

Hdf5Handle cell_type(const TableColumn& column) {
  if (column.kind == CellKind::text) return text_type(H5T_VARIABLE);
  return {H5Tcopy(column.kind == CellKind::whole ? H5T_STD_I64LE : H5T_IEEE_F64LE), H5Tclose};
}

void set_text(hid_t object, const std::string& name, const std::string& text, const std::string& path) {
  const Hdf5Handle type = text_type(std::max<std::size_t>(1, text.size()));
  const Hdf5Handle space(H5Screate(H5S_SCALAR), H5Sclose);
  const Hdf5Handle attribute(H5Acreate2(object, name.c_str(), type.get(), space.get(), H5P_DEFAULT, H5P_DEFAULT),
                             H5Aclose);
  const std::string padded = text.empty() ? std::string(1, '\0') : text;
  if (attribute.get() < 0 || H5Awrite(attribute.get(), type.get(), padded.data()) < 0) {
    throw FileError(path, "cannot write the attribute " + name);
  }
}

void set_whole(hid_t object, const std::string& name, std::int64_t value, const std::string& path) {
  const Hdf5Handle space(H5Screate(H5S_SCALAR), H5Sclose);
  const Hdf5Handle attribute(H5Acreate2(object, name.c_str(), H5T_STD_I64LE, space.get(), H5P_DEFAULT, H5P_DEFAULT),
                             H5Aclose);
  if (attribute.get() < 0 || H5Awrite(attribute.get(), H5T_NATIVE_INT64, &value) < 0) {
    throw FileError(path, "cannot write the attribute " + name);
  }
}

// The reason of the last failing call where the system gave one.
FileError hdf5_error(const std::string& path, const std::string& attempted) {
  return errno != 0 ? system_error(path, attempted, errno) : FileError(path, attempted);
}

}  // namespace

TableFile::TableFile(const std::string& path, std::uint64_t rows, std::vector<TableColumn> columns,
                     const std::vector<std::pair<std::string, std::string>>& attributes)
    : place_(path, true), columns_(std::move(columns)), rows_(rows) {
  H5dont_atexit();                              // no second try at exit to flush a file whose disk was full
  H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);  // failures are reported from here
  errno = 0;
  const std::string& part = place_.part();
  const Hdf5Handle access(H5Pcreate(H5P_FILE_ACCESS), H5Pclose);
  H5Pset_libver_bounds(access.get(), H5F_LIBVER_V110, H5F_LIBVER_V110);
  H5Pset_file_locking(access.get(), false, true);  // the place holds the lock
  const Hdf5Handle root_properties(H5Pcreate(H5P_FILE_CREATE), H5Pclose);
  H5Pset_obj_track_times(root_properties.get(), 0);
  file_ = {H5Fcreate(part.c_str(), H5F_ACC_TRUNC, root_properties.get(), access.get()), H5Fclose};
  if (file_.get() < 0) throw hdf5_error(part, "cannot create");
  for (const auto& [name, text] : attributes) set_text(file_.get(), name, text, part);
  set_whole(file_.get(), "rows", static_cast<std::int64_t>(rows), part);
  set_whole(file_.get(), "finished", 0, part);
  const Hdf5Handle group_properties(H5Pcreate(H5P_GROUP_CREATE), H5Pclose);
  H5Pset_obj_track_times(group_properties.get(), 0);
  H5Pset_link_creation_order(group_properties.get(), H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED);
  const Hdf5Handle group(H5Gcreate2(file_.get(), "table", H5P_DEFAULT, group_properties.get(), H5P_DEFAULT), H5Gclose);
  const hsize_t shape = rows;
  const Hdf5Handle space(H5Screate_simple(1, &shape, nullptr), H5Sclose);
  for (const TableColumn& column : columns_) {
    const Hdf5Handle properties(H5Pcreate(H5P_DATASET_CREATE), H5Pclose);
    H5Pset_obj_track_times(properties.get(), 0);
    if (rows > 0) {
      const hsize_t chunk = std::min<hsize_t>(rows, rows_per_batch);
      H5Pset_chunk(properties.get(), 1, &chunk);
      H5Pset_shuffle(properties.get());
      H5Pset_deflate(properties.get(), 1);
    }
    types_.push_back(cell_type(column));
    datasets_.emplace_back(H5Dcreate2(group.get(), column.name.c_str(), types_.back().get(), space.get(), H5P_DEFAULT,
                                      properties.get(), H5P_DEFAULT),
                           H5Dclose);
    if (datasets_.back().get() < 0) throw hdf5_error(part, "cannot create the column " + column.name);
    set_text(datasets_.back().get(), "units", column.units, part);
    set_text(datasets_.back().get(), "long_name", column.long_name, part);
  }
  numbers_.resize(columns_.size());
  texts_.resize(columns_.size());
  add_scale(part);
}

void TableFile::add_scale(const std::string& part) {
  const auto scale = std::find_if(columns_.begin(), columns_.end(),
                                  [](const TableColumn& column) { return column.name == row_scale; });
  if (scale == columns_.end()) return;
  const hid_t rows = datasets_[static_cast<std::size_t>(scale - columns_.begin())].get();
  bool failed = H5DSset_scale(rows, row_scale) < 0;
  for (const Hdf5Handle& dataset : datasets_) {
    if (dataset.get() != rows) failed = H5DSattach_scale(dataset.get(), rows, 0) < 0 || failed;
  }
  if (failed) throw hdf5_error(part, "cannot make a dimension scale");
}

TableFile::~TableFile() = default;

void TableFile::add(std::span<const TableCell> row) {
  assert(row.size() == columns_.size() && written_ + batched_ < rows_);
  for (std::size_t k = 0; k < row.size(); ++k) {
    std::visit(
        [&](const auto& value) {
          if constexpr (std::is_same_v<std::decay_t<decltype(value)>, std::string_view>) {
            assert(columns_[k].kind == CellKind::text);
            texts_[k].emplace_back(value);
          } else {
            numbers_[k].push_back(std::bit_cast<std::uint64_t>(value));
          }
        },
        row[k]);
  }
  if (++batched_ == rows_per_batch) write_batch();
}

void TableFile::write_batch() {
  if (batched_ == 0) return;
  errno = 0;
  const hsize_t count = batched_, start = written_;
  const Hdf5Handle memory(H5Screate_simple(1, &count, nullptr), H5Sclose);
  for (std::size_t k = 0; k < columns_.size(); ++k) {
    const Hdf5Handle space(H5Dget_space(datasets_[k].get()), H5Sclose);
    H5Sselect_hyperslab(space.get(), H5S_SELECT_SET, &start, nullptr, &count, nullptr);
    std::vector<const char*> texts;
    for (const std::string& text : texts_[k]) texts.push_back(text.c_str());
    const bool is_text = columns_[k].kind == CellKind::text;
    const void* batch = is_text ? static_cast<const void*>(texts.data()) : numbers_[k].data();
    if (H5Dwrite(datasets_[k].get(), types_[k].get(), memory.get(), space.get(), H5P_DEFAULT, batch) < 0) {
      throw hdf5_error(place_.part(), "cannot write");
    }
    texts_[k].clear();
    numbers_[k].clear();
  }
  written_ += batched_;
  batched_ = 0;
}

void TableFile::finish() {
  write_batch();
  assert(written_ == rows_);
  errno = 0;
  const Hdf5Handle old(H5Aopen(file_.get(), "finished", H5P_DEFAULT), H5Aclose);
  const std::int64_t one = 1;
  bool failed = H5Awrite(old.get(), H5T_NATIVE_INT64, &one) < 0;
  for (Hdf5Handle& dataset : datasets_) failed = dataset.close() < 0 || failed;
  failed = H5Fflush(file_.get(), H5F_SCOPE_GLOBAL) < 0 || failed;
  failed = file_.close() < 0 || failed;
  if (failed) throw hdf5_error(place_.part(), "cannot write");
  place_.publish();
}

CsvFile::CsvFile(const std::string& path, std::span<const std::string> columns) : place_(path, true) {
  file_ = std::fopen(place_.part().c_str(), "wb");
  if (file_ == nullptr) throw system_error(place_.part(), "cannot create", errno);
  for (const std::string& column : columns) text_ += (text_.empty() ? "" : ",") + column;
  text_ += "\r\n";
}

CsvFile::~CsvFile() {
  if (file_ != nullptr) std::fclose(file_);
}

void CsvFile::add(std::span<const TableCell> row) {
  for (std::size_t k = 0; k < row.size(); ++k) {
    if (k > 0) text_ += ',';
    std::visit(
        [&](const auto& value) {
          using Value = std::decay_t<decltype(value)>;
          if constexpr (std::is_same_v<Value, std::string_view>) {
            if (value.find_first_of(",\"\r\n") == std::string_view::npos) {
              text_ += value;
              return;
            }
            text_ += '"';
            for (const char letter : value) text_ += letter == '"' ? std::string("\"\"") : std::string(1, letter);
            text_ += '"';
          } else {
            if constexpr (std::is_same_v<Value, double>) {
              if (std::isnan(value)) return;
            }
            char digits[32];
            const auto [end, error] = std::to_chars(digits, digits + sizeof digits, value);
            if (error == std::errc()) text_.append(digits, end);
          }
        },
        row[k]);
  }
  text_ += "\r\n";
  constexpr std::size_t enough = 1 << 20;
  if (text_.size() > enough) write();
}

void CsvFile::write() {
  if (std::fwrite(text_.data(), 1, text_.size(), file_) != text_.size()) {
    throw system_error(place_.part(), "cannot write", errno);
  }
  text_.clear();
}

void CsvFile::finish() {
  write();
  const int failed = std::fclose(file_) == 0 ? 0 : errno;
  file_ = nullptr;
  if (failed != 0) throw system_error(place_.part(), "cannot write", failed);
  place_.publish();
}

}  // namespace dryfront
