// What the run file needs of HDF5: handles that close themselves, and one node type whose every failing call throws.
#pragma once

#include <hdf5.h>

#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace dryfront {

// Owns one HDF5 identifier. The destructor closes it and ignores a failure: whoever must know calls close().
class Hdf5Handle {
 public:
  using Closer = herr_t (*)(hid_t);

  Hdf5Handle() = default;
  Hdf5Handle(hid_t id, Closer closer) : id_(id), closer_(closer) {}
  Hdf5Handle(Hdf5Handle&& other) noexcept;
  Hdf5Handle& operator=(Hdf5Handle&& other) noexcept;
  Hdf5Handle(const Hdf5Handle&) = delete;
  Hdf5Handle& operator=(const Hdf5Handle&) = delete;
  ~Hdf5Handle() { close(); }

  hid_t get() const { return id_; }
  // Negative when HDF5 could not close it; the handle is empty afterwards either way.
  herr_t close() noexcept;

 private:
  hid_t id_ = H5I_INVALID_HID;
  Closer closer_ = nullptr;
};

enum class Hdf5Number { float32, float64 };

// An open file, group or dataset. Every function throws FileError with the file, the place in it and the reason
// (the operating system's where there is one). Not for several threads at once.
class Hdf5Node {
 public:
  Hdf5Node() = default;

  // Files. create_file empties what stands there. HDF5's own locks are not taken.
  static Hdf5Node create_file(const std::string& path);
  static Hdf5Node open_file(const std::string& path);            // to read
  static Hdf5Node open_file_to_change(const std::string& path);  // to read and write
  static bool is_hdf5(const std::string& path);                  // false too when it cannot be read
  void flush() const;
  // Closes and reports what failed on the way to the disk. Nodes inside a file must be closed before it.
  void close();

  // Groups and datasets.
  Hdf5Node create_group(const std::string& name) const;
  Hdf5Node open_group(const std::string& name) const;
  Hdf5Node open_dataset(const std::string& name) const;
  bool has(const std::string& name) const;
  void remove(const std::string& name) const;
  std::vector<std::string> members() const;  // names of the links, in alphabetical order

  // A dataset of fixed shape.
  Hdf5Node create_dataset(const std::string& name, Hdf5Number type, const std::vector<std::size_t>& shape) const;
  // A dataset without entries that append() lengthens along its first dimension; `entry` is the shape of one entry
  // (empty: a number). A chunk holds `entries_per_chunk` of them, shuffled and deflated at level 1.
  Hdf5Node create_growing(const std::string& name, Hdf5Number type, const std::vector<std::size_t>& entry,
                          std::size_t entries_per_chunk) const;
  std::vector<std::size_t> shape() const;
  void write(std::span<const double> values) const;
  void append(std::span<const double> entry) const;
  void shorten(std::size_t entries) const;  // keeps the first entries of a growing dataset
  std::vector<double> read() const;
  std::vector<double> read_entry(std::size_t k) const;  // the k-th along the first dimension

  // Attributes. Strings are UTF-8 of variable length.
  void set(const std::string& attribute, std::string_view text) const;
  void set(const std::string& attribute, double number) const;
  void set(const std::string& attribute, int number) const;
  void set(const std::string& attribute, const std::vector<std::string>& texts) const;
  void set(const std::string& attribute, std::span<const double> numbers) const;
  bool has_attribute(const std::string& attribute) const;
  std::vector<std::string> attributes() const;  // names
  std::string text(const std::string& attribute) const;
  double number(const std::string& attribute) const;
  std::vector<std::string> texts(const std::string& attribute) const;

  // Dimension scales of the HDF5 high-level library.
  void make_scale(const std::string& name) const;
  // A soft link: leads to the dataset, which stays a member of its own group only.
  void link(const std::string& name, const Hdf5Node& dataset) const;
  void attach_scale(std::size_t dimension, const Hdf5Node& scale) const;

 private:
  Hdf5Node(Hdf5Handle handle, std::shared_ptr<const std::string> path, std::string name)
      : handle_(std::move(handle)), path_(std::move(path)), name_(std::move(name)) {}
  std::string below(const std::string& name) const { return name_ + (name_ == "/" ? "" : "/") + name; }
  static Hdf5Node opened(const std::string& path, unsigned flags);
  hid_t id() const;
  hid_t checked(hid_t result, const std::string& attempted) const;
  Hdf5Handle own(hid_t id, Hdf5Handle::Closer closer, const std::string& attempted) const;
  Hdf5Node create(const std::string& name, Hdf5Number type, hid_t space, hid_t properties) const;
  void write_attribute(const std::string& attribute, hid_t type, hid_t space, const void* data) const;

  Hdf5Handle handle_;
  std::shared_ptr<const std::string> path_;  // of the file, for messages
  std::string name_;                         // inside the file
};

}  // namespace dryfront
