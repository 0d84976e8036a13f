#include "files/run_file/hdf5.hpp"

#include <hdf5_hl.h>

#include <algorithm>
#include <cassert>
#include <cerrno>
#include <cstring>
#include <utility>

#include "files/file_error.hpp"

namespace dryfront {
namespace {

// Before anything else of HDF5: it must not try to flush a file again at exit whose disk was full, and it must not
// print by itself, which a library built for threads has to be told in every thread.
void prepare_library() {
  static const bool prepared = [] {
    H5dont_atexit();
    return H5open() >= 0;
  }();
  thread_local const bool silenced = H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr) >= 0;
  static_cast<void>(prepared);
  static_cast<void>(silenced);
}

// HDF5 keeps the operating system's reason only as text in the innermost entry of its error stack.
std::string reason_of_last_failure() {
  std::string innermost;
  const auto visit = [](unsigned, const H5E_error2_t* entry, void* out) -> herr_t {
    if (entry->desc != nullptr && entry->desc[0] != '\0') *static_cast<std::string*>(out) = entry->desc;
    return 0;
  };
  H5Ewalk2(H5E_DEFAULT, H5E_WALK_DOWNWARD, visit, &innermost);
  const std::string mark = "error message = '";
  if (const auto start = innermost.find(mark); start != std::string::npos) {
    const auto begin = start + mark.size();
    return innermost.substr(begin, innermost.find('\'', begin) - begin);
  }
  return innermost.empty() ? "the HDF5 library gives no reason" : innermost;
}

std::vector<hsize_t> extents(const std::vector<std::size_t>& shape) { return {shape.begin(), shape.end()}; }

Hdf5Handle string_type() {
  Hdf5Handle type(H5Tcopy(H5T_C_S1), H5Tclose);
  H5Tset_size(type.get(), H5T_VARIABLE);
  H5Tset_cset(type.get(), H5T_CSET_UTF8);
  return type;
}

Hdf5Handle unlocked_access() {
  Hdf5Handle access(H5Pcreate(H5P_FILE_ACCESS), H5Pclose);
  H5Pset_file_locking(access.get(), false, true);
  return access;
}

// No time stamps inside: the same run gives the same bytes in every dataset header.
Hdf5Handle dataset_properties() {
  Hdf5Handle properties(H5Pcreate(H5P_DATASET_CREATE), H5Pclose);
  H5Pset_obj_track_times(properties.get(), false);
  return properties;
}

}  // namespace

Hdf5Handle::Hdf5Handle(Hdf5Handle&& other) noexcept
    : id_(std::exchange(other.id_, H5I_INVALID_HID)), closer_(std::exchange(other.closer_, nullptr)) {}

Hdf5Handle& Hdf5Handle::operator=(Hdf5Handle&& other) noexcept {
  if (this != &other) {
    close();
    id_ = std::exchange(other.id_, H5I_INVALID_HID);
    closer_ = std::exchange(other.closer_, nullptr);
  }
  return *this;
}

herr_t Hdf5Handle::close() noexcept {
  const hid_t id = std::exchange(id_, H5I_INVALID_HID);
  return id >= 0 ? closer_(id) : 0;
}

hid_t Hdf5Node::id() const {
  prepare_library();
  return handle_.get();
}

hid_t Hdf5Node::checked(hid_t result, const std::string& attempted) const {
  if (result >= 0) return result;
  const std::string place = name_ == "/" ? "" : " (at " + name_ + ")";
  throw FileError(*path_, "cannot " + attempted + place + ": " + reason_of_last_failure());
}

Hdf5Handle Hdf5Node::own(hid_t id, Hdf5Handle::Closer closer, const std::string& attempted) const {
  return Hdf5Handle(checked(id, attempted), closer);
}

Hdf5Node Hdf5Node::create_file(const std::string& path) {
  prepare_library();
  Hdf5Node file(Hdf5Handle(), std::make_shared<const std::string>(path), "/");
  const Hdf5Handle access = unlocked_access();
  file.handle_ = file.own(H5Fcreate(path.c_str(), H5F_ACC_TRUNC, H5P_DEFAULT, access.get()), H5Fclose, "create");
  return file;
}

Hdf5Node Hdf5Node::opened(const std::string& path, unsigned flags) {
  prepare_library();
  Hdf5Node file(Hdf5Handle(), std::make_shared<const std::string>(path), "/");
  const Hdf5Handle access = unlocked_access();
  file.handle_ = file.own(H5Fopen(path.c_str(), flags, access.get()), H5Fclose, "open");
  return file;
}

Hdf5Node Hdf5Node::open_file(const std::string& path) { return opened(path, H5F_ACC_RDONLY); }

Hdf5Node Hdf5Node::open_file_to_change(const std::string& path) { return opened(path, H5F_ACC_RDWR); }

bool Hdf5Node::is_hdf5(const std::string& path) {
  prepare_library();
  return H5Fis_hdf5(path.c_str()) > 0;
}

void Hdf5Node::flush() const { checked(H5Fflush(id(), H5F_SCOPE_GLOBAL), "write"); }

void Hdf5Node::close() { checked(handle_.close(), "write and close"); }

Hdf5Node Hdf5Node::create_group(const std::string& name) const {
  return {
      own(H5Gcreate2(id(), name.c_str(), H5P_DEFAULT, H5P_DEFAULT, H5P_DEFAULT), H5Gclose, "create the group " + name),
      path_, below(name)};
}

Hdf5Node Hdf5Node::open_group(const std::string& name) const {
  return {own(H5Gopen2(id(), name.c_str(), H5P_DEFAULT), H5Gclose, "open the group " + name), path_, below(name)};
}

Hdf5Node Hdf5Node::open_dataset(const std::string& name) const {
  return {own(H5Dopen2(id(), name.c_str(), H5P_DEFAULT), H5Dclose, "open the dataset " + name), path_, below(name)};
}

bool Hdf5Node::has(const std::string& name) const {
  return checked(H5Lexists(id(), name.c_str(), H5P_DEFAULT), "look up " + name) > 0;
}

void Hdf5Node::remove(const std::string& name) const {
  checked(H5Ldelete(id(), name.c_str(), H5P_DEFAULT), "remove " + name);
}

std::vector<std::string> Hdf5Node::members() const {
  std::vector<std::string> names;
  const auto visit = [](hid_t, const char* name, const H5L_info_t*, void* out) -> herr_t {
    static_cast<std::vector<std::string>*>(out)->emplace_back(name);
    return 0;
  };
  checked(H5Literate(id(), H5_INDEX_NAME, H5_ITER_INC, nullptr, visit, &names), "list the members");
  return names;
}

Hdf5Node Hdf5Node::create(const std::string& name, Hdf5Number type, hid_t space, hid_t properties) const {
  const hid_t stored = type == Hdf5Number::float32 ? H5T_IEEE_F32LE : H5T_IEEE_F64LE;
  // A chunk is written whole and not looked at again: nothing to cache.
  const Hdf5Handle access(H5Pcreate(H5P_DATASET_ACCESS), H5Pclose);
  H5Pset_chunk_cache(access.get(), 1, 0, 1.0);
  return {own(H5Dcreate2(id(), name.c_str(), stored, space, H5P_DEFAULT, properties, access.get()), H5Dclose,
              "create the dataset " + name),
          path_, below(name)};
}

Hdf5Node Hdf5Node::create_dataset(const std::string& name, Hdf5Number type,
                                  const std::vector<std::size_t>& shape) const {
  const auto size = extents(shape);
  const Hdf5Handle space =
      own(H5Screate_simple(static_cast<int>(size.size()), size.data(), nullptr), H5Sclose, "shape " + name);
  return create(name, type, space.get(), dataset_properties().get());
}

Hdf5Node Hdf5Node::create_growing(const std::string& name, Hdf5Number type, const std::vector<std::size_t>& entry,
                                  std::size_t entries_per_chunk) const {
  std::vector<hsize_t> size = extents(entry), longest = size, chunk = size;
  size.insert(size.begin(), 0);
  longest.insert(longest.begin(), H5S_UNLIMITED);
  chunk.insert(chunk.begin(), entries_per_chunk);
  const Hdf5Handle space =
      own(H5Screate_simple(static_cast<int>(size.size()), size.data(), longest.data()), H5Sclose, "shape " + name);
  const Hdf5Handle properties = dataset_properties();
  checked(H5Pset_chunk(properties.get(), static_cast<int>(chunk.size()), chunk.data()), "chunk " + name);
  checked(H5Pset_shuffle(properties.get()), "shuffle " + name);
  checked(H5Pset_deflate(properties.get(), 1), "deflate " + name);
  return create(name, type, space.get(), properties.get());
}

std::vector<std::size_t> Hdf5Node::shape() const {
  const Hdf5Handle space = own(H5Dget_space(id()), H5Sclose, "read the shape");
  std::vector<hsize_t> size(
      static_cast<std::size_t>(checked(H5Sget_simple_extent_ndims(space.get()), "read the shape")));
  checked(H5Sget_simple_extent_dims(space.get(), size.data(), nullptr), "read the shape");
  return {size.begin(), size.end()};
}

void Hdf5Node::write(std::span<const double> values) const {
  checked(H5Dwrite(id(), H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()), "write");
}

void Hdf5Node::append(std::span<const double> entry) const {
  auto size = extents(shape());
  std::vector<hsize_t> start(size.size(), 0), count = size;
  start[0] = size[0]++;
  count[0] = 1;
  checked(H5Dset_extent(id(), size.data()), "write");
  const Hdf5Handle target = own(H5Dget_space(id()), H5Sclose, "write");
  checked(H5Sselect_hyperslab(target.get(), H5S_SELECT_SET, start.data(), nullptr, count.data(), nullptr), "write");
  const hsize_t length = entry.size();
  assert(H5Sget_select_npoints(target.get()) == static_cast<hssize_t>(length));
  const Hdf5Handle source = own(H5Screate_simple(1, &length, nullptr), H5Sclose, "write");
  checked(H5Dwrite(id(), H5T_NATIVE_DOUBLE, source.get(), target.get(), H5P_DEFAULT, entry.data()), "write");
}

void Hdf5Node::shorten(std::size_t entries) const {
  auto size = extents(shape());
  assert(entries <= size[0]);
  size[0] = entries;
  checked(H5Dset_extent(id(), size.data()), "shorten");
}

std::vector<double> Hdf5Node::read() const {
  std::size_t length = 1;
  for (const std::size_t n : shape()) length *= n;
  std::vector<double> values(length);
  checked(H5Dread(id(), H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()), "read");
  return values;
}

std::vector<double> Hdf5Node::read_entry(std::size_t k) const {
  const auto size = extents(shape());
  std::vector<hsize_t> start(size.size(), 0), count = size;
  start[0] = k;
  count[0] = 1;
  hsize_t length = 1;
  for (const hsize_t n : count) length *= n;
  const Hdf5Handle source = own(H5Dget_space(id()), H5Sclose, "read");
  checked(H5Sselect_hyperslab(source.get(), H5S_SELECT_SET, start.data(), nullptr, count.data(), nullptr), "read");
  const Hdf5Handle target = own(H5Screate_simple(1, &length, nullptr), H5Sclose, "read");
  std::vector<double> values(length);
  checked(H5Dread(id(), H5T_NATIVE_DOUBLE, target.get(), source.get(), H5P_DEFAULT, values.data()), "read");
  return values;
}

void Hdf5Node::write_attribute(const std::string& attribute, hid_t type, hid_t space, const void* data) const {
  if (has_attribute(attribute)) checked(H5Adelete(id(), attribute.c_str()), "replace the attribute " + attribute);
  const Hdf5Handle opened = own(H5Acreate2(id(), attribute.c_str(), type, space, H5P_DEFAULT, H5P_DEFAULT), H5Aclose,
                                "create the attribute " + attribute);
  checked(H5Awrite(opened.get(), type, data), "write the attribute " + attribute);
}

void Hdf5Node::set(const std::string& attribute, std::string_view text) const {
  const std::string ended(text);
  const char* pointer = ended.c_str();
  const Hdf5Handle space = own(H5Screate(H5S_SCALAR), H5Sclose, "shape " + attribute);
  write_attribute(attribute, string_type().get(), space.get(), &pointer);
}

void Hdf5Node::set(const std::string& attribute, double number) const {
  const Hdf5Handle space = own(H5Screate(H5S_SCALAR), H5Sclose, "shape " + attribute);
  write_attribute(attribute, H5T_NATIVE_DOUBLE, space.get(), &number);
}

void Hdf5Node::set(const std::string& attribute, int number) const {
  const Hdf5Handle space = own(H5Screate(H5S_SCALAR), H5Sclose, "shape " + attribute);
  write_attribute(attribute, H5T_NATIVE_INT, space.get(), &number);
}

void Hdf5Node::set(const std::string& attribute, const std::vector<std::string>& texts) const {
  std::vector<const char*> pointers;
  for (const std::string& text : texts) pointers.push_back(text.c_str());
  const hsize_t length = pointers.size();
  const Hdf5Handle space = own(H5Screate_simple(1, &length, nullptr), H5Sclose, "shape " + attribute);
  write_attribute(attribute, string_type().get(), space.get(), pointers.data());
}

void Hdf5Node::set(const std::string& attribute, std::span<const double> numbers) const {
  const hsize_t length = numbers.size();
  const Hdf5Handle space = own(H5Screate_simple(1, &length, nullptr), H5Sclose, "shape " + attribute);
  write_attribute(attribute, H5T_NATIVE_DOUBLE, space.get(), numbers.data());
}

bool Hdf5Node::has_attribute(const std::string& attribute) const {
  return checked(H5Aexists(id(), attribute.c_str()), "look up the attribute " + attribute) > 0;
}

std::vector<std::string> Hdf5Node::attributes() const {
  std::vector<std::string> names;
  const auto visit = [](hid_t, const char* name, const H5A_info_t*, void* out) -> herr_t {
    static_cast<std::vector<std::string>*>(out)->emplace_back(name);
    return 0;
  };
  checked(H5Aiterate2(id(), H5_INDEX_NAME, H5_ITER_INC, nullptr, visit, &names), "list the attributes");
  return names;
}

double Hdf5Node::number(const std::string& attribute) const {
  const std::string attempted = "read the attribute " + attribute;
  const Hdf5Handle opened = own(H5Aopen(id(), attribute.c_str(), H5P_DEFAULT), H5Aclose, attempted);
  double value = 0;
  checked(H5Aread(opened.get(), H5T_NATIVE_DOUBLE, &value), attempted);
  return value;
}

std::vector<std::string> Hdf5Node::texts(const std::string& attribute) const {
  const std::string attempted = "read the attribute " + attribute;
  const Hdf5Handle opened = own(H5Aopen(id(), attribute.c_str(), H5P_DEFAULT), H5Aclose, attempted);
  const Hdf5Handle space = own(H5Aget_space(opened.get()), H5Sclose, attempted);
  const auto length = checked(H5Sget_simple_extent_npoints(space.get()), attempted);
  std::vector<char*> pointers(static_cast<std::size_t>(length), nullptr);
  const Hdf5Handle type = string_type();
  checked(H5Aread(opened.get(), type.get(), pointers.data()), attempted);
  std::vector<std::string> texts;
  for (const char* pointer : pointers) texts.emplace_back(pointer == nullptr ? "" : pointer);
  H5Dvlen_reclaim(type.get(), space.get(), H5P_DEFAULT, pointers.data());
  return texts;
}

std::string Hdf5Node::text(const std::string& attribute) const {
  const auto all = texts(attribute);
  return all.empty() ? "" : all.front();
}

void Hdf5Node::make_scale(const std::string& name) const {
  checked(H5DSset_scale(id(), name.c_str()), "make a dimension scale");
}

void Hdf5Node::link(const std::string& name, const Hdf5Node& dataset) const {
  checked(H5Lcreate_soft(dataset.name_.c_str(), id(), name.c_str(), H5P_DEFAULT, H5P_DEFAULT), "link " + name);
}

void Hdf5Node::attach_scale(std::size_t dimension, const Hdf5Node& scale) const {
  checked(H5DSattach_scale(id(), scale.id(), static_cast<unsigned>(dimension)),
          "attach the dimension scale " + scale.name_);
}

}  // namespace dryfront
